"""Query vocabulary of gear and of what is recorded about it."""

import datetime as dt
from typing import TYPE_CHECKING, Any, Self

from django.db import models

from crewlog.querysets import CompanyQuerySet

if TYPE_CHECKING:
    from crewlog.models import Company


class EvidenceQuerySet(models.QuerySet[Any]):
    """Rows of evidence; their company stands on their record."""

    def for_company(self, company: "Company") -> Self:
        return self.filter(record__company=company)

    def standing(self) -> Self:
        """Without those that a later record corrects."""
        return self.filter(record__corrections__isnull=True)


class GearItemQuerySet(CompanyQuerySet):
    """Items of gear."""

    def in_service(self) -> Self:
        return self.filter(retired_on__isnull=True)

    def retired(self) -> Self:
        return self.filter(retired_on__isnull=False)

    def quarantined(self) -> Self:
        return self.in_service().filter(quarantined_on__isnull=False)

    def due_by(self, day: dt.date) -> Self:
        return self.in_service().filter(next_due_on__lte=day)

    def of_class(self, *codes: str) -> Self:
        return self.filter(gear_class__in=codes)
