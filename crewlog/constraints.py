"""Checking a row against its constraints with no question to the database where all hold, and one where one may not."""

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import cache
from typing import Any

from django.core.exceptions import FieldError
from django.db import models, router
from django.db.models import BooleanField, CheckConstraint, F, Q
from django.db.models.functions import Coalesce


class ChecksTogether(models.Model):
    """Base of models with many checks: when all of them pass together, none is asked alone."""

    class Meta:
        abstract = True

    _checks_hold = False

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
            against = self._get_field_expression_map(meta=model._meta, exclude=exclude)  # type: ignore[attr-defined]
            try:
                if conditions and not Q(*conditions).check(against, using=using):
                    return False
            except FieldError:
                return False
        return True


COMPARE: dict[str, Callable[[Any, Any], bool]] = {
    "exact": lambda value, other: value == other,
    "gt": lambda value, other: value > other,
    "gte": lambda value, other: value >= other,
    "lt": lambda value, other: value < other,
    "lte": lambda value, other: value <= other,
    "in": lambda value, other: value in other,
}


Truth = Callable[[Any], bool | None]


def broken_checks(row: models.Model) -> Iterator[CheckConstraint]:
    """The checks a row breaks, worked out here as the database would: for thousands of rows, without a question each.

    The database still refuses on its own what gets past; a test holds both against each other.
    """
    for constraint, holds in _checks_of(type(row)):
        if holds(row) is False:
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


@cache
def _checks_of(model: type[models.Model]) -> tuple[tuple[CheckConstraint, Truth], ...]:
    return tuple((c, _truth(Q(c.condition), model)) for c in model._meta.constraints if isinstance(c, CheckConstraint))


def _truth(condition: Q, model: type[models.Model], *, negated: bool = False) -> Truth:
    """A function from a row to whether a condition holds, with SQL's third answer, None, for what is not known.

    Under a negation Django asks for the column to be known as well, so that the comparison is false there.
    """
    negated ^= condition.negated
    if condition.connector not in (Q.AND, Q.OR):
        raise NotImplementedError(f"no reading of {condition.connector}")
    ends_it = condition.connector == Q.OR  # the answer that settles the whole
    parts = [
        _truth(child, model, negated=negated) if isinstance(child, Q) else _comparison(child, model, negated=negated)
        for child in condition.children
    ]

    def holds(row: Any) -> bool | None:
        result: bool | None = not ends_it if parts else True
        for part in parts:
            found = part(row)
            if found is ends_it:
                result = ends_it
                break
            if found is None:
                result = None
        return result if result is None or not condition.negated else not result

    return holds


def _comparison(child: Any, model: type[models.Model], *, negated: bool) -> Truth:
    if not isinstance(child, tuple):
        raise NotImplementedError(f"no reading of {child!r}")
    name, _, lookup = child[0].partition("__")
    column = model._meta.get_field(name).attname  # type: ignore[union-attr]
    expected = child[1]
    if lookup == "isnull":
        return lambda row: (getattr(row, column) is None) is expected
    if (lookup or "exact") not in COMPARE:
        raise NotImplementedError(f"no reading of {lookup}")
    compare = COMPARE[lookup or "exact"]
    other_column = expected.name if isinstance(expected, F) else ""  # type: ignore[attr-defined]
    unknown = False if negated else None

    def holds(row: Any) -> bool | None:
        value = getattr(row, column)
        other = getattr(row, other_column) if other_column else expected
        return unknown if value is None or other is None else compare(value, other)

    return holds
