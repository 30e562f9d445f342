"""Query vocabulary of gear and of what is recorded about it."""

import datetime as dt
from typing import TYPE_CHECKING, Any, Self

from django.db import connections, models
from django.db.models import Case, Count, Exists, F, IntegerField, OuterRef, Q, Subquery, Value, When
from django.db.models.functions import Coalesce

from crewlog.querysets import CompanyQuerySet
from gear.classes import CLASSES
from gear.reasons import CODES, MARKS
from gear.turns import DUE_SOON_DAYS
from gear.words import search_terms

if TYPE_CHECKING:
    from crewlog.models import Company

STATUSES = ("out", "over", "due", "ok", "gone")  # what needs someone comes first
LAST_CHARACTER = "\U0010ffff"


class EvidenceQuerySet(models.QuerySet[Any]):
    """Rows of evidence; their company stands on their record."""

    def for_company(self, company: "Company") -> Self:
        """By kind too: found by the index of a company's records of one kind, never among all of them."""
        return self.filter(record__company=company, record__kind=self.model.record_kind)

    def standing(self) -> Self:
        """Without those that a later record corrects."""
        return self.filter(record__corrections__isnull=True)


class FactChangeQuerySet(EvidenceQuerySet):
    """Changes of facts."""

    def waiting(self) -> Self:
        """Not answered yet, of items in service."""
        return self.filter(waits=True, answer__isnull=True, item__retired_on__isnull=True)


def unrated() -> Q:
    """Items whose class carries load and that have none of the ratings it needs."""
    found = Q(pk__in=[])
    for ratings in sorted({c.ratings for c in CLASSES if c.carries_load}):
        codes = [c.code for c in CLASSES if c.carries_load and c.ratings == ratings]
        found |= Q(gear_class__in=codes, **{f"{name}__isnull": True for name in ratings})
    return found


def own_unfit_conditions(last_day: dt.date) -> dict[str, Q]:
    """The rules of gear/rules.py `fitness` as conditions on an item's own columns, by code."""
    begun = Q(pre_service_on__lte=last_day) & (
        Q(pre_service_ends_on__isnull=True) | Q(pre_service_ends_on__gte=last_day)
    )
    return {
        "retired": Q(retired_on__lte=last_day),
        "quarantined": Q(quarantined_on__lte=last_day),
        "examination-pending": Q(examination_pending_since__lte=last_day),
        "never-inspected": (
            Q(pre_service_on__isnull=True) | Q(pre_service_on__gt=last_day) | Q(pre_service_ends_on__lt=last_day)
        ),
        "overdue": begun & (Q(next_due_on__isnull=True) | Q(next_due_on__lt=last_day)),
        "remark-overdue": Q(remark_due_on__lt=last_day),
        "due-back": Q(due_back_on__lt=last_day),
        "life-ends": Q(life_ends_on__lt=last_day) | Q(uses_end_at__lte=F("uses_made")),
        "dates-missing": Q(life_date_missing=True),
        "recall-unresolved": Q(recall_unresolved=True),
        "marking-illegible": Q(marking_illegible=True),
        "unrated": unrated(),
    }


def any_of(conditions: list[Q]) -> Q:
    found = Q(pk__in=[])
    for condition in conditions:
        found |= condition
    return found


class SearchWordQuerySet(models.QuerySet[Any]):
    """Words by which items are found."""

    def starting(self, term: str) -> Self:
        """That begin so."""
        if connections[self.db].vendor == "sqlite":  # its LIKE ignores case and so passes by the index
            return self.filter(word__gte=term, word__lt=f"{term}{LAST_CHARACTER}")
        return self.filter(word__startswith=term)


class GearItemQuerySet(CompanyQuerySet):
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

    def keys_of_words(self, company: "Company", term: str) -> "models.QuerySet[Any, Any]":
        """Keys of a company's items with a word that begins so, from the index of words alone."""
        words = self.model._meta.get_field("search_words").related_model._default_manager.using(self.db)
        found: models.QuerySet[Any, Any] = words.filter(company=company).starting(term).values("item")
        return found

    def needing(self, state: str, on: dt.date) -> Self:
        """Those in one of the STATUSES on a day, by when they turned; the day is no earlier than what is recorded."""
        live = self.in_service()
        if state == "gone":
            return self.retired().order_by("-retired_on", "tag")
        if state == "out":
            return live.filter(out_from_on__lte=on).order_by("out_from_on", "tag")
        if state == "over":
            return live.filter(over_from_on__lte=on, out_from_on__gt=on).order_by("over_from_on", "tag")
        in_date = live.filter(over_from_on__gt=on).order_by("falls_due_on", "tag")
        soon = on + dt.timedelta(days=DUE_SOON_DAYS)
        if state == "due":
            return in_date.filter(falls_due_on__gte=on, falls_due_on__lte=soon)
        return in_date.filter(falls_due_on__gt=soon)

    def unfit_conditions(self, last_day: dt.date) -> dict[str, Q]:
        """Every code of fitness as a condition; agrees with `gear.rules.fitness` on every item and day."""
        own = own_unfit_conditions(last_day)
        parts = self.model._default_manager.filter(assembly=OuterRef("pk"))
        unfit_part = Exists(parts.filter(any_of(list(own.values()))))
        count = parts.order_by().values("assembly").annotate(n=Count("pk")).values("n")
        too_few = Q(parts_expected__gt=Coalesce(Subquery(count, output_field=IntegerField()), 0))
        return {**own, "part-unfit": Q(parts_expected__isnull=False) & (Q(unfit_part) | too_few)}

    def with_unfit_reasons(self, last_day: dt.date) -> Self:
        """Annotates `unfit_bits`: nought when fit, else one bit for each code; read it with `codes_in`."""
        conditions = self.unfit_conditions(last_day)
        total: Any = Value(0)
        for place, code in enumerate(CODES):
            total = total + Case(
                When(conditions[code], then=Value(1 << place)), default=Value(0), output_field=IntegerField()
            )
        return self.annotate(unfit_bits=total)

    def perhaps_unfit_on(self, last_day: dt.date) -> Self:
        """Not fit by their own columns, and every tackle set: whether that is fit, its parts say."""
        own = any_of(list(own_unfit_conditions(last_day).values()))
        return self.filter(own | Q(parts_expected__isnull=False))

    def fit_on(self, last_day: dt.date) -> Self:
        """Fit up to and including the day."""
        return self.with_unfit_reasons(last_day).filter(unfit_bits=0)

    def with_status(self, on: dt.date, *, due_within_days: int = DUE_SOON_DAYS) -> Self:
        """Annotates `status` (out, over, due, ok, gone) and `status_rank`, what needs someone first."""
        conditions = self.unfit_conditions(on)
        out = any_of([q for code, q in conditions.items() if MARKS[code] == "out"])
        over = any_of([q for code, q in conditions.items() if MARKS[code] == "over"])
        soon = on + dt.timedelta(days=due_within_days)
        ends = ("next_due_on", "remark_due_on", "life_ends_on", "due_back_on")
        due = any_of([Q(**{f"{name}__lte": soon}) for name in ends])
        branches = [("gone", Q(retired_on__lte=on)), ("out", out), ("over", over), ("due", due)]
        return self.annotate(
            status=Case(
                *(When(q, then=Value(name)) for name, q in branches),
                default=Value("ok"),
                output_field=models.CharField(),
            ),
            status_rank=Case(
                *(When(q, then=Value(STATUSES.index(name))) for name, q in branches),
                default=Value(STATUSES.index("ok")),
                output_field=IntegerField(),
            ),
        )


def codes_in(unfit_bits: int) -> tuple[str, ...]:
    """The codes of fitness that `unfit_bits` stands for, gravest first."""
    return tuple(code for place, code in enumerate(CODES) if unfit_bits & (1 << place))
