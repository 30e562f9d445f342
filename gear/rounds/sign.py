"""Signing a round: what each item would be signed as, one signature under all, and failures at once."""

import datetime as dt
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from django.db import transaction
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, append_rows, canonical_json
from crewlog.models import Membership
from gear.catalogue.events import EVENTS_BY_CODE, PASSING
from gear.errors import IncompleteExamination
from gear.examinations.examination import Examination, Known, defects_of, set_due
from gear.examinations.services import Verdict, check_told, classes_examined, inspection_row, record_inspection
from gear.failures.services import held_in, hold_failures, must_be_told_in_time, newest_of, tell_as_typed
from gear.files.services import store_file
from gear.fitness.apply_evidence import apply_evidence_to_all
from gear.fitness.failed_parts import must_not_have_failed_parts
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.reasons import day_words
from gear.fitness.refresh import load_evidence
from gear.fitness.rules import Due
from gear.models import FailureFound, GearEvent, GearItem, Inspection, Round, RoundDraft, RoundDraftItem, RoundLine
from gear.models.round import NOT_PRESENTED
from gear.rounds.completeness import Completeness, completeness_of, missing_words
from gear.rounds.photographs import photographs_of
from gear.rounds.reading import FAILING, Reading, day_of, first_and_last, read_row, values_of
from gear.rounds.services import hold, why_not

STATEMENT = "I examined each of these items myself, point by point, on the day named with it."


@dataclass(frozen=True, slots=True)
class Line:
    """One item at the signature. `group` says where the page lists it; a signable line has no `why`."""

    row: RoundDraftItem
    group: str
    reading: Reading
    complete: Completeness
    due: Due | None = None
    why: str = ""

    @property
    def is_signable(self) -> bool:
        return self.group in SIGNABLE

    @property
    def outcome(self) -> str:
        failed: Inspection | None = self.row.failed_by
        return failed.verdict if failed is not None else self.reading.outcome


SIGNABLE = ("fit", "remark", "failed", "fails", NOT_PRESENTED, "not_examined")
GROUPS = (*SIGNABLE, "refused", "open")


@dataclass(frozen=True, slots=True)
class Around:
    """What stands around one item at its signature."""

    classes: frozenset[str]
    known: Known
    changed: str = ""
    held: Sequence[FailureFound] = ()
    passing: frozenset[int] = field(default_factory=frozenset)


@dataclass(frozen=True, slots=True)
class Signed:
    """What a signature brought: the round, and the items left in the draft."""

    round: Round
    left: tuple[Line, ...]


def open_rows(draft: RoundDraft) -> list[RoundDraftItem]:
    """The rows of a draft that are not signed yet, with item, answers and photographs. Four queries."""
    rows = (
        RoundDraftItem.objects.filter(draft=draft, signed_in__isnull=True)
        .select_related("item__company", "item__spliced_by", "failed_by", "draft__inspector")
        .prefetch_related("answers", "photographs", "item__parts")
        .order_by("position")
    )
    return list(rows)


def review_round(draft: RoundDraft) -> list[Line]:
    """What each item would be signed as now, with the reason where it cannot be. Queries do not grow with items."""
    rows = open_rows(draft)
    items = [row.item for row in rows]
    evidence, book = load_evidence(items), InspectionRules.of(draft.company)
    changed, held = changes_since(draft, rows), held_in(draft)
    today = draft.company.today()
    classes = {day: classes_examined(draft.inspector, on=day) for day in {today, *map(day_of, rows)}}
    passing: set[int] = set()
    lines: dict[int, Line] = {}
    for row in sorted(rows, key=lambda each: each.item.is_assembly):  # a set is judged after its parts
        around = Around(
            classes=classes[today] & classes[day_of(row)],
            known=Known(evidence[row.item_id].examined, book, evidence[row.item_id].found),
            changed=changed.get(row.item_id, ""),
            held=held.get(row.item_id, ()),
            passing=frozenset(passing),
        )
        lines[row.pk] = line = line_of(row, around)
        if line.group in PASSING:
            passing.add(row.item_id)
    return [lines[row.pk] for row in rows]


def line_of(row: RoundDraftItem, around: Around) -> Line:
    reading, complete = read_row(row), completeness_of(row, values_of(row))
    if row.failed_by_id is not None:
        return Line(row, "failed", reading, complete)
    if not reading.outcome and not reading.fault:
        return Line(row, "open", reading, complete, why=held_words(around.held))
    why = reading.fault or around.changed
    if not why and reading.outcome != NOT_PRESENTED:
        why = why_not(row.item, row.draft.inspector, around.classes)
    if not why and not reading.fails:
        why = held_words(around.held)
    if why or not complete.is_complete:
        return Line(row, "refused", reading, complete, why=why or complete.words)
    try:
        if reading.fails:
            check_failing(row, reading, around.held)
            return Line(row, "fails", reading, complete)
        due = check_line(row.item, reading, around)
    except RuleBroken as fault:
        return Line(row, "refused", reading, complete, why=fault.message)
    return Line(row, reading.outcome, reading, complete, due=due)


def held_words(held: Sequence[FailureFound]) -> str:
    """Why an item that no longer fails as it is answered is not signed; empty where nothing holds it."""
    newest = newest_of(held)
    if newest is None:
        return ""
    return (
        f"Held since it was answered as failed: {newest.reason}. "
        "Answer Fail again, or say on its page that it was entered by mistake, and why."
    )


def check_failing(row: RoundDraftItem, reading: Reading, held: Sequence[FailureFound]) -> None:
    """Raise RuleBroken where what fails cannot be put on record as it is answered."""
    item, examination, verdict = row.item, reading.examination, reading.verdict
    if not reading.fails or examination is None or verdict is None:
        raise RuleBroken("Nothing fails on it as it is answered.", code="nothing-fails", field="verdict")
    if not says_what_fails(reading, item):
        raise RuleBroken("Say what fails.", code="failure-without-words", field="findings")
    examination.check(item, verdict.verdict)
    check_told(verdict, may_follow=True)
    if verdict.told.at is not None:
        found_at = max((failure.found_at for failure in held), default=row.draft.started_at)
        must_be_told_in_time(verdict.told.at, found_at=found_at, field="told_at")


def check_line(item: GearItem, reading: Reading, around: Around) -> Due | None:
    """Raise RuleBroken where an item cannot be signed as it is answered; else the next due date it sets."""
    if reading.examination is None or reading.verdict is None:
        return None
    examination, verdict = reading.examination, reading.verdict
    examination.check(item, verdict.verdict)
    must_not_have_failed_parts(item, verdict.verdict, passing=around.passing)
    check_no_defect(item, examination, verdict.verdict, around.known)
    if verdict.verdict == "remark":
        check_remark(examination.on, verdict)
    return set_due(item, examination, verdict.verdict, verdict.next_due_on, corrects=None, known=around.known)


def check_no_defect(item: GearItem, examination: Examination, verdict: str, known: Known) -> None:
    """A defect on record is answered on the item's own page, where there is room for what was mended and by whom."""
    defects = defects_of(item, known=known)
    try:
        examination.check_cures(item, verdict, defects)
    except IncompleteExamination as fault:
        found = next(defect.words for defect in defects if fault.field == f"cure_{defect.key}")
        message = f"On record: {found.rstrip('.')}. Examine it on its own page, where what was mended is entered."
        raise RuleBroken(message, code=fault.code) from fault


def check_remark(on: dt.date, verdict: Verdict) -> None:
    if verdict.remark_due_on is None:
        raise RuleBroken("Say by when the remark is mended.", code="remark-without-date", field="remark_due_on")
    if verdict.remark_due_on < on:
        raise RuleBroken(
            "The remark's day cannot come before the examination.", code="remark-too-early", field="remark_due_on"
        )


def changes_since(draft: RoundDraft, rows: Sequence[RoundDraftItem]) -> dict[int, str]:
    """What others recorded about an item after it was first answered, by item. Three queries."""
    begun = {row.item_id: first for row in rows if (first := first_and_last(row)[0]) is not None}
    own = {row.failed_by_id for row in rows}
    changed: dict[int, str] = {}
    entered = {"item__in": list(begun), "record__entered_at__gte": draft.started_at}
    failures = Inspection.objects.filter(verdict__in=FAILING, **entered).select_related("record")
    for row in failures:
        if row.pk not in own and row.record.entered_at >= begun[row.item_id]:
            changed[row.item_id] = said_since(row.get_verdict_display(), row.examined_on)
    for failure in FailureFound.objects.filter(**entered).exclude(draft=draft).not_taken_back():
        if failure.record.entered_at >= begun[failure.item_id]:
            changed[failure.item_id] = said_since("Failed in another round", failure.found_on)
    for event in GearEvent.objects.filter(**entered).select_related("record"):
        if matters(event) and event.record.entered_at >= begun[event.item_id]:
            changed[event.item_id] = said_since(EVENTS_BY_CODE[event.kind].short, event.happened_on)
    return changed


def said_since(what: str, on: dt.date) -> str:
    return f"{what} on {day_words(on)}, recorded after you had begun with it. Look at it again."


def matters(event: GearEvent) -> bool:
    """Whether an event asks to look again: a use or a near miss does not."""
    kind = EVENTS_BY_CODE[event.kind]
    return kind.quarantines or kind.requires_examination or event.kind in ("marking_illegible", "recall")


def fingerprint(lines: Iterable[Line]) -> str:
    """What a signature stands under: every signable item with its answers, outcome and next due date."""
    said = [[line.row.item_id, line.outcome, line.due, answers_said(line)] for line in lines if line.is_signable]
    return hashlib.sha256(canonical_json(said).encode()).hexdigest()


def answers_said(line: Line) -> list[list[str]]:
    answers = [[answer.name, answer.value] for answer in line.row.answers.all()]
    return sorted([*answers, *([f"photograph {kept.point}", kept.sha256] for kept in line.row.photographs.all())])


@transaction.atomic
def record_failure(*, actor: Membership, row: RoundDraftItem) -> Inspection:
    """Record at once the inspection of an item that fails, with its photographs; it is retired now where that is said.

    The rest of the round waits for its signature. The telling of the employer is recorded where it was typed, else it
    stays open. Raises RuleBroken where what fails is not said.
    """
    hold(actor, row.draft)
    if row.failed_by_id is not None or row.signed_in_id is not None:
        raise RuleBroken("It is already recorded. Correct the examination.", code="recorded-already")
    reading = read_row(row)
    if reading.fault:
        raise RuleBroken(reading.fault, code="answer-unreadable", field=reading.fault_at)
    return write_failure(actor, row, reading)


def write_failure(actor: Membership, row: RoundDraftItem, reading: Reading) -> Inspection:
    """The inspection of an item that fails, which is held first where it is not yet, and the telling as typed."""
    hold_failures(actor=actor, rows=[row])
    held = held_in(row.draft).get(row.item_id, ())
    check_failing(row, reading, held)
    failure = newest_of(held)
    assert reading.examination is not None and reading.verdict is not None  # noqa: S101, PT018 - checked above
    inspection = record_inspection(
        actor=actor,
        item=row.item,
        examination=replace(reading.examination, files=photographs_of(row)),
        verdict=reading.verdict,
        entry=entry_of(actor, row),
        failure=failure,
    )
    row.failed_by = inspection
    row.save(update_fields=["failed_by"])
    if failure is not None:
        tell_as_typed(actor, failure, reading.verdict.told)
    return inspection


def says_what_fails(reading: Reading, item: GearItem) -> bool:
    examination = reading.examination
    return examination is not None and (
        bool(examination.found_in_words(item)) or examination.best_verdict(item) == "out_of_use"
    )


def entry_of(actor: Membership, row: RoundDraftItem) -> Entry:
    """Happened when the item was last answered, with what the device's clock said."""
    last = max(row.answers.all(), key=lambda answer: answer.answered_at, default=None)
    if last is None:
        return Entry(actor=actor.person)
    return Entry(
        actor=actor.person,
        happened_at=min(last.answered_at, timezone.now()),
        device_time=last.device_time,
        device_offset_min=last.device_offset_min,
    )


@transaction.atomic
def sign_round(*, actor: Membership, draft: RoundDraft, shown: str) -> Signed:
    """Put one signature under everything of a draft that can be signed; each item gets an inspection of its own.

    `shown` is the fingerprint of what the inspector saw: when that has changed since, nothing is signed. Items that
    cannot be signed stay in the draft, which closes when none is left. Raises RuleBroken.
    """
    held = hold(actor, draft)
    list(GearItem.objects.filter(pk__in=held.rows.values("item")).select_for_update().values_list("pk", flat=True))
    lines = review_round(held)
    signable = [line for line in lines if line.is_signable]
    if fingerprint(lines) != shown:
        raise RuleBroken("Something changed since this page was shown. Check it, then sign.", code="round-changed")
    if not signable:
        why = missing_words((line.row.item.tag, line.complete) for line in lines)
        raise RuleBroken(f"Nothing in this round can be signed yet. {why}".strip(), code="nothing-to-sign")
    for line in signable:
        if line.group == "fails":
            write_failure(actor, line.row, line.reading)
    signed = append_row(held.company, Entry(actor=actor.person), round_row(held, len(signable)), people=[actor.person])
    inspections = write_inspections(actor, [line for line in signable if line.reading.examination is not None])
    write_lines(actor, signed, signable, inspections)
    left = tuple(line for line in lines if not line.is_signable)
    RoundDraftItem.objects.filter(pk__in=[line.row.pk for line in signable]).update(signed_in=signed)
    if not left:
        held.closed_at = timezone.now()
        held.save(update_fields=["closed_at"])
    return Signed(signed, left)


def round_row(draft: RoundDraft, items: int) -> Round:
    return Round(
        inspector=draft.inspector,
        kind=draft.kind,
        title=draft.title,
        started_at=draft.started_at,
        statement=STATEMENT,
        items=items,
    )


def write_inspections(actor: Membership, lines: Sequence[Line]) -> Mapping[int, Inspection]:
    """The inspections of a round on the chain, and the state of the items after them, by item."""
    entered = []
    for line in lines:
        examination, verdict = line.reading.examination, line.reading.verdict
        if line.row.failed_by_id is not None or examination is None or verdict is None:
            continue
        row = inspection_row(line.row.item, actor.person, examination, verdict, due=line.due)
        entered.append((entry_of(actor, line.row), row))
    rows = append_rows(actor.company, entered, people=[actor.person])
    items = [row.item for row in rows]
    if items:
        apply_evidence_to_all(actor.company, items, Entry(actor=actor.person))
    written = {row.item_id: row for row in rows}
    for line in lines:
        if line.row.failed_by_id is None and line.row.item_id in written:
            store_photographs(actor, line.row, written[line.row.item_id])
    return written


def store_photographs(actor: Membership, row: RoundDraftItem, inspection: Inspection) -> None:
    """Put the photographs of an item's findings on record."""
    for point, picture in photographs_of(row).items():
        store_file(
            actor=actor, item=row.item, upload=picture, inspection=inspection, point=point, entry=entry_of(actor, row)
        )


def write_lines(actor: Membership, signed: Round, lines: Sequence[Line], inspections: Mapping[int, Inspection]) -> None:
    entry = Entry(actor=actor.person)
    rows = [
        RoundLine(
            round=signed,
            item=line.row.item,
            inspection=line.row.failed_by or inspections.get(line.row.item_id),
            outcome=line.outcome,
            seconds=line.row.seconds_spent,
        )
        for line in lines
    ]
    append_rows(actor.company, [(entry, row) for row in rows])
