"""Holding an item the moment a failure arrives, taking an answer back with a reason, and telling the employer."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row
from crewlog.models import Membership
from crewlog.people.rights import must_be_ours, require_role
from crewlog.web.access import INSPECTORS
from gear.examinations.services import EmployerNotice, check_examiner, may_examine
from gear.failures.finding import Fail, fails_of
from gear.failures.telling import day_in
from gear.fitness.apply_evidence import apply_evidence
from gear.fitness.entries import lock
from gear.models import RoundDraft, RoundDraftItem
from gear.models.failure import DANGERS, EmployerTold, FailureFound, FailureMistaken

COULD = DANGERS[0][0]


@dataclass(frozen=True, slots=True)
class Telling:
    """When and how the employer was told, how grave it is, and the copy to the authority."""

    at: dt.datetime
    how: str
    danger: str = COULD
    authority_copy: str = ""


def held_in(draft: RoundDraft) -> dict[int, list[FailureFound]]:
    """Failures of a round that nobody took back, by item, in the order they were found. One query."""
    rows = FailureFound.objects.filter(draft=draft).not_taken_back().select_related("record", "first__record")
    found: dict[int, list[FailureFound]] = {}
    for row in rows.order_by("record_id"):
        found.setdefault(row.item_id, []).append(row)
    return found


@transaction.atomic
def hold_failures(*, actor: Membership, rows: Iterable[RoundDraftItem]) -> list[FailureFound]:
    """Put on record what fails in these items of one round as they are answered, and take them out of use at once.

    Sheets that list them are withdrawn in the same transaction. What is on record already makes no second record; words
    written since make one that adds them. Two queries unless something fails.
    """
    require_role(actor, *INSPECTORS)
    written = []
    for row in rows:
        must_be_ours(actor, row.draft.company_id, "round")
        fails = fails_of(row) if row.signed_in_id is None and row.failed_by_id is None else []
        if fails and row.item.retired_on is None:
            written += hold_item(actor, row, fails)
    return written


def hold_item(actor: Membership, row: RoundDraftItem, fails: Sequence[Fail]) -> list[FailureFound]:
    item = lock(actor, row.item)
    known = FailureFound.objects.filter(draft=row.draft, item=item)
    standing = {failure.point: failure for failure in known.not_taken_back().select_related("record")}
    written = []
    for fail in fails:
        before = standing.get(fail.point)
        saw = fail.saw.strip() or (before.saw if before else "")
        if before is not None and (before.words, before.saw) == (fail.words, saw):
            continue
        failure = FailureFound(
            item=item,
            draft=row.draft,
            examiner=actor.person,
            examination=row.draft.kind,
            sort=fail.sort,
            point=fail.point,
            words=fail.words,
            saw=saw,
            first_id=before.root_id if before else None,
            turn=known.filter(point=fail.point).count() + 1,
        )
        entry = entry_of(actor, row, fail, corrects=before)
        failure.found_on = before.found_on if before else day_in(item.company, entry.happened_at or timezone.now())
        written.append((entry, append_row(item.company, entry, failure, people=[actor.person])))
    if written:
        apply_evidence(item, written[0][0])
    return [failure for _, failure in written]


def entry_of(actor: Membership, row: RoundDraftItem, fail: Fail, *, corrects: FailureFound | None) -> Entry:
    """Happened when it was answered, with what the device's clock said."""
    answer = next((each for each in row.answers.all() if each.name == fail.box), None)
    record = corrects.record if corrects is not None else None
    if answer is None:
        return Entry(actor=actor.person, corrects=record)
    return Entry(
        actor=actor.person,
        happened_at=min(answer.answered_at, timezone.now()),
        device_time=answer.device_time,
        device_offset_min=answer.device_offset_min,
        corrects=record,
    )


@transaction.atomic
def take_back_failure(
    *, actor: Membership, row: RoundDraftItem, because: str, looked_at_again: bool
) -> list[FailureMistaken]:
    """Say that failures of an item were answered by mistake and that it was looked at again.

    Only by the competent examiner who answered, in the same open round, once the points are answered anew. The records
    stay; sheets that were withdrawn stay withdrawn. Raises RuleBroken.
    """
    require_role(actor, *INSPECTORS)
    item = lock(actor, row.item)
    draft = RoundDraft.objects.for_company(actor.company).get(pk=row.draft_id)
    standing = held_in(draft).get(item.pk, [])
    if draft.inspector_id != actor.person.pk or any(f.examiner_id != actor.person.pk for f in standing):
        raise RuleBroken("Only the person who answered it can say that it was a mistake.", code="not-your-round")
    if draft.closed_at is not None or row.signed_in_id is not None or row.failed_by_id is not None or not standing:
        raise RuleBroken("There is no failure to withdraw here. Have it examined.", code="nothing-held")
    today = actor.company.today()
    check_examiner(item, actor.person, is_competent=may_examine(actor.person, gear_class=item.gear_class, on=today))
    if fails_of(row):
        raise RuleBroken("It still fails as it is answered. Answer the point again first.", code="still-fails")
    if not looked_at_again:
        raise RuleBroken("Look at the item again first.", code="not-looked-at-again", field="looked_at_again")
    if not because.strip():
        raise RuleBroken("Say how the wrong answer came about.", code="mistake-without-reason", field="because")
    entry = Entry(actor=actor.person)
    rows = [
        append_row(
            item.company,
            entry,
            FailureMistaken(
                failure=failure,
                item=item,
                examiner=actor.person,
                because=because.strip()[:300],
                looked_at_again=True,
            ),
            people=[actor.person],
        )
        for failure in standing
    ]
    apply_evidence(item, entry)
    return rows


@transaction.atomic
def tell_employer(*, actor: Membership, failure: FailureFound, telling: Telling) -> EmployerTold:
    """Put on record when and how the employer was told of an item's failures up to this one, and of none found since.

    Raises RuleBroken.
    """
    require_role(actor, *INSPECTORS)
    item = lock(actor, failure.item)
    untold = FailureFound.objects.untold(actor.company, until=failure.pk).filter(draft=failure.draft_id, item=item)
    if not untold.exists():
        raise RuleBroken("This is already recorded.", code="told-already")
    if not telling.how.strip():
        raise RuleBroken("Say how the employer was told, and where it is noted.", code="employer-not-told", field="how")
    if telling.danger not in dict(DANGERS):
        raise RuleBroken("Choose how grave it is.", code="danger-unknown", field="danger")
    must_be_told_in_time(telling.at, found_at=failure.found_at, field="at")
    row = EmployerTold(
        failure=failure,
        item=item,
        told_at=telling.at,
        told_how=telling.how.strip()[:160],
        danger=telling.danger,
        authority_copy=telling.authority_copy.strip()[:160],
    )
    return append_row(item.company, Entry(actor=actor.person), row, people=[actor.person])


def must_be_told_in_time(at: dt.datetime, *, found_at: dt.datetime, field: str) -> None:
    """Refuse a telling before the failure was found, or ahead of now."""
    if at > timezone.now() + dt.timedelta(minutes=5):
        raise RuleBroken("This is in the future. Say when the employer was told.", code="told-in-future", field=field)
    if at < found_at.replace(second=0, microsecond=0):  # boxes hold minutes
        raise RuleBroken("The employer cannot have been told before it was found.", code="told-too-early", field=field)


def tell_as_typed(actor: Membership, failure: FailureFound, told: EmployerNotice) -> None:
    """Record the telling that was typed with a failure, where it was and is not on record yet."""
    if told.at is not None and told.how.strip():
        untold = FailureFound.objects.untold(actor.company).filter(draft=failure.draft_id, item=failure.item_id)
        for newest in untold[:1]:
            telling = Telling(told.at, told.how, authority_copy=told.authority_copy)
            tell_employer(actor=actor, failure=newest, telling=telling)


def newest_of(failures: Sequence[FailureFound]) -> FailureFound | None:
    return failures[-1] if failures else None
