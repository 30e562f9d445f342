"""Query vocabulary of gear and of what is recorded about it."""

import datetime as dt
from typing import TYPE_CHECKING, Self

from django.apps import apps
from django.db import connections, models
from django.db.models import Case, F, Q, Value, When

from crewlog.models.querysets import CompanyQuerySet, EvidenceQuerySet, Row
from gear.catalogue.classes import CLASSES
from gear.fitness.dates import DUE_SOON_DAYS
from gear.fitness.statuses import STATUSES, Status
from gear.register.search_words import search_terms

if TYPE_CHECKING:
    from crewlog.models import Company

LAST_CHARACTER = "\U0010ffff"


class FactChangeQuerySet(EvidenceQuerySet[Row]):
    """Changes of facts."""

    def waiting(self) -> Self:
        """Not answered yet, of items in service."""
        return self.filter(waits=True, answer__isnull=True, item__retired_on__isnull=True)


class SearchWordQuerySet(CompanyQuerySet[Row]):
    """Words by which items are found."""

    def starting(self, term: str) -> Self:
        """That begin so."""
        if connections[self.db].vendor == "sqlite":  # its LIKE ignores case and so passes by the index
            return self.filter(word__gte=term, word__lt=f"{term}{LAST_CHARACTER}")
        return self.filter(word__startswith=term)


class GearItemQuerySet(CompanyQuerySet[Row]):
    """Items of gear."""

    def in_service(self) -> Self:
        """Not retired, whatever else may be wrong with them."""
        return self.filter(retired_on__isnull=True)

    def retired(self) -> Self:
        return self.filter(retired_on__isnull=False, is_mistake=False)

    def real(self) -> Self:
        """Without what was entered by mistake."""
        return self.filter(is_mistake=False)

    def quarantined(self) -> Self:
        return self.in_service().filter(quarantined_on__isnull=False)

    def falling_due_by(self, day: dt.date) -> Self:
        """Whose inspection, remark or end of life comes on the day or before, earliest first."""
        return self.in_service().filter(falls_due_on__lte=day).order_by("falls_due_on", "tag")

    def to_inspect_by(self, day: dt.date) -> Self:
        """Due for an inspection by the day, out of use, or waiting for the first one."""
        asks = Q(quarantined_on__isnull=False) | Q(examination_pending_since__isnull=False) | Q(marking_illegible=True)
        due = Q(next_due_on__lte=day) | Q(remark_due_on__lte=day) | Q(pre_service_on__isnull=True)
        return self.in_service().filter(asks | due)

    def of_class(self, *codes: str) -> Self:
        return self.filter(gear_class__in=codes)

    def of_kind(self, kind: str) -> Self:
        """Of the classes that are one kind of item in the mechanics."""
        return self.of_class(*(declared.code for declared in CLASSES if declared.kind == kind))

    def at_place(self, place: str) -> Self:
        return self.filter(storage_place=place)

    def search(self, company: "Company", text: str) -> Self:
        """Every word of the text begins a word of tag, name, maker, place or tracer, or an end of serial or batch."""
        found = self
        for term in search_terms(text):
            found = found.filter(pk__in=self.keys_of_words(company, term))
        return found

    def keys_of_words(self, company: "Company", term: str) -> "models.QuerySet[models.Model, dict[str, int]]":
        """Keys of a company's items with a word that begins so, from the index of words alone."""
        words: SearchWordQuerySet[models.Model] = SearchWordQuerySet(
            apps.get_model("gear", "SearchWord"), using=self.db
        )
        return words.for_company(company).starting(term).values("item")

    def needing(self, status: Status, on: dt.date) -> Self:
        """Those in one of the STATUSES on a day, by when they turned; the day is no earlier than what is recorded."""
        live = self.in_service()
        if status == "retired":
            return self.retired().order_by("-retired_on", "tag")
        if status == "unfit":
            return live.filter(unfit_from__lte=on).order_by("unfit_from", "tag")
        if status == "overdue":
            return live.filter(overdue_from__lte=on, unfit_from__gt=on).order_by("overdue_from", "tag")
        in_date = live.fit_on(on).order_by("falls_due_on", "tag")
        soon = on + dt.timedelta(days=DUE_SOON_DAYS)
        if status == "due":
            return in_date.filter(falls_due_on__gte=on, falls_due_on__lte=soon)
        return in_date.filter(falls_due_on__gt=soon)

    def fit_on(self, last_day: dt.date) -> Self:
        """Fit up to and including a day: `gear.fitness.rules.fitness`, by the days kept with each item.

        Holds on every day from the last one that is recorded of an item. On an earlier day nobody who was fit is left
        out, and some may be in who had not been examined yet: whoever asks about the past judges the rows.
        """
        return self.filter(overdue_from__gt=last_day)

    def unfit_on(self, last_day: dt.date) -> Self:
        """Not fit on a day, retired ones among them: all others than `fit_on` gives."""
        return self.filter(overdue_from__lte=last_day)

    def with_status(self, on: dt.date, *, due_within_days: int = DUE_SOON_DAYS) -> Self:
        """Annotates `status` and `status_rank`, what needs someone first; the day as in `needing`."""
        conditions: dict[Status, Q] = {
            "retired": Q(retired_on__lte=on),
            "unfit": Q(unfit_from__lte=on),
            "overdue": Q(overdue_from__lte=on),
            "due": Q(falls_due_on__lte=on + dt.timedelta(days=due_within_days)),
        }
        return self.annotate(
            status=Case(
                *(When(condition, then=Value(status)) for status, condition in conditions.items()),
                default=Value("in_service"),
                output_field=models.CharField(),
            ),
            status_rank=Case(
                *(When(condition, then=Value(STATUSES.index(status))) for status, condition in conditions.items()),
                default=Value(STATUSES.index("in_service")),
                output_field=models.IntegerField(),
            ),
        )

    def of_status(self, status: Status) -> Self:
        """Of those `with_status`, the ones in a status."""
        return self.filter(status=status)

    def worst_first(self) -> Self:
        """Those `with_status`, what needs someone first, then by the next inspection."""
        return self.order_by("status_rank", F("next_due_on").asc(nulls_last=True), "tag", "pk")
