"""Issuing a sheet, or refusing it; withdrawing one; filling a draft from the store."""

import dataclasses
from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence

from django.db import transaction
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, canonical_json, chain_head
from crewlog.evidence.documents import keep_document
from crewlog.felling_words import felling_words_of
from crewlog.models import Company, Membership, Person
from crewlog.people.rights import must_be_ours, require_role
from crewlog.quantities.number_style import numbers_with
from crewlog.stale import Opened
from crewlog.web.access import COMPANY_PEOPLE
from gear.fitness.changes import Loss
from gear.fitness.facts import item_fitness
from gear.models import GearItem
from jobs.errors import SheetRefused
from jobs.models import (
    Assignment,
    IssuedSheet,
    Sheet,
    SheetRefusal,
    SheetWithdrawal,
    WithdrawalSeen,
)
from jobs.models.shown_values import assignments_as_values, position_values
from jobs.plans.data import load_plan_data
from jobs.plans.watched import watched_inputs
from jobs.sheet_pdf.job_sheet import render_job_sheet
from jobs.sheets.assign import assign_item, is_issued, must_be_draft, must_plan
from jobs.sheets.bookings import booking_findings
from jobs.sheets.candidates import best_filling
from jobs.sheets.check import SheetCheck, check_sheet, on_path, roles_of
from jobs.sheets.content import build_content
from jobs.sheets.dependents import assignments_in_force
from jobs.sheets.duties import holder_of, sheet_duties
from jobs.sheets.emergency import must_be_looked_at
from jobs.sheets.gear_fit import fitness_findings
from jobs.sheets.notices import queue_withdrawal_mails
from jobs.sheets.snapshot import snapshot_sha256, take_snapshot
from jobs.wording.finding import Finding


def issue_sheet(
    *, actor: Membership, sheet: Sheet, looked_at: Collection[str], opened: Opened | None = None
) -> IssuedSheet:
    """Issue a sheet, or raise SheetRefused with every reason. There is no override.

    `looked_at` are the codes of jobs.sheets.emergency that were looked at again just now, `opened` their answers as
    they were shown; NotLookedAt without one, StaleEdit where an answer was changed since.
    A refused attempt leaves a record of its codes and inputs. The heavy work is done before the lock is taken;
    under the lock the gear is looked at once more, so that an item quarantined in between is caught.
    """
    must_plan(actor, sheet)
    must_be_draft(sheet, lock=False)
    sheet = Sheet.objects.with_stem().get(pk=sheet.pk)  # the row at hand may hold the plan as it was
    company = sheet.stem.job.company  # where no request has set how it writes
    with numbers_with(company.decimal_mark), felling_words_of(company.felling_words):
        return check_and_issue(actor, sheet, looked_at=looked_at, opened=opened)


def check_and_issue(
    actor: Membership, sheet: Sheet, *, looked_at: Collection[str], opened: Opened | None
) -> IssuedSheet:
    """The same for a sheet read afresh."""
    check = check_sheet(sheet)
    if not check.stands:
        record_refusal(actor, check)
        raise SheetRefused(check.refusals)
    company = check.plan_data.job.company
    must_be_looked_at(looked_at, check.plan_data.job, opened)
    snapshot = take_snapshot(check, looked_at=looked_at)
    late: tuple[Finding, ...]
    with transaction.atomic():
        Company.objects.select_for_update().get(pk=company.pk)
        must_be_draft(sheet)
        late = tuple(changed_since(check))
        if not late:
            return store_issue(actor, check, snapshot)
    record_refusal(actor, dataclasses.replace(check, findings=(*check.findings, *late)))
    raise SheetRefused(late)


def changed_since(check: SheetCheck) -> Iterator[Finding]:
    """What became unfit, was booked or was changed since the check, read afresh under the lock."""
    yield from gear_since(check)
    sheet = Sheet.objects.with_stem().get(pk=check.sheet.pk)
    inputs = watched_inputs(on_path(load_plan_data(sheet.stem, sheet)))
    holders = tuple(holder_of(row, sheet.day) for row in sheet_duties(sheet))
    if inputs != watched_inputs(check.plan_data) or sorted(map(str, holders)) != sorted(map(str, check.holders)):
        yield Finding(
            code="changed-meanwhile",
            severity="refusal",
            area="sheet",
            title="Changed while it was being checked",
            text="The plan, the gear or the people on the sheet are no longer those that were checked.",
            cure="Look at the sheet again, then issue it.",
            danger=3,
        )


def gear_since(check: SheetCheck) -> Iterator[Finding]:
    """Items that became unfit or were booked since the check."""
    held = {a.item_id: a for a in check.plan_data.assignments if a.item_id is not None}
    for item in GearItem.objects.filter(pk__in=held):
        if item_fitness(item, check.day):
            yield from fitness_findings(held[item.pk], item, check.day)
    yield from booking_findings(check.plan_data)


def store_issue(actor: Membership, check: SheetCheck, snapshot: str) -> IssuedSheet:
    company, now = check.plan_data.job.company, timezone.now()
    check.sheet.assignments.exclude(role__in=roles_of(check.plan_data)).delete()  # positions the plan no longer has
    head, digest = chain_head(company), snapshot_sha256(snapshot)
    content = build_content(check, issued_by=actor.person, issued_at=now, snapshot_sha256=digest, chain_head=head)
    row = IssuedSheet(
        sheet=check.sheet,
        issued_by=actor.person,
        mechanics_version=check.outcome.mechanics_version,
        snapshot=snapshot,
        snapshot_sha256=digest,
        chain_head=head,
        pdf=b"",
    )
    entry = Entry(actor=actor.person, happened_at=now)
    issue = append_row(company, entry, row, people=people_named(check))
    keep_document(of=issue.record, entry=entry, content=render_job_sheet(content))
    return issue


def people_named(check: SheetCheck) -> list[Person]:
    """Everyone whose name the sheet prints."""
    named = [check.plan_data.job.lead]
    for duty in check.sheet.duties.select_related("person__details", "supervisor__details"):
        named += [person for person in (duty.person, duty.supervisor) if person is not None]
    named += [a.anchor.estimated_by for a in check.plan_data.assignments if a.anchor is not None]
    return named


@transaction.atomic
def record_refusal(actor: Membership, check: SheetCheck) -> SheetRefusal:
    """Keep a refused attempt: its codes, and the inputs a later issue is compared with."""
    row = SheetRefusal(
        sheet=check.sheet,
        asked_by=actor.person,
        codes=canonical_json([f.full_code for f in check.refusals]),
        inputs=canonical_json(watched_inputs(check.plan_data)),
    )
    return append_row(check.plan_data.job.company, Entry(actor=actor.person), row)


@transaction.atomic
def withdraw_sheet(*, actor: Membership, sheet: Sheet, reason: str) -> SheetWithdrawal:
    """Withdraw an issued sheet as somebody chose; gear on it is free again, the paper no longer stands.

    Raises RuleBroken for a draft, for a sheet that is withdrawn already, and without a reason.
    """
    must_plan(actor, sheet)
    Company.objects.select_for_update().get(pk=actor.company_id)  # one of two at once, or of gear lost meanwhile
    if not is_issued(sheet):
        raise RuleBroken("A draft is not issued, so there is nothing to withdraw.", code="not-issued")
    if SheetWithdrawal.objects.filter(sheet=sheet).exists():
        raise RuleBroken("The sheet is withdrawn already.", code="withdrawn-already")
    if not reason.strip():
        raise RuleBroken("Say why.", code="withdrawal-without-reason", field="reason")
    return write_withdrawal(sheet, reason, entry=Entry(actor=actor.person))


def write_withdrawal(sheet: Sheet, reason: str, *, entry: Entry, item: GearItem | None = None) -> SheetWithdrawal:
    """Put the withdrawal of a standing sheet on record, with the mails that tell of it.

    What follows from gear lost comes here past `withdraw_sheet`: nobody chose it, and whoever reported the gear may not
    be one who plans. Their entry stands on both. In the transaction of the caller.
    """
    row = SheetWithdrawal(sheet=sheet, item=item, reason=reason[:300])
    withdrawal = append_row(sheet.stem.job.company, entry, row)
    queue_withdrawal_mails(withdrawal)
    return withdrawal


def withdraw_sheets_of(losses: Sequence[Loss], entry: Entry) -> None:
    """Withdraw every standing sheet that lists an item for a day on which it is no longer fit.

    Runs in the transaction that put them out of use (gear calls it as one of its listeners). Two queries, and those of
    each sheet withdrawn.
    """
    listed = defaultdict(list)
    columns = ("item", "sheet", "sheet__day")
    for item, sheet_id, day in assignments_in_force(losses[0].item.company).values_list(*columns):
        listed[item].append((sheet_id, day))
    lost: dict[int, Loss] = {}
    for loss in losses:
        for sheet_id, day in listed[loss.item.pk]:
            if day >= loss.since:
                lost.setdefault(sheet_id, loss)
    for sheet in Sheet.objects.with_stem().filter(pk__in=lost) if lost else ():
        item, words = lost[sheet.pk].item, lost[sheet.pk].words
        write_withdrawal(sheet, f"{item.tag}: {words}", entry=entry, item=item)


@transaction.atomic
def acknowledge_withdrawal(*, actor: Membership, withdrawal: SheetWithdrawal) -> None:
    """Record that a person has seen a withdrawal; once is enough."""
    require_role(actor, *COMPANY_PEOPLE)
    must_be_ours(actor, withdrawal.record.company_id, "withdrawal")
    Company.objects.select_for_update().get(pk=actor.company_id)  # one of two taps at once
    if not withdrawal.seen_by.filter(person=actor.person).exists():
        row = WithdrawalSeen(withdrawal=withdrawal, person=actor.person)
        append_row(actor.company, Entry(actor=actor.person), row)


def fill_from_store(*, actor: Membership, sheet: Sheet, rounds: int = 3) -> list[str]:
    """Fill empty and refused positions with the least over-rated set that passes; returns the positions filled.

    A rope and its block are judged against what hangs beside them, so filling is repeated while it helps.
    """
    must_plan(actor, sheet)
    must_be_draft(sheet, lock=False)
    filled: list[str] = []
    for _ in range(rounds):
        check = check_sheet(Sheet.objects.with_stem().get(pk=sheet.pk))
        chosen = best_filling(check)
        if not chosen:
            break
        with transaction.atomic():
            must_be_draft(sheet)
            for role, choice in chosen.items():
                held = [a for a in check.plan_data.assignments if a.role == role]
                if assignments_as_values(held) == position_values(sheet, role):  # else somebody was quicker
                    assign_as_chosen(actor, sheet, choice.assignment)
                    filled.append(role)
    return sorted(set(filled))


def assign_as_chosen(actor: Membership, sheet: Sheet, assignment: Assignment) -> None:
    """Assign a candidate's item in its position, used as the candidate says. Raises what `assign_item` raises."""
    if assignment.item is not None:
        assign_item(
            actor=actor,
            sheet=sheet,
            role=assignment.role,
            item=assignment.item,
            configuration=assignment.configuration,
            basket_half_angle_deg=assignment.basket_half_angle_deg,
            choke_angle_deg=assignment.choke_angle_deg,
            loaded=assignment.loaded,
        )
