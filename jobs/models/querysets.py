"""Query vocabulary of jobs, stems, sheets and their days."""

import datetime as dt
from typing import TYPE_CHECKING, Self

from django.apps import apps
from django.db import models
from django.db.models import Exists, OuterRef, Q

from crewlog.models.querysets import CompanyQuerySet, EvidenceQuerySet, Row
from jobs.sheets.standing.rules import FELL, STOPPED

if TYPE_CHECKING:
    from crewlog.models import Company, Person


class JobQuerySet(CompanyQuerySet[Row]):
    def open(self) -> Self:
        return self.filter(closed_on__isnull=True)

    def on_day(self, day: dt.date) -> Self:
        return self.filter(first_day__lte=day, last_day__gte=day)


class StemQuerySet(models.QuerySet[Row]):
    def for_company(self, company: "Company") -> Self:
        return self.filter(job__company=company)

    def with_plan(self) -> Self:
        return self.select_related("job__company", "job__lead__details", "plan")

    def felled(self) -> Self:
        """Down: written so, or a day as it stands recorded says so; `is_felled` in SQL."""
        fell = day_records().standing().filter(sheet__stem=OuterRef("pk"), result=FELL)
        return self.filter(Q(felled_on__isnull=False) | Exists(fell))


class SheetQuerySet(models.QuerySet[Row]):
    def for_company(self, company: "Company") -> Self:
        return self.filter(stem__job__company=company)

    def with_stem(self) -> Self:
        return self.select_related("stem__job__company", "stem__job__lead__details", "stem__plan", "issue")

    def drafts(self) -> Self:
        return self.filter(issue__isnull=True)

    def issued(self) -> Self:
        return self.filter(issue__isnull=False)

    def standing(self) -> Self:
        """Issued, not withdrawn, and no later revision for the same stem issued."""
        withdrawals = apps.get_model("jobs", "SheetWithdrawal")._default_manager
        later = self.model._default_manager.filter(
            stem=OuterRef("stem"),
            revision__gt=OuterRef("revision"),
            issue__isnull=False,
        )
        return self.issued().exclude(Exists(withdrawals.filter(sheet=OuterRef("pk")))).exclude(Exists(later))

    def holding_gear(self) -> Self:
        """Standing, and not closed by the day as it stands recorded: the work is not over."""
        ended = day_records().ending().filter(sheet=OuterRef("pk"))
        return self.standing().exclude(Exists(ended))

    def led_by(self, person: "Person") -> Self:
        return self.filter(stem__job__lead=person)


class DayRecordQuerySet(EvidenceQuerySet[Row]):
    def ending(self) -> Self:
        """As they stand recorded, of sheets whose work is over; jobs.sheets.standing.rules.is_over, in SQL."""
        return self.standing().exclude(result=STOPPED)


def day_records() -> DayRecordQuerySet[models.Model]:
    """Every day record, by name: models import these querysets."""
    return DayRecordQuerySet(apps.get_model("jobs", "DayRecord"))
