"""Page-shaped reads of the store: the register, what is due, and finding an item by its tag."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import prefetch_related_objects

from crewlog.models import Company
from crewlog.quantities.display import quantity_text
from gear.catalogue.classes import BY_CODE
from gear.fitness.dates import DUE_SOON_DAYS
from gear.fitness.facts import COLUMNS, item_facts, item_fitness
from gear.fitness.reasons import Reason
from gear.fitness.rules import fitness
from gear.fitness.status import due_words, next_due_words, status_of, status_words
from gear.fitness.statuses import MARKS, Mark, Status
from gear.models import GearItem
from gear.models.querysets import GearItemQuerySet
from gear.register.store_list import StoreFilter

STEP_THROUGH_PLACES = """
WITH RECURSIVE places(name) AS (
    SELECT MIN(storage_place) FROM gear_gearitem WHERE company_id = %s AND storage_place > ''
    UNION ALL
    SELECT (SELECT MIN(storage_place) FROM gear_gearitem WHERE company_id = %s AND storage_place > places.name)
    FROM places WHERE places.name IS NOT NULL
)
SELECT name FROM places WHERE name IS NOT NULL
"""


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """One item as the register shows it; the rating is the stored value, the page words it."""

    tag: str
    url: str
    gear_class: str
    class_name: str
    description: str
    status: Status
    status_words: str
    next_due_words: str
    rating_kind: str
    rating_n: float | None
    place: str
    hint: str

    @property
    def mark(self) -> Mark:
        return MARKS[self.status]


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
    mark: Mark
    place: str


def register_items(*, company: Company, on: dt.date, narrow: StoreFilter | None = None) -> GearItemQuerySet[GearItem]:
    """Items with their `status`, what needs someone first; the whole of them in one query, for a list taken out."""
    narrow = narrow or StoreFilter()
    rows = narrow.apply(company, on).real().with_status(on).select_related("company")
    if narrow.status:
        rows = rows.of_status(narrow.status)
    return rows.worst_first()


def register_rows(items: Iterable[GearItem], *, on: dt.date) -> list[RegisterRow]:
    """Items as the register shows them. One query, for the parts of tackle sets, if there is one among them."""
    found = list(items)
    prefetch_related_objects([item for item in found if item.is_assembly], "parts")
    return [register_row(item, on) for item in found]


def register_row(item: GearItem, on: dt.date) -> RegisterRow:
    """One item as the register shows it. Queries the parts of a tackle set unless they were prefetched."""
    codes = tuple(reason.code for reason in item_fitness(item, on))
    status = status_of(item, codes, on)
    kind, rating_n = rating_of(item)
    return RegisterRow(
        tag=item.tag,
        url=item.get_absolute_url(),
        gear_class=item.gear_class,
        class_name=BY_CODE[item.gear_class].name,
        description=item.description,
        status=status,
        status_words=status_words(item, status, codes, on),
        next_due_words=next_due_words(item, codes, on),
        rating_kind=kind,
        rating_n=rating_n,
        place="Tag kept" if item.retired_on else item.storage_place,
        hint=hint_of(item),
    )


def hint_of(item: GearItem) -> str:
    """What tells an item from its like: why it is retired, whose it is, or what it is made of and takes."""
    if item.retired_on:
        return item.retired_because
    if item.borrowed_from:
        return f"Borrowed from {item.borrowed_from}"
    takes = ""
    if item.rope_diameter_max_mm is not None:
        min_words, max_words = (
            quantity_text(mm, "diameter_gear", item.company.unit_system)
            for mm in (item.rope_diameter_min_mm, item.rope_diameter_max_mm)
        )
        takes = f"{min_words} to {max_words} rope"
    made_of = f"{item.construction_words} {item.get_material_display().lower()}".strip() if item.material else ""
    return ", ".join(words for words in (takes, made_of, item.colour_tracer) if words)


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


def due_by(*, company: Company, on: dt.date, within_days: int = DUE_SOON_DAYS) -> GearItemQuerySet[GearItem]:
    """Items in service whose inspection, remark or life falls or fell due within so many days, earliest first."""
    return GearItem.objects.for_company(company).falling_due_by(on + dt.timedelta(days=within_days))


def due_items(
    company: Company, on: dt.date, within_days: int = DUE_SOON_DAYS, limit: int | None = None
) -> list[DueRow]:
    """Rows of `due_by`, at most `limit` of them. One query."""
    return [due_row(item, on) for item in due_by(company=company, on=on, within_days=within_days)[:limit]]


def due_row(item: Any, on: dt.date) -> DueRow:
    dates = (
        (item.next_due_on, "Inspection", "Due"),
        (item.remark_due_on, "Remark", "Remark due"),
        (item.life_ends_on, "Life", "Life ends"),
        (item.due_back_on, "Loan", "Due back"),
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
    """Every item of a company with its reasons. Three queries: all items, those that are not fit, parts of sets."""
    items = GearItem.objects.for_company(company).real().order_by()
    parts: dict[int, list[Any]] = defaultdict(list)
    for part in items.filter(assembly__isnull=False).values_list("assembly_id", *COLUMNS, named=True):
        parts[part.assembly_id].append(part)
    judged = items.unfit_on(on) if on >= company.today() else items  # of the past the days kept do not tell
    reasons = {
        row.pk: fitness(item_facts(row, parts.get(row.pk, ())), on)
        for row in judged.values_list("pk", *COLUMNS, named=True)
    }
    columns = ("pk", "tag", "gear_class", "description", "next_due_on", "retired_on")
    return [
        StandingRow(
            tag=tag,
            gear_class=gear_class,
            description=description,
            next_due_on=next_due_on,
            is_retired=retired_on is not None and retired_on <= on,
            reasons=reasons.get(key, ()),
        )
        for key, tag, gear_class, description, next_due_on, retired_on in items.order_by("tag", "pk").values_list(
            *columns
        )
    ]


def places_of(company: Company) -> list[str]:
    """Storage places on record, in order. One query that steps from place to place along their index."""
    with connection.cursor() as cursor:
        cursor.execute(STEP_THROUGH_PLACES, [company.pk, company.pk])
        return [name for (name,) in cursor.fetchall()]
