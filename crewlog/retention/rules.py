"""What stands in the way of removing a person's data: periods that run, holds that stand."""

import datetime as dt
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Self

from django.apps import apps
from django.db.models import Max, Q, QuerySet

from crewlog.dates import day_words, local_day, months_on
from crewlog.evidence.subjects import about
from crewlog.hooks import PEOPLE_UNDER, REFUSERS, Refusal, subject_of
from crewlog.models import Company, Hold, IssuedDocument, Person, Record, RetentionPeriod
from crewlog.retention.defaults import ensure_default_periods

END_OF_ITEM, ITEM = "gear.retirement", "gear.gearitem"


def kind_words(kind: str) -> str:
    """The kind of a record in words: "gear.item-changed" is "item changed"."""
    return kind.rpartition(".")[2].replace("-", " ")


@dataclass(frozen=True, slots=True)
class RetentionRules:
    """A company's periods, read once."""

    periods: tuple[RetentionPeriod, ...]

    @classmethod
    def of(cls, company: Company) -> Self:
        """The company's periods; the defaults are entered where it has none."""
        ensure_default_periods(company)
        return cls(tuple(RetentionPeriod.objects.for_company(company)))

    def period_for(self, kind: str) -> RetentionPeriod:
        """The period of a kind of record: the one named most closely, in the end the one for everything."""
        return max((p for p in self.periods if kind.startswith(p.kind)), key=lambda p: len(p.kind))


def records_naming(person: Person) -> QuerySet[Record]:
    """Every record that names a person: as printed, as who entered it, or by id in what it says."""
    rows: QuerySet[Record] = Record.objects.filter(about(Person, [person.pk])).order_by()
    return rows


def people_in(records: Iterable[Record]) -> set[str]:
    """Ids of everyone whom the records name. Queries unless they were read."""
    found: set[str] = set()
    for record in records:
        found |= {key for key, _ in json.loads(record.names)}
        found |= {str(key) for key in (record.entered_by_id, record.on_behalf_of_id) if key is not None}
    return found


def obstacles(person: Person, *, on: dt.date) -> list[Refusal]:
    """Everything that stands in the way of removing a person's data on a day; empty when nothing does."""
    found = [*standing_holds(person), *running_periods(person, on=on), *kept_in_use(person)]
    for refuser in REFUSERS:
        found += refuser(person)
    return found


def running_periods(person: Person, *, on: dt.date) -> Iterator[Refusal]:
    """Kinds of record that name the person and whose period still runs. One query besides the periods."""
    book = RetentionRules.of(person.company)
    last = records_naming(person).order_by("kind").values_list("kind").annotate(last=Max("happened_at"))
    for kind, moment in last:
        period = book.period_for(kind)
        day = local_day(moment, person.company.time_zone)
        ends = months_on(day, period.months)
        if period.months and ends >= on:
            yield Refusal(
                f"retention-runs:{kind}",
                f"{kind_words(kind).capitalize()}: names are kept until {day_words(ends)}, "
                f"{period.months} months from the last record of {day_words(day)}.",
            )


def item_of(body: str) -> int | None:
    """The item that a record's body names."""
    said: dict[str, int | None] = json.loads(body)
    return said.get("item_id", said.get("item"))


def kept_in_use(person: Person) -> Iterator[Refusal]:
    """First and latest records of items in service, where the period says that they are kept while it is used."""
    company = person.company
    for period in RetentionRules.of(company).periods:
        if not period.while_in_use:
            continue
        mine = {r.pk: item_of(r.body) for r in records_naming(person).filter(kind__startswith=period.kind)}
        used = {item for item in mine.values() if item is not None}
        used -= ended_items(used)
        kept = first_and_last(period.kind, used)
        count = len({mine[pk] for pk in kept & mine.keys()})
        if count:
            items = "an item" if count == 1 else f"{count} items"
            yield Refusal(
                f"retention-runs:{period.kind}",
                f"{kind_words(period.kind).capitalize()}: the first and the latest of {items} in service name this "
                "person; they are kept while the item is used.",
            )


def records_of_items(kind: str, items: Iterable[int]) -> QuerySet[Record]:
    """Records about any of some items, of the kinds that begin so."""
    named = about(apps.get_model(ITEM), items)
    rows: QuerySet[Record] = Record.objects.filter(named, kind__startswith=kind).order_by()
    return rows


def ended_items(items: set[int]) -> set[int]:
    """Those of some items that a record says are retired. One query."""
    ended = (item_of(record.body) for record in records_of_items(END_OF_ITEM, items))
    return {item for item in ended if item is not None}


def first_and_last(kind: str, items: set[int]) -> set[int]:
    """Keys of the first and of the latest record of each item, for each sort that the body calls its kind."""
    ends: dict[tuple[int, str], list[int]] = {}
    if not items:
        return set()
    rows = records_of_items(kind, items).order_by("happened_at", "sequence")
    for record in rows.iterator(chunk_size=2000):
        said = json.loads(record.body)
        item = said.get("item_id", said.get("item"))
        if item in items:
            ends.setdefault((item, str(said.get("kind", ""))), []).append(record.pk)
    return {pk for found in ends.values() for pk in (found[0], found[-1])}


def holds_in_force(company: Company) -> QuerySet[Hold]:
    """Holds that no later record lifted."""
    rows: QuerySet[Hold] = Hold.objects.for_company(company).filter(lift__isnull=True).select_related("record")
    return rows


def standing_holds(person: Person) -> Iterator[Refusal]:
    """Holds on the person, on an item or a job that something about them is on record for, or on a paper's people."""
    company, key = person.company, str(person.pk)
    for hold in holds_in_force(company):
        if hold.about == Hold.About.PERSON:
            applies = hold.subject == key or documents_naming(person).filter(names_on_paper(hold.subject)).exists()
        else:
            reached = (each for each in PEOPLE_UNDER if each.about == hold.about)
            applies = any(key in set(each.of(company, hold.subject)) for each in reached)
        if applies:
            yield Refusal(
                f"hold-stands:{hold.about}",
                f"A legal hold of {day_words(local_day(hold.record.happened_at, company.time_zone))} on "
                f"{hold_label(company, hold)} applies: {hold.because}",
            )


def hold_label(company: Company, hold: Hold) -> str:
    """What a hold is on, as people call it."""
    if hold.about == Hold.About.PERSON:
        return str(Person.objects.with_details().filter(company=company, pk=hold.subject).first() or "a person")
    return subject_of(hold.about).name(company, hold.subject)


def names_on_paper(key: str) -> Q:
    return Q(of__in=Record.objects.filter(about(Person, [key])))


def documents_naming(person: Person) -> QuerySet[IssuedDocument]:
    """Papers still kept whose record names a person."""
    rows = IssuedDocument.objects.for_company(person.company).filter(of__in=records_naming(person), bytes__isnull=False)
    return rows
