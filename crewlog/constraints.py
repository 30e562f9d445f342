"""Checking a row against its constraints with one question to the database instead of one for each."""

from collections.abc import Collection

from django.core.exceptions import FieldError
from django.db import models, router
from django.db.models import BooleanField, CheckConstraint, Q
from django.db.models.functions import Coalesce


class ChecksTogether(models.Model):
    """Base of models with many checks: when all of them pass together, none is asked alone."""

    class Meta:
        abstract = True

    def validate_constraints(self, exclude: Collection[str] | None = None) -> None:
        """Raise ValidationError by field, as Django does; the checks are only asked one by one to say which failed."""
        left_out = set(exclude or ())
        if not self._checks_pass(left_out):
            super().validate_constraints(exclude=exclude)
            return
        using = router.db_for_write(type(self), instance=self)
        for model, constraints in self.get_constraints():
            for constraint in constraints:
                if not isinstance(constraint, CheckConstraint):
                    constraint.validate(model, self, exclude=left_out, using=using)

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
