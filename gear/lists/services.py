"""Bringing a list into the register: kept, mapped, checked, confirmed. All of its rows or none."""

import dataclasses
import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction

from crewlog.models import Company, Membership, Person, Role
from crewlog.people.rights import must_be_ours, require_role
from gear.lists.checking import Report, check_list
from gear.lists.faults import Fault, Unreadable
from gear.lists.headings import heading_faults, read_headings
from gear.lists.reading import Plan
from gear.lists.rows_in import ImportResult, ListFile, ListRefused, import_list
from gear.lists.source import Source, open_source, rows_of
from gear.lists.values import Habits
from gear.models import ColumnMapping, ListUpload

MAX_REMEMBERED = 1_000  # headings


@transaction.atomic
def keep_upload(*, actor: Membership, name: str, data: bytes) -> ListUpload:
    """Keep a file for its owner until it is confirmed or a day has passed. It takes the place of an earlier one.

    Raises Unreadable for what is no list.
    """
    require_role(actor, Role.OWNER)
    open_source(data)
    ListUpload.objects.lapsed().delete()
    ListUpload.objects.filter(member=actor).delete()
    return ListUpload.objects.create(
        company=actor.company,
        member=actor,
        name=name[:120] or "list",
        data=data,
        sha256=hashlib.sha256(data).hexdigest(),
    )


def mapping_of(company: Company) -> ColumnMapping:
    """What the company remembers of its lists; unsaved where it remembers nothing."""
    return ColumnMapping.objects.filter(company=company).first() or ColumnMapping(company=company)


def habits_of(company: Company, date_order: str) -> Habits:
    """How a company writes, and its people by id and name. One query."""
    people: dict[str, list[str]] = {}
    for person in Person.objects.for_company(company).with_details():
        for key in {str(person.pk), str(person).casefold()}:
            people.setdefault(key, []).append(str(person.pk))
    return Habits(date_order=date_order, unit_system=company.unit_system, people=people)


def plan_for(company: Company, source: Source, choices: Mapping[str, Any]) -> Plan:
    """How a list is read: by what was chosen for it, else as the company's lists were read before.

    Raises Unreadable for a file without headings.
    """
    remembered = mapping_of(company)
    encoding = str(choices.get("encoding", "") or source.encoding)
    sheet = str(choices.get("sheet", ""))
    first = next(iter(rows_of(source, encoding=encoding, sheet=sheet)), None)
    if first is None:
        raise Unreadable("The list is empty. The first row holds the headings, each row below one item.")
    columns = read_headings(first.cells, choices.get("columns") or remembered.columns)
    return Plan(
        columns=tuple(columns),
        heading_row=first.number,
        uses=tuple(choices.get("uses", remembered.uses)),
        habits=habits_of(company, str(choices.get("date_order", remembered.date_order))),
        encoding=encoding,
        sheet=sheet,
    )


def open_questions(source: Source, plan: Plan, choices: Mapping[str, Any]) -> list[Fault]:
    """What has to be said before the rows can be read."""
    faults = heading_faults(plan.columns, plan.uses)
    if not source.encoding_is_certain and not choices.get("encoding"):
        faults.insert(0, Fault(0, "", "", "", "The file is not in UTF-8. Say how its letters are to be read."))
    return [dataclasses.replace(fault, row=plan.heading_row) if fault.row else fault for fault in faults]


def take_list(actor: Membership, upload: ListUpload) -> None:
    """Refuse who brings no lists in, and a kept list of another company."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, upload.company_id, "list")


def read_file_as(*, actor: Membership, upload: ListUpload, said: Mapping[str, str]) -> None:
    """Set the sheet of a kept list, or the encoding of its letters; what its columns are is asked anew.

    Raises Unreadable where that cannot be.
    """
    take_list(actor, upload)
    plan_for(actor.company, open_source(bytes(upload.data)), said)
    upload.choices = dict(said)
    upload.report, upload.seal = None, ""
    upload.save(update_fields=["choices", "report", "seal"])


@transaction.atomic
def choose_columns(*, actor: Membership, upload: ListUpload, choices: Mapping[str, Any]) -> None:
    """Set how a list is read, and remember it for the company's next one."""
    take_list(actor, upload)
    upload.choices = dict(choices)
    upload.report, upload.seal = None, ""
    upload.save(update_fields=["choices", "report", "seal"])
    mapping = mapping_of(actor.company)
    columns = {**mapping.columns, **choices.get("columns", {})}
    mapping.columns = dict(list(columns.items())[-MAX_REMEMBERED:])
    mapping.date_order = choices.get("date_order", "")
    mapping.uses = list(choices.get("uses", []))
    mapping.full_clean(validate_unique=False)
    mapping.save()


def seal_of(upload: ListUpload, company: Company) -> str:
    """Hash of a file and of everything that decides how it is read."""
    said = [upload.sha256, upload.choices, company.unit_system]
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()


def check_upload(*, actor: Membership, upload: ListUpload) -> Report:
    """Check a kept list and keep what was found beside it, for the preview. Nothing is registered."""
    take_list(actor, upload)
    source = open_source(bytes(upload.data))
    plan = plan_for(actor.company, source, upload.choices)
    questions = open_questions(source, plan, upload.choices)
    report = asked(questions) if questions else check_list(actor.company, source, plan)
    upload.report = report.as_dict()
    upload.seal = seal_of(upload, actor.company)
    upload.save(update_fields=["report", "seal"])
    return report


def asked(questions: Sequence[Fault]) -> Report:
    report = Report()
    for question in questions:
        report.add(question)
    return report


def import_upload(*, actor: Membership, upload: ListUpload, seal: str, doubts_accepted: bool = False) -> ImportResult:
    """Bring in a kept list as it was previewed; everything is checked again. The upload goes with it.

    Raises ListRefused with code list-changed when the file or its reading is no longer what was previewed.
    """
    take_list(actor, upload)
    if not seal or seal != upload.seal or seal != seal_of(upload, actor.company):
        report = check_upload(actor=actor, upload=upload)
        raise ListRefused("The list was changed since. Look at it again.", code="list-changed", report=report)
    source = open_source(bytes(upload.data))
    plan = plan_for(actor.company, source, upload.choices)
    questions = open_questions(source, plan, upload.choices)
    if questions:
        raise ListRefused("First say how the list is to be read.", code="list-unmapped", report=asked(questions))
    with transaction.atomic():
        waiting = ListUpload.objects.waiting_for(actor).filter(pk=upload.pk, seal=seal)
        if not waiting.delete()[0]:  # one of two confirmations at once
            raise ListRefused("This list was already imported.", code="list-gone", report=Report())
        file = ListFile(upload.name, upload.sha256)
        return import_list(actor=actor, source=source, plan=plan, file=file, doubts_accepted=doubts_accepted)
