"""What JSON holds and what columns hold, as types: values that are compared and recorded, whatever row they are of."""

import datetime as dt
import uuid
from collections.abc import Mapping, Sequence

from django.db.models import Model

Json = Mapping[str, "Json"] | Sequence["Json"] | str | int | float | bool | None

# A column's value as a form gives it or a row holds it; a foreign key by its row or by its key.
ColumnValue = str | int | float | bool | dt.date | dt.time | uuid.UUID | Model | Sequence[str] | None
Facts = Mapping[str, ColumnValue]  # by column: what a service is to set
Row = dict[str, ColumnValue]
Shown = dict[str, ColumnValue | Sequence[Row] | Mapping[str, Json]]  # a row with its child rows, by the form's names
