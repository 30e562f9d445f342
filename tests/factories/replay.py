"""A world that many tests begin with, built by its factories once a process and laid as the same rows in later tests.

What a build wrote is kept under the state it began from: the company's settings, the day, the number each table had
come to. A later test that begins from the same state gets the same rows by one INSERT a table. The company and the
lead are the test's own, times are those of the test, and the records follow its own chain, so that they are hashed
anew. Where the state differs, and on PostgreSQL, whose numbers do not go back with a test, the factories build.
"""

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import Model
from django.utils import timezone

from crewlog.evidence.chain import FIRST, record_hash
from crewlog.evidence.marks import mark_on_commit
from crewlog.models import Company, Competence, Person, PersonDetails, Record, RecordSubject
from gear.models import GearItem, Inspection, InspectionScheme, SchemeRule, SearchWord
from jobs.models import Anchor, Assignment, CrownPart, Duty, Job, Place, PullPlan, Sheet, Stem, StemSection

NUMBERED: tuple[type[Model], ...] = (
    Job, Stem, StemSection, CrownPart, PullPlan, Place, Sheet, InspectionScheme, SchemeRule, GearItem, SearchWord,
    Assignment, Anchor, Competence, Duty,
)  # fmt: skip
"""Tables whose numbers stand in other rows or in records: the same in a replay as in the build."""
UNNUMBERED: tuple[type[Model], ...] = (PersonDetails, RecordSubject)
"""Tables whose own numbers nothing mentions: they take the next."""


@dataclass(frozen=True)
class Rows:
    """Raw rows of one table, without the number where the next is taken."""

    table: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]

    def lay(self, changed: Mapping[object, Any], **by_column: Callable[[Any], Any]) -> None:
        """Insert them with changed values, and columns put through a function."""
        functions = [by_column.get(column) for column in self.columns]
        laid: list[tuple[Any, ...]] = [
            tuple(f(value) if f else changed.get(value, value) for f, value in zip(functions, row, strict=True))
            for row in self.rows
        ]
        names, places = ", ".join(f'"{c}"' for c in self.columns), ", ".join(["%s"] * len(self.columns))
        with connection.cursor() as cursor:
            cursor.executemany(f'INSERT INTO "{self.table}" ({names}) VALUES ({places})', laid)  # noqa: S608


@dataclass(frozen=True)
class World:
    """Everything that one build wrote."""

    tables: tuple[Rows, ...]
    records: tuple[Record, ...]
    on_records: tuple[Rows, ...]
    last_record: int
    lead: str | None
    reference: str
    number: str
    anchored_at: Any
    sheet: int
    plan: int


@dataclass(frozen=True)
class Start:
    """What the test has of its own."""

    company: Company
    lead: Person | None
    label: str
    reference: str

    def state(self) -> tuple[object, ...]:
        """Everything that the rows depend on."""
        settings = [getattr(self.company, f.attname) for f in Company._meta.concrete_fields if f.name != "name"]
        numbers = last_numbers()
        now = [numbers.get(model._meta.db_table, 0) for model in NUMBERED]
        return (*settings, self.company.today(), self.label, self.lead is None, *now)


WORLDS: dict[tuple[object, ...], World] = {}


def laid(start: Start, build: Callable[[], Sheet]) -> Sheet:
    """The world's sheet: laid again from an earlier build, or built and kept for the next test."""
    if connection.vendor != "sqlite" or InspectionScheme.objects.filter(company=start.company).exists():
        return build()
    state = start.state()
    if state in WORLDS:
        return replayed(start, WORLDS[state])
    before, people = last_numbers(), set(Person.objects.values_list("pk", flat=True))
    sheet = build()
    WORLDS[state] = kept(start, sheet, before, [key for key in Person.objects.values_list("pk", flat=True)
                                                if key not in people])  # fmt: skip
    return sheet


def last_numbers() -> dict[str, int]:
    """The number each table has come to."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, seq FROM sqlite_sequence")
        return dict(cursor.fetchall())


def rows_of(model: type[Model], column: str, values: Sequence[Any], *, numbered: bool = True) -> Rows:
    """Rows of a table as the database holds them, in the order they were written."""
    columns = tuple(f.column for f in model._meta.concrete_fields if numbered or not f.primary_key)
    table, asked = model._meta.db_table, ", ".join(["%s"] * len(values))
    names = ", ".join(f'"{name}"' for name in columns)
    with connection.cursor() as cursor:
        cursor.execute(
            f'SELECT {names} FROM "{table}" WHERE "{column}" IN ({asked}) ORDER BY rowid',  # noqa: S608
            values,
        )
        return Rows(table, columns, tuple(cursor.fetchall()))


def kept(start: Start, sheet: Sheet, before: Mapping[str, int], people: Sequence[Any]) -> World:
    """What a build wrote, table by table."""
    after = last_numbers()
    mine: tuple[type[Model], ...] = (*NUMBERED, *UNNUMBERED, Record)
    strange = {name for name in after if after[name] != before.get(name, 0)} - {m._meta.db_table for m in mine}
    assert not strange, f"a passing sheet writes into tables that a replay does not know: {strange}"

    def new(model: type[Model]) -> range:
        table = model._meta.db_table
        return range(before.get(table, 0) + 1, after.get(table, 0) + 1)

    records = list(new(Record))
    keys = [key.hex for key in people]
    anchors = rows_of(Anchor, "id", list(new(Anchor)))
    return World(
        tables=(
            rows_of(Person, "id", keys),
            rows_of(PersonDetails, "person_id", keys, numbered=False),
            *(rows_of(model, "id", list(new(model))) for model in NUMBERED),
        ),
        records=tuple(Record.objects.filter(pk__in=records).order_by("sequence")),
        on_records=(
            rows_of(RecordSubject, "record_id", records, numbered=False),
            rows_of(Inspection, "record_id", records),
        ),
        last_record=before.get(Record._meta.db_table, 0),
        lead=start.lead.pk.hex if start.lead else None,
        reference=start.reference,
        number=sheet.number,
        anchored_at=anchors.columns.index("estimated_at"),
        sheet=sheet.pk,
        plan=sheet.stem.plan.pk,
    )


def replayed(start: Start, world: World) -> Sheet:
    """The same rows with what is the test's own, and the sheet as a build would hand it over."""
    now = timezone.now()
    changed: dict[object, object] = {
        world.lead: start.lead.pk.hex if start.lead else None,
        world.reference: start.reference,
        world.number: world.number.replace(world.reference, start.reference),
    }
    as_written = connection.ops.adapt_datetimefield_value(now)
    for rows in world.tables:
        if rows.rows:
            rows.lay(changed, estimated_at=lambda value: value and as_written)
    first = last_numbers().get(Record._meta.db_table, 0)
    follow(start.company, world.records, now)
    moved = first - world.last_record
    for rows in world.on_records:
        rows.lay({}, record_id=lambda key: key + moved)
    mark_on_commit(start.company)
    return handed_over(start, world)


def follow(company: Company, records: Sequence[Record], now: dt.datetime) -> None:
    """Append the records to the company's chain as it stands."""
    last = Record.objects.for_company(company).order_by("-sequence").first()
    entered_at = max(now, last.entered_at) if last else now
    links = []
    for each in records:
        values = {f.attname: getattr(each, f.attname) for f in Record._meta.concrete_fields if not f.primary_key}
        link = Record(**values | {
            "sequence": last.sequence + 1 if last else 1, "previous_hash": last.hash if last else FIRST,
            "happened_at": now, "entered_at": entered_at,
        })  # fmt: skip
        link.hash = record_hash(link)
        links.append(link)
        last = link
    Record.objects.bulk_create(links)


def handed_over(start: Start, world: World) -> Sheet:
    plan = PullPlan.objects.select_related("stem__job__lead").get(pk=world.plan)
    stem = plan.stem
    stem.job.company = start.company
    if start.lead:
        stem.job.lead = start.lead
    sheet = Sheet.objects.get(pk=world.sheet)
    plan.stem = sheet.stem = stem
    return sheet
