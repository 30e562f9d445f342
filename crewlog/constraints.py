"""Checking a row against its constraints with one question to the database instead of one for each, or with none."""

from collections.abc import Callable, Collection, Iterator, Sequence
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
        """Whether every check holds; False also where a check needs an excluded field and has to be asked alone."""
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


def broken_checks(row: models.Model) -> Iterator[CheckConstraint]:
    """The checks a row breaks, worked out here as the database would: for thousands of rows, without a question each.

    The database still refuses on its own what gets past; a test holds both against each other.
    """
    for constraint in row._meta.constraints:
        if isinstance(constraint, CheckConstraint) and truth(Q(constraint.condition), row) is False:
            yield constraint


def named_fields(condition: Q) -> Iterator[str]:
    """Names of the columns a condition speaks of, in its order."""
    for child in condition.children:
        if isinstance(child, Q):
            yield from named_fields(child)
        elif isinstance(child, tuple):
            yield child[0].partition("__")[0]


def truth(condition: Q, row: models.Model, *, negated: bool = False) -> bool | None:
    """Whether a condition holds, with SQL's third answer for what is not known.

    Under a negation Django asks for the column to be known as well, so that the comparison is false there.
    """
    negated ^= condition.negated
    found = [
        truth(child, row, negated=negated) if isinstance(child, Q) else _compared(child, row, negated=negated)
        for child in condition.children
    ]
    if not found:
        result: bool | None = True
    elif condition.connector == Q.AND:
        result = False if False in found else None if None in found else True
    elif condition.connector == Q.OR:
        result = True if True in found else None if None in found else False
    else:
        raise NotImplementedError(f"no reading of {condition.connector}")
    return result if result is None or not condition.negated else not result


def _compared(child: Any, row: models.Model, *, negated: bool) -> bool | None:
    if not isinstance(child, tuple):
        raise NotImplementedError(f"no reading of {child!r}")
    name, _, lookup = child[0].partition("__")
    lookup = lookup or "exact"
    value, other = getattr(row, row._meta.get_field(name).attname), child[1]  # type: ignore[union-attr]
    if lookup == "isnull":
        return (value is None) is bool(other)
    if lookup not in COMPARE:
        raise NotImplementedError(f"no reading of {lookup}")
    if isinstance(other, F):
        other = getattr(row, other.name)  # type: ignore[attr-defined]
    if value is None or other is None:
        return False if negated else None
    return bool(COMPARE[lookup](value, other))
