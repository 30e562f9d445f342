"""Recording inspections and correcting them."""

import datetime as dt
from dataclasses import dataclass, field, replace

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row
from crewlog.models import Membership, Person, Role
from crewlog.people.rights import require_role
from crewlog.web.access import COMPANY_PEOPLE, INSPECTORS
from gear.catalogue.events import EXAMINATIONS
from gear.errors import AlreadyRetired, NotCompetent
from gear.events.retire import write_retirement
from gear.examinations.examination import Answer, Examination, defects_of, latest_due, set_due
from gear.fact_changes.services import answer_change
from gear.files.services import store_file
from gear.fitness.apply_evidence import apply_evidence
from gear.fitness.entries import entry_for, lock, must_be_in_service
from gear.fitness.examiners import check_examiner, classes_examined, competences_for, may_examine
from gear.fitness.failed_parts import must_not_have_failed_parts
from gear.fitness.rules import Due
from gear.models import FactChange, FailureFound, GearItem, Inspection

__all__ = [
    "Answer",
    "Examination",
    "check_examiner",
    "classes_examined",
    "competences_for",
    "correct_inspection",
    "latest_due",
    "may_examine",
    "record_inspection",
]


@dataclass(frozen=True, slots=True)
class EmployerNotice:
    """How the employer was told of a defect that is or could become a danger, and the copy to the authority."""

    at: dt.datetime | None = None
    how: str = ""
    authority_copy: str = ""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the inspector signs: verdict, the remark's date, the next due date, what becomes of a retired one."""

    verdict: str
    remark_due_on: dt.date | None = None
    next_due_on: dt.date | None = None
    residual_strength_ratio: float | None = None
    disposal: str = ""
    told: EmployerNotice = field(default_factory=EmployerNotice)


@transaction.atomic
def record_inspection(
    *,
    actor: Membership,
    item: GearItem,
    examination: Examination,
    verdict: Verdict,
    inspector: Person | None = None,
    from_paper: bool = False,
    entry: Entry | None = None,
    failure: FailureFound | None = None,
) -> Inspection:
    """Record an inspection and what follows from it.

    `inspector` is who examined, the actor unless it was on paper. A passing examination returns an item to service, a
    failing one takes it out, `retire` retires it for good. `failure` is the one a round holds the item for: the telling
    of the employer stands with it and may follow. Raises RuleBroken with a stable code, nothing changed.
    """
    require_role(actor, *may_sign(examination.kind))
    lock(actor, item)
    must_be_in_service(item)
    return write_inspection(
        actor, item, examination, verdict, inspector=inspector, from_paper=from_paper, entry=entry, failure=failure
    )


@transaction.atomic
def correct_inspection(
    *,
    actor: Membership,
    inspection: Inspection,
    because: str,
    examination: Examination,
    verdict: Verdict,
    inspector: Person | None = None,
    from_paper: bool = False,
) -> Inspection:
    """Put a wrong inspection right by a new one that points at it; the old one stays on record.

    A verdict that retired the item stands: nothing brings it back.
    """
    require_role(actor, *may_sign(examination.kind))
    item = lock(actor, inspection.item)
    if not because.strip():
        raise RuleBroken("Say what was wrong.", code="correction-without-reason", field="because")
    if inspection.verdict == "retire" or item.is_retired:
        raise AlreadyRetired(f"{item.tag} is retired; its last examination stays valid.")
    if inspection.record.corrections.exists():
        raise RuleBroken("That examination was already corrected. Correct the later one.", code="corrected-already")
    signer = inspector or actor.person
    if signer.pk != inspection.inspector_id and actor.role != Role.OWNER:
        raise RuleBroken("Only its signer or the owner can correct an examination.", code="not-the-signer")
    entry = entry_for(actor, examination.on, from_paper=from_paper, on_behalf_of=_other(actor, signer))
    entry = replace(entry, corrects=inspection.record)
    return write_inspection(
        actor,
        item,
        examination,
        verdict,
        inspector=inspector,
        from_paper=from_paper,
        entry=entry,
        because=because,
        failure=inspection.failure,
    )


def may_sign(kind: str) -> tuple[Role, ...]:
    """The roles that sign an inspection: a look before use is everybody's."""
    return COMPANY_PEOPLE if kind == "pre_use" else INSPECTORS


def write_inspection(
    actor: Membership,
    item: GearItem,
    examination: Examination,
    verdict: Verdict,
    *,
    inspector: Person | None,
    from_paper: bool,
    entry: Entry | None,
    because: str = "",
    failure: FailureFound | None = None,
) -> Inspection:
    signer = inspector or actor.person
    check_signer(actor, item, signer, examination, from_paper=from_paper)
    examination.check(item, verdict.verdict)
    must_not_have_failed_parts(item, verdict.verdict)
    entry = entry_for(actor, examination.on, from_paper=from_paper, on_behalf_of=_other(actor, signer), entry=entry)
    defects = defects_of(item, corrects=entry.corrects)
    examination.check_cures(item, verdict.verdict, defects)
    due = set_due(item, examination, verdict.verdict, verdict.next_due_on, corrects=entry.corrects)
    check_told(verdict, may_follow=failure is not None)
    row = inspection_row(item, signer, examination, verdict, due=due)
    row.cures = examination.cures_as_rows(defects)
    row.because, row.failure = because, failure
    row.validate_constraints(exclude=["record"])
    append_row(item.company, entry, row, people=[actor.person, signer])
    if verdict.verdict == "retire":
        reason = examination.found_in_words(item) or "Failed its examination"
        write_retirement(item, entry=entry, on=examination.on, because=reason, disposal=verdict.disposal)
    apply_evidence(item, entry)
    answer_markings(actor, row, signer, examination, entry=replace(entry, corrects=None))
    for point, file in examination.files.items():
        store_file(
            actor=actor, item=item, upload=file, inspection=row, point=point, entry=replace(entry, corrects=None)
        )
    return row


def answer_markings(
    actor: Membership, row: Inspection, signer: Person, examination: Examination, *, entry: Entry
) -> None:
    """Answer the changes of fact that the examiner read on the item; each that agrees counts from now on."""
    if not examination.markings:
        return
    if row.kind not in EXAMINATIONS or row.verdict in ("retire", "not_examined"):
        raise RuleBroken("Confirm the change in an examination that keeps the item.", code="marking-not-examined")
    for key, answer in examination.markings.items():
        change = FactChange.objects.waiting().filter(item=row.item, pk=key).first()
        if change is None:
            raise RuleBroken("This change has already been answered.", code="change-answered", field=f"marking_{key}")
        try:
            answer_change(
                actor=actor,
                change=change,
                agrees=answer.answer == "agrees",
                words=answer.saw,
                by=signer,
                inspection=row,
                entry=entry,
            )
        except RuleBroken as fault:
            boxes = {"answer": f"marking_{key}", "words": f"reads_{key}"}  # as the form of an inspection names them
            fault.field = boxes.get(fault.field or "", fault.field)
            raise


def inspection_row(
    item: GearItem, signer: Person, examination: Examination, verdict: Verdict, *, due: Due | None
) -> Inspection:
    """The row of evidence, not yet on the chain."""
    return Inspection(
        item=item,
        kind=examination.kind,
        examined_on=examination.on,
        declaration_dated_on=examination.declaration_dated_on,
        inspector=signer,
        checklist_version=item.declared.checklist_label if examination.answers else "",
        answers=examination.answers_as_rows(item),
        measures=examination.measures_as_rows(item),
        findings=examination.found_in_words(item),
        verdict=verdict.verdict,
        remark_due_on=verdict.remark_due_on,
        next_due_on=due.on if due else None,
        next_due_basis=due.basis if due else "",
        marking_legible=examination.marking_is_legible,
        residual_strength_ratio=verdict.residual_strength_ratio,
        employer_told_at=verdict.told.at,
        employer_told_how=verdict.told.how,
        authority_copy=verdict.told.authority_copy,
    )


def check_signer(
    actor: Membership, item: GearItem, signer: Person, examination: Examination, *, from_paper: bool
) -> None:
    """Refuse who may not sign: no standing competence, their own splice, or in another's name without a paper."""
    if signer.company_id != item.company_id:
        raise RuleBroken("The examiner is not entered here.", code="other-company", field="inspector")
    if signer.pk != actor.person.pk and not from_paper:
        raise NotCompetent(
            "You cannot sign for another person. Enter a paper report as one.",
            code="sign-for-another",
            field="inspector",
        )
    if examination.kind in EXAMINATIONS:
        competent = may_examine(signer, gear_class=item.gear_class, on=examination.on)
        check_examiner(item, signer, is_competent=competent)


def check_told(verdict: Verdict, *, may_follow: bool = False) -> None:
    """A defect that is or could become a danger is told to the employer at once; of one that a round holds the item
    for, the telling may follow. Half of it is never kept.
    """
    if verdict.verdict not in ("out_of_use", "retire"):
        return
    at, how = verdict.told.at, verdict.told.how.strip()
    is_open = may_follow and at is None and not how
    if not is_open and (at is None or not how):
        raise RuleBroken(
            "The employer must be told at once of a defect that is or could become a danger. Say when and how.",
            code="employer-not-told",
            field="told_how",
        )
    if verdict.verdict == "retire" and not verdict.disposal:
        raise RuleBroken("Say what becomes of it.", code="disposal-missing", field="disposal")


def _other(actor: Membership, signer: Person) -> Person | None:
    return signer if signer.pk != actor.person.pk else None
