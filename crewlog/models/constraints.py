"""Checking a row against its constraints with no question to the database where all hold, and one where one may not."""

import sqlite3
from collections.abc import Collection, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from django.core.exceptions import FieldError
from django.db import models, router
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import BooleanField, CheckConstraint, Q
from django.db.models.functions import Coalesce
from django.db.models.sql import Query
from django.db.utils import ConnectionHandler

if TYPE_CHECKING:
    from django.db.models.expressions import Expression
    from django.db.models.options import Options


class ChecksTogether(models.Model):
    """Base of models with many checks: when all of them pass together, none is asked alone."""

    class Meta:
        abstract = True

    _checks_hold = False

    if TYPE_CHECKING:  # Django's, which its stubs leave out

        def _get_field_expression_map(
            self, meta: "Options[Any]", exclude: Collection[str] | None = None
        ) -> dict[str, "Expression"]: ...

    def validate_constraints(self, exclude: Collection[str] | None = None) -> None:
        """Raise ValidationError by field, as Django does; the checks are only asked one by one to say which failed."""
        self._checks_hold = self._checks_pass(set(exclude or ()))
        try:
            super().validate_constraints(exclude=exclude)
        finally:
            self._checks_hold = False

    def get_constraints(self) -> list[tuple[type[models.Model], Sequence[models.BaseConstraint]]]:
        """The constraints to ask for one by one: without the checks while they are known to hold."""
        listed = super().get_constraints()
        if not self._checks_hold:
            return listed
        return [(model, [c for c in asked if not isinstance(c, CheckConstraint)]) for model, asked in listed]

    def _checks_pass(self, exclude: set[str]) -> bool:
        """Whether every check holds; False also where a check needs an excluded field and has to be asked alone.

        The database is asked only where a check does not hold here, or is none that can be read here.
        """
        if not self._meta.parents and _all_hold(self):
            return True
        using = router.db_for_write(type(self), instance=self)
        for model, constraints in self.get_constraints():
            # a condition that comes out as NULL passes, as it does in the database
            conditions = [
                Q(Coalesce(Q(c.condition), True, output_field=BooleanField()))
                for c in constraints
                if isinstance(c, CheckConstraint)
            ]
            against = self._get_field_expression_map(meta=model._meta, exclude=exclude)
            try:
                if conditions and not Q(*conditions).check(against, using=using):
                    return False
            except FieldError:
                return False
        return True


def broken_checks(row: models.Model) -> Iterator[CheckConstraint]:
    """The checks a row breaks, for thousands of rows without a question each to the site's database.

    Django's own SQL of the conditions, compiled once a model and answered by SQLite in this process. The database still
    refuses on its own what gets past; a test holds both against each other.
    """
    asked = _asked(type(row))
    values = [field.get_db_prep_save(getattr(row, field.attname), connection=_compiling()) for field in asked.fields]
    with closing(sqlite3.connect(":memory:")) as here:
        (answers,) = here.execute(asked.sql, (*asked.params, *values)).fetchall()
    for constraint, answer in zip(asked.constraints, answers, strict=True):
        if answer == 0:  # a condition that comes out as NULL passes, as it does in the database
            yield constraint


def _all_hold(row: models.Model) -> bool:
    """Whether every check of a row is known to hold; False also for one that has no reading here."""
    try:
        return next(broken_checks(row), None) is None
    except (NotImplementedError, TypeError):  # TypeError: a column that still holds text
        return False


def named_fields(condition: Q) -> Iterator[str]:
    """Names of the columns a condition speaks of, in its order."""
    for child in condition.children:
        if isinstance(child, Q):
            yield from named_fields(child)
        elif isinstance(child, tuple):
            yield child[0].partition("__")[0]


@dataclass(frozen=True, slots=True)
class _Asked:
    """One SELECT that answers every check of a model, for the columns of one row in the order of `fields`."""

    constraints: tuple[CheckConstraint, ...]
    fields: tuple["models.Field[Any, Any]", ...]
    sql: str
    params: tuple[Any, ...]


@cache
def _compiling() -> BaseDatabaseWrapper:
    """A connection that is never opened: it says how SQLite writes things."""
    return ConnectionHandler({"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": ":memory:"}})["default"]


@cache
def _asked(model: type[models.Model]) -> _Asked:
    constraints = tuple(c for c in model._meta.constraints if isinstance(c, CheckConstraint))
    conditions: list[str] = []
    params: list[Any] = []
    for constraint in constraints:
        query = Query(model, alias_cols=False)
        compiler = query.get_compiler(connection=_compiling())
        sql, given = query.build_where(Q(constraint.condition)).as_sql(compiler, _compiling())
        conditions.append(f"({sql})".replace("%s", "?"))
        params += given
    fields = tuple(model._meta.concrete_fields)
    columns = ", ".join(f'? AS "{field.column}"' for field in fields)
    return _Asked(constraints, fields, f"SELECT {', '.join(conditions)} FROM (SELECT {columns})", tuple(params))  # noqa: S608
