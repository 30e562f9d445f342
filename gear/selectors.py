"""Page-shaped reads of the store: the register, what is due, and finding an item by its tag."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Any

from django.db.models import Count, DateField, F, QuerySet, Value
from django.db.models.functions import Coalesce, Least

from crewlog.models import Company
from gear.classes import BY_CODE
from gear.facts import item_fitness
from gear.models import GearItem
from gear.querysets import DUE_SOON_DAYS, STATUSES, GearItemQuerySet, codes_in
from gear.reasons import Reason
from gear.status import due_words, next_due_words, status_words

FAR = dt.date(9999, 12, 31)


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """One item as the register shows it; figures are stored values, the page words them."""

    tag: str
    url: str
    gear_class: str
    class_name: str
    description: str
    status: str
    status_words: str
    next_due_words: str
    rating_kind: str
    rating_n: float | None
    place: str
    construction: str
    material: str
    colour_tracer: str
    rope_min_mm: float | None
    rope_max_mm: float | None
    note: str


@dataclass(frozen=True, slots=True)
class StoreCounts:
    """How many items stand in each state."""

    out: int = 0
    over: int = 0
    due: int = 0
    ok: int = 0
    gone: int = 0

    @property
    def everything(self) -> int:
        return sum(getattr(self, f.name) for f in fields(self))


@dataclass(frozen=True, slots=True)
class DueRow:
    """One item that falls due, or fell."""

    tag: str
    url: str
    gear_class: str
    description: str
    due_on: dt.date
    what: str
    words: str
    mark: str
    place: str


@dataclass(frozen=True, slots=True)
class StoreFilter:
    """What the register is narrowed to; empty means all."""

    text: str = ""
    gear_class: str = ""
    place: str = ""
    status: str = ""
    due_within_days: int | None = None

    def apply(self, rows: GearItemQuerySet, on: dt.date) -> GearItemQuerySet:
        """Everything but the status, which the counts beside the filter need unfiltered."""
        if self.text:
            rows = rows.search(self.text)
        if self.gear_class:
            rows = rows.of_class(self.gear_class)
        if self.place:
            rows = rows.at_place(self.place)
        if self.due_within_days is not None:
            rows = rows.due_by(on + dt.timedelta(days=self.due_within_days))
        return rows


def register_items(*, company: Company, on: dt.date, narrow: StoreFilter | None = None) -> QuerySet[GearItem]:
    """Items with `status` and `unfit_bits`, what needs someone first; unevaluated, for pages of it."""
    narrow = narrow or StoreFilter()
    rows = narrow.apply(GearItem.objects.for_company(company), on).with_status(on).with_unfit_reasons(on)
    if narrow.status in STATUSES:
        rows = rows.filter(status=narrow.status)
    return rows.order_by("status_rank", F("next_due_on").asc(nulls_last=True), "tag", "pk")


def register_rows(items: Iterable[Any], *, on: dt.date) -> list[RegisterRow]:
    """Rows of a page of `register_items`. No query of its own beyond the page's."""
    return [register_row(item, on) for item in items]


def register_row(item: Any, on: dt.date) -> RegisterRow:
    codes = codes_in(item.unfit_bits)
    kind, rating_n = rating_of(item)
    return RegisterRow(
        tag=item.tag,
        url=item.get_absolute_url(),
        gear_class=item.gear_class,
        class_name=BY_CODE[item.gear_class].name,
        description=item.description,
        status=item.status,
        status_words=status_words(item, item.status, codes, on),
        next_due_words=next_due_words(item, codes, on),
        rating_kind=kind,
        rating_n=rating_n,
        place="Tag kept" if item.retired_on else item.storage_place,
        construction=item.construction_words,
        material=item.get_material_display(),
        colour_tracer=item.colour_tracer,
        rope_min_mm=item.rope_diameter_min_mm,
        rope_max_mm=item.rope_diameter_max_mm,
        note=item.retired_because
        if item.retired_on
        else f"Borrowed from {item.borrowed_from}" * bool(item.borrowed_from),
    )


def rating_of(item: GearItem) -> tuple[str, float | None]:
    """The rating as marked, and what it is: a working load limit first, else a breaking strength."""
    marked = (
        ("WLL", item.working_load_limit_n),
        ("WLL", item.vertical_rating_n),
        ("MBS", item.breaking_strength_n),
        ("Choker", item.choker_rating_n),
        ("Basket", item.basket_rating_n),
    )
    return next(((kind, value) for kind, value in marked if value is not None), ("", None))


def store_counts(company: Company, on: dt.date, narrow: StoreFilter | None = None) -> StoreCounts:
    """Items by state. One query."""
    rows = (narrow or StoreFilter()).apply(GearItem.objects.for_company(company), on).with_status(on)
    counted = rows.order_by().values("status").annotate(n=Count("pk"))
    return StoreCounts(**{row["status"]: row["n"] for row in counted})


def due_items(
    company: Company, on: dt.date, within_days: int = DUE_SOON_DAYS, limit: int | None = None
) -> list[DueRow]:
    """Items whose inspection, remark or life falls or fell due within so many days, earliest first. One query."""
    soonest = Least(
        *(
            Coalesce(name, Value(FAR, output_field=DateField()))
            for name in ("next_due_on", "remark_due_on", "life_ends_on")
        )
    )
    rows = (
        GearItem.objects.for_company(company)
        .in_service()
        .annotate(soonest=soonest)
        .filter(soonest__lte=on + dt.timedelta(days=within_days))
        .order_by("soonest", "tag")
    )
    return [due_row(item, on) for item in (rows if limit is None else rows[:limit])]


def due_row(item: Any, on: dt.date) -> DueRow:
    dates = (
        (item.next_due_on, "Inspection", "Due"),
        (item.remark_due_on, "Remark", "Remark due"),
        (item.life_ends_on, "Life", "Life ends"),
    )
    day, what, words = min(((d, w, v) for d, w, v in dates if d is not None), key=lambda row: row[0])
    late = day < on
    return DueRow(
        tag=item.tag,
        url=item.get_absolute_url(),
        gear_class=item.gear_class,
        description=item.description,
        due_on=day,
        what=what,
        words=due_words(day, on, what=what if late and what != "Inspection" else words),
        mark="over" if late else "due",
        place=item.storage_place,
    )


def due_list(*, company: Company, on: dt.date, within_days: int) -> list[DueRow]:
    return due_items(company, on, within_days)


@dataclass(frozen=True, slots=True)
class StandingRow:
    """Whether one item is fit up to and including a day, and why not."""

    tag: str
    gear_class: str
    description: str
    next_due_on: dt.date | None
    is_retired: bool
    reasons: tuple[Reason, ...]

    @property
    def is_fit(self) -> bool:
        return not self.reasons


def standing_on(*, company: Company, on: dt.date) -> list[StandingRow]:
    """Every item of a company with its reasons. Two queries: the items, and the parts of tackle sets."""
    items = GearItem.objects.for_company(company).prefetch_related("parts").order_by("tag", "pk")
    return [
        StandingRow(
            tag=item.tag,
            gear_class=item.gear_class,
            description=item.description,
            next_due_on=item.next_due_on,
            is_retired=item.retired_on is not None and item.retired_on <= on,
            reasons=item_fitness(item, on),
        )
        for item in items
    ]


def places_of(company: Company) -> list[str]:
    """Storage places in use, in order."""
    rows = GearItem.objects.for_company(company).in_service().exclude(storage_place="")
    return list(rows.order_by("storage_place").values_list("storage_place", flat=True).distinct())


def item_by_tag(company: Company, tag: str) -> GearItem | None:
    """The company's item with this tag, in whatever case it was typed; a scanned address counts by its last part."""
    text = tag.strip().rstrip("/").rpartition("/")[2]
    if not text:
        return None
    found: GearItem | None = GearItem.objects.for_company(company).filter(tag__iexact=text).first()
    return found
