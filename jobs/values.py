"""What JSON holds and what columns hold, as types: values that are compared and recorded, whatever row they are of."""

import datetime as dt
import uuid
from collections.abc import Mapping, Sequence

from django.db.models import Model

Json = Mapping[str, "Json"] | Sequence["Json"] | str | int | float | bool | None

# A column's value as forms give it and rows hold it; a foreign key by its row.
ColumnValue = str | int | float | bool | dt.date | dt.datetime | uuid.UUID | Model | Sequence[str] | None
Facts = Mapping[str, ColumnValue]
