"""What the pages of changes of facts show, as frozen rows."""

import hashlib
from dataclasses import dataclass
from itertools import islice

from django.db.models import QuerySet
from django.urls import reverse

from crewlog.evidence import canonical_json
from crewlog.models import Company, Membership
from crewlog.quantities.display import limit_text
from gear.fact_changes.applying import with_facts
from gear.fact_changes.services import Weighed, check_asked, may_answer, who_answers
from gear.fact_changes.words import Swap, swaps_of
from gear.files.pages import FileRow, file_row
from gear.fitness.examiners import classes_examined
from gear.fitness.reasons import day_words
from gear.models import FactChange, GearItem

PER_PAGE = 40
SHOWN_TODAY = 8


@dataclass(frozen=True, slots=True)
class Preview:
    """What a change would do, before it is entered."""

    now: tuple[Swap, ...]
    later: tuple[Swap, ...]
    effects: tuple[str, ...]
    who: str
    token: str


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """One change that waits."""

    id: int
    tag: str
    description: str
    href: str
    swaps: tuple[Swap, ...]
    why: str
    who: str
    on: str
    answered_by: str
    is_mine: bool
    may_answer: bool


def preview_of(item: GearItem, weighed: Weighed) -> Preview:
    """Raises ValidationError and RuleBroken for what cannot be true of the item."""
    units = item.company.unit_system
    effects = []
    now_counts = {name: pair[1] for name, pair in weighed.at_once.items()}
    later_counts = {name: pair[1] for name, pair in weighed.changes.items()}
    for facts, words in ((now_counts, "from now on"), (later_counts if weighed.waiting else {}, "once it applies")):
        tried = with_facts(item, facts) if facts else item
        if tried.working_limit_n != item.working_limit_n:
            then, now = (limit_text(each.working_limit_n, units) for each in (tried, item))
            effects.append(f"Carries {then} {words}; on record it carries {now}.")
    asks = FactChange(asks=check_asked(item.company))
    token = hashlib.sha256(canonical_json([item.pk, weighed.changes, weighed.ways]).encode()).hexdigest()[:16]
    return Preview(
        swaps_of(weighed.at_once, units), swaps_of(weighed.waiting, units), tuple(effects), who_answers(asks), token
    )


def waiting_changes(company: Company) -> QuerySet[FactChange]:
    """A company's changes that wait, the oldest first, with what their rows need."""
    rows: QuerySet[FactChange] = FactChange.objects.for_company(company).waiting()
    return rows.select_related("item__company", "record", "author__details", "shown_by").order_by("record_id")


def change_rows(rows: "QuerySet[FactChange] | list[FactChange]", member: Membership) -> list[ChangeRow]:
    """Changes as a list shows them. One query for what the reader may examine."""
    classes = classes_examined(member.person, on=member.company.today())
    return [change_row(row, member, classes) for row in rows]


def change_row(row: FactChange, member: Membership, classes: frozenset[str]) -> ChangeRow:
    return ChangeRow(
        id=row.pk,
        tag=row.item.tag,
        description=row.item.description,
        href=reverse("fact_change", args=[row.item.tag, row.pk]),
        swaps=swaps_of(row.changes, member.company.unit_system),
        why=f"{row.get_reason_display()}. {row.words}",
        who=str(row.author),
        on=day_words(row.record.happened_at.date()),
        answered_by=who_answers(row),
        is_mine=row.author_id == member.person_id,
        may_answer=may_answer(member, row, classes),
    )


def changes_for(member: Membership) -> list[ChangeRow]:
    """The changes that wait for this member's answer, the oldest first. Two queries."""
    classes = classes_examined(member.person, on=member.company.today())
    waiting = waiting_changes(member.company).iterator(chunk_size=10 * SHOWN_TODAY)
    found = islice((row for row in waiting if may_answer(member, row, classes)), SHOWN_TODAY)
    return [change_row(row, member, classes) for row in found]


def waiting_of(item: GearItem, member: Membership) -> list[ChangeRow]:
    """The changes of one item that wait. Two queries at most."""
    rows = list(waiting_changes(item.company).filter(item=item))
    return change_rows(rows, member) if rows else []


def shown_file(change: FactChange) -> FileRow | None:
    """The photograph or paper of a change."""
    return file_row(change.item, change.shown_by) if change.shown_by is not None else None


def marking_words(change: FactChange, units: str) -> str:
    """What an examiner is asked to read on the item: "minimum breaking strength 90.00 kN"."""
    return ", ".join(f"{swap.label.lower()} {swap.new}" for swap in swaps_of(change.changes, units))
