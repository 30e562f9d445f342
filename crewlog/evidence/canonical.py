"""Values as the chain writes them: one text for one meaning, so that a hash can be recomputed."""

import datetime as dt
import hashlib
import json
from collections.abc import Mapping
from typing import Any

from django.db import models


def to_plain(value: Any) -> Any:
    """A value as the chain writes it: dates in ISO 8601 and UTC, rows by key, bytes by their sha256."""
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat()
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, models.Model):
        return str(value.pk)
    if isinstance(value, bytes | memoryview):
        return hashlib.sha256(bytes(value)).hexdigest()
    if isinstance(value, Mapping):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [to_plain(item) for item in value]
    if value is None or isinstance(value, str | int | float | bool):
        return value
    return str(value)


def canonical_json(value: Any) -> str:
    """JSON with sorted keys and no spaces; a number that is not finite is an error."""
    return json.dumps(to_plain(value), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
