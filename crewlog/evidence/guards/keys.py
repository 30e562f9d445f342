"""The tables of evidence, and what may stand in each of them only once."""

from dataclasses import dataclass
from functools import cache

from django.apps import apps
from django.core.exceptions import ImproperlyConfigured
from django.db import models
from django.db.models import Q

from crewlog.models.fields import column_of

MESSAGE = "append-only: a record is corrected by a later one"


@dataclass(frozen=True, slots=True)
class Guarded:
    """A table of evidence: its primary key, and every set of columns that only one row may have."""

    name: str
    key: str
    columns: tuple[str, ...]
    unique: tuple[tuple[str, ...], ...]


@cache
def guarded_tables() -> tuple[Guarded, ...]:
    """The chain's table and every table that stands on it, by name."""
    from crewlog.models import EvidenceModel, Record

    found = [m for m in apps.get_models() if m is Record or issubclass(m, EvidenceModel)]
    return tuple(sorted((described(m) for m in found), key=lambda table: table.name))


def described(model: type[models.Model]) -> Guarded:
    meta = model._meta
    unique: list[tuple[str, ...]] = [(str(field.column),) for field in meta.concrete_fields if field.unique]
    for constraint in meta.constraints:
        if isinstance(constraint, models.UniqueConstraint):
            unique.append(constraint_columns(model, constraint))
    return Guarded(
        name=meta.db_table,
        key=str(meta.pk.column),
        columns=tuple(str(field.column) for field in meta.concrete_fields),
        unique=tuple(unique),
    )


def constraint_columns(model: type[models.Model], constraint: models.UniqueConstraint) -> tuple[str, ...]:
    """Columns of a constraint. One with a condition of its own would need it in the guard as well: there is none."""
    says_present = [Q(**{f"{name}__isnull": False}) for name in constraint.fields]  # equal columns are never NULL
    if not constraint.fields or (constraint.condition is not None and constraint.condition not in says_present):
        raise ImproperlyConfigured(f"{constraint.name}: a guard knows unique columns only, without a condition.")
    return tuple(str(column_of(model, name).column) for name in constraint.fields)
