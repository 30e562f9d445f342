"""A model's own columns by name."""

from typing import Any

from django.db import models


def column_of(model: type[models.Model] | models.Model, name: str) -> "models.Field[Any, Any]":
    """The column of that name. Raises TypeError for a relation that other tables have to the model."""
    field = model._meta.get_field(name)
    if not isinstance(field, models.Field):
        raise TypeError(f"{name} is no column of {model._meta.label}")
    return field
