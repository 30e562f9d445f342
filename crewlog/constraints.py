"""Checking a row against its constraints with one question to the database instead of one for each."""

from collections.abc import Collection, Sequence

from django.core.exceptions import FieldError
from django.db import models, router
from django.db.models import BooleanField, CheckConstraint, Q
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
