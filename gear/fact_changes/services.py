"""Entering a change of fact, answering one, taking one back, and saying who has to answer."""

import datetime as dt
from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from crewlog.dates import local_day
from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append, append_row
from crewlog.files.documents import Document
from crewlog.files.photographs import Photograph
from crewlog.models import Company, Membership, Person, Role
from crewlog.people.rights import require_role
from crewlog.web.access import COMPANY_PEOPLE, INSPECTORS
from gear.fact_changes.applying import with_facts, write_facts
from gear.fact_changes.rules import BY_SUBJECT, About, Way, is_mixed_life, ways_of
from gear.fact_changes.words import label_of
from gear.files.services import store_file
from gear.fitness.entries import lock, must_be_in_service
from gear.fitness.examiners import check_examiner, may_examine
from gear.fitness.inspection_rules import InspectionRules
from gear.models import (
    ChangeAnswer,
    FactChange,
    FactChangeAnswer,
    FactCheck,
    FactSetting,
    GearItem,
    Inspection,
    StoredFile,
)
from gear.recalls.services import catch_recalls_of
from gear.register.editable import TRACED, snapshot

SECOND_PEOPLE = (*INSPECTORS, Role.CREW_LEAD)
ANSWERERS = {FactCheck.EXAMINATION: INSPECTORS, FactCheck.SECOND_PERSON: SECOND_PEOPLE}


@dataclass(frozen=True, slots=True)
class Grounds:
    """Why a fact is changed and where the new one stands; `shown` is the photograph of it or the paper."""

    reason: str
    source: str
    words: str
    shown: Photograph | Document | None = None


@dataclass(frozen=True, slots=True)
class Weighed:
    """A change before it is entered: [old, new] by column, what counts at once and what waits."""

    changes: dict[str, list[Any]]
    ways: dict[str, Way]

    def going(self, *ways: Way) -> dict[str, list[Any]]:
        return {name: pair for name, pair in self.changes.items() if self.ways[name] in ways}

    @property
    def at_once(self) -> dict[str, list[Any]]:
        """What goes to the stricter side, or makes no difference to any rule."""
        return self.going("same", "stricter")

    @property
    def waiting(self) -> dict[str, list[Any]]:
        return self.going("looser")


def check_asked(company: Company) -> FactCheck:
    """Who answers a change to the favourable side in a company. One query."""
    row = FactSetting.objects.for_company(company).first()
    return FactCheck(row.check_by) if row is not None else FactCheck.EXAMINATION


@transaction.atomic
def set_check(*, actor: Membership, check_by: str) -> FactSetting:
    """Choose whether an examination of the marking is asked for, or a second person. It cannot be switched off."""
    require_role(actor, Role.OWNER)
    row = FactSetting.objects.for_company(actor.company).first() or FactSetting(company=actor.company)
    before, row.check_by = row.check_by, check_by
    if before == check_by:
        return row
    row.full_clean()
    row.save()
    body = {"check_by": [before, check_by]}
    append(actor.company, "gear.fact-check-set", Entry(actor=actor.person), body=body, people=[actor.person])
    return row


def weigh(item: GearItem, subject: str, values: Mapping[str, Any]) -> Weighed:
    """Which facts of a subject differ from those on record, and which way each goes. One query.

    `values` are Python values by column. Raises RuleBroken for a column of another subject, and where one of two lives
    gets longer and the other shorter.
    """
    found = BY_SUBJECT.get(subject)
    if found is None or set(values) - set(found.columns):
        raise RuleBroken("Choose which fact it is.", code="fact-unknown", field="subject")
    before, tried = snapshot(item), copy(item)
    for name, value in values.items():
        setattr(tried, name, value)
    after = snapshot(tried)
    changed = {name: [before[name], after[name]] for name in values if before[name] != after[name]}
    book = InspectionRules.of(item.company)
    about = About(item.gear_class, has_interval=bool(book.intervals(gear_class=item.gear_class, uses=item.uses)))
    if subject == "life" and is_mixed_life(before, after, about):
        raise RuleBroken(
            "One life gets longer and the other shorter. Enter the shorter one first, then the longer.",
            code="change-in-two-steps",
        )
    return Weighed(changed, ways_of(changed, before, after, about))


@transaction.atomic
def change_fact(
    *,
    actor: Membership,
    item: GearItem,
    subject: str,
    values: Mapping[str, Any],
    grounds: Grounds,
    entry: Entry | None = None,
) -> list[FactChange]:
    """Change facts of one subject. What goes to the stricter side counts at once; the rest waits for its answer.

    Raises RuleBroken without reason, source and words, for a change that is none, and for one to the favourable side
    without photograph or paper; ValidationError for what cannot be true of the item.
    """
    require_role(actor, *INSPECTORS)
    lock(actor, item)
    must_be_in_service(item)
    weighed = weigh(item, subject, values)
    check_grounds(weighed, grounds)
    new = {name: pair[1] for name, pair in weighed.changes.items()}
    with_facts(item, new)
    entry = entry or Entry(actor=actor.person)
    shown = keep_shown(actor, item, grounds, subject=subject, entry=entry)
    overtake(actor, item, set(weighed.changes), entry)
    made = []
    for part, waits in ((weighed.at_once, False), (weighed.waiting, True)):
        if part:
            made.append(enter(actor, item, part, grounds, subject=subject, waits=waits, shown=shown, entry=entry))
    if set(TRACED) & set(weighed.waiting):  # a recall holds it at once, whatever is read on it later
        catch_recalls_of(with_facts(item, new), item, entry)
    return made


def check_grounds(weighed: Weighed, grounds: Grounds) -> None:
    if not weighed.changes:
        raise RuleBroken("This is already the recorded value.", code="change-of-nothing", field="subject")
    for name in ("reason", "source", "words"):
        if not getattr(grounds, name).strip():
            raise RuleBroken("Say why, and give the source of the new value.", code="change-without-reason", field=name)
    if weighed.waiting and grounds.shown is None:
        named = ", ".join(label_of(name).lower() for name in weighed.waiting)
        raise RuleBroken(
            f"This is more favourable ({named}): add a photograph of the marking, or the document that states it.",
            code="change-not-shown",
            field="shown",
        )


def keep_shown(actor: Membership, item: GearItem, grounds: Grounds, *, subject: str, entry: Entry) -> StoredFile | None:
    if grounds.shown is None:
        return None
    caption = f"Change of fact: {BY_SUBJECT[subject].title.lower()}"
    return store_file(actor=actor, item=item, upload=grounds.shown, caption=caption, entry=entry)


def enter(
    actor: Membership,
    item: GearItem,
    changes: Mapping[str, list[Any]],
    grounds: Grounds,
    *,
    subject: str,
    waits: bool,
    shown: StoredFile | None,
    entry: Entry,
) -> FactChange:
    """Put one change on the chain; one that does not wait is written at once."""
    row = FactChange(
        item=item,
        subject=subject,
        changes=dict(changes),
        waits=waits,
        asks=check_asked(item.company).value if waits else "",
        author=actor.person,
        reason=grounds.reason,
        source=grounds.source,
        words=grounds.words.strip(),
        shown_by=shown,
    )
    row.validate_constraints(exclude=["record"])
    append_row(item.company, entry, row, people=[actor.person])
    if not waits:
        write_facts(item, {name: pair[1] for name, pair in changes.items()}, entry)
    return row


def overtake(actor: Membership, item: GearItem, columns: set[str], entry: Entry) -> None:
    """End what waits on the same facts: the later change counts alone."""
    for change in FactChange.objects.waiting().filter(item=item):
        if columns & set(change.changes):
            append_answer(change, ChangeAnswer.OVERTAKEN, by=actor.person, entry=entry)


def append_answer(
    change: FactChange,
    answer: ChangeAnswer,
    *,
    by: Person,
    entry: Entry,
    words: str = "",
    inspection: Inspection | None = None,
) -> FactChangeAnswer:
    row = FactChangeAnswer(
        item_id=change.item_id,
        change=change,
        answer=answer,
        author_id=change.author_id,
        by=by,
        words=words.strip(),
        inspection=inspection,
    )
    row.validate_constraints(exclude=["record"])
    return append_row(change.item.company, entry, row, people=[entry.actor, by])


@transaction.atomic
def answer_change(
    *,
    actor: Membership,
    change: FactChange,
    agrees: bool,
    words: str = "",
    by: Person | None = None,
    inspection: Inspection | None = None,
    entry: Entry | None = None,
) -> FactChangeAnswer:
    """Say whether the marking agrees with a change that waits. When it does, the change counts from now on.

    `by` is who read the marking, the actor unless a paper report is entered; with an `inspection` it was read that day.
    Raises RuleBroken for one's own change, for a day before the change was entered, and where the fact on record has
    moved since; NotCompetent where an examination is asked for.
    """
    require_role(actor, *SECOND_PEOPLE)
    item = lock(actor, change.item)
    must_be_in_service(item)
    must_wait(change)
    reader = by or actor.person
    read_on = inspection.examined_on if inspection is not None else item.company.today()
    check_answerer(actor, change, item, reader, on=read_on)
    if read_on < local_day(change.record.happened_at, item.company.time_zone):
        raise RuleBroken("This was before the change was entered. Read it again.", code="read-before", field="answer")
    changes: dict[str, list[Any]] = change.changes
    now = snapshot(item)
    if agrees and any(now[name] != pair[0] for name, pair in changes.items()):
        raise RuleBroken(
            "What is on record has changed since. Withdraw the change and enter it again.", code="fact-moved"
        )
    if not agrees and not words.strip():
        raise RuleBroken("Say what the marking reads.", code="answer-without-words", field="words")
    entry = entry or Entry(actor=actor.person, on_behalf_of=None if reader == actor.person else reader)
    answer = ChangeAnswer.AGREES if agrees else ChangeAnswer.DIFFERS
    row = append_answer(change, answer, by=reader, entry=entry, words=words, inspection=inspection)
    if agrees:
        write_facts(item, {name: pair[1] for name, pair in changes.items()}, entry)
    return row


def must_wait(change: FactChange) -> None:
    if not change.waits or FactChangeAnswer.objects.filter(change=change).exists():
        raise RuleBroken("This change has already been answered.", code="change-answered")


def check_answerer(actor: Membership, change: FactChange, item: GearItem, reader: Person, *, on: dt.date) -> None:
    """Refuse an answer to one's own change, and one of a person who may not give it."""
    if change.author_id in (reader.pk, actor.person.pk):
        raise RuleBroken(
            f"You cannot confirm your own change. {who_answers(change)}", code="own-change", field="answer"
        )
    asks = FactCheck(change.asks)
    require_role(actor, *ANSWERERS[asks])
    if asks == FactCheck.EXAMINATION:
        competent = may_examine(reader, gear_class=item.gear_class, on=on)
        check_examiner(item, reader, is_competent=competent)


def who_answers(change: FactChange) -> str:
    if change.asks == FactCheck.SECOND_PERSON:
        return "A second person must confirm it."
    return "Somebody else who is qualified for its class must examine the marking."


def may_answer(actor: Membership, change: FactChange, classes: Iterable[str]) -> bool:
    """Whether a member may answer a change; `classes` are those they may examine today."""
    if change.author_id == actor.person_id or actor.role not in ANSWERERS[FactCheck(change.asks)]:
        return False
    if change.asks == FactCheck.SECOND_PERSON:
        return True
    return change.item.gear_class in classes and change.item.spliced_by_id != actor.person_id


@transaction.atomic
def take_back(*, actor: Membership, change: FactChange, because: str) -> FactChangeAnswer:
    """End a change that waits; what is on record stays. By its author or the owner."""
    require_role(actor, *COMPANY_PEOPLE)
    lock(actor, change.item)
    must_wait(change)
    if actor.role != Role.OWNER and actor.person_id != change.author_id:
        raise RuleBroken("Only the person who entered it or the owner can withdraw it.", code="not-the-author")
    if not because.strip():
        raise RuleBroken("Say why.", code="change-without-reason", field="because")
    return append_answer(
        change, ChangeAnswer.TAKEN_BACK, by=actor.person, entry=Entry(actor=actor.person), words=because
    )
