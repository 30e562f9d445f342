"""Examinations and what is said of them as the content of a report."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from crewlog.models import Company, ExaminerDetails, Person
from crewlog.pdf.content import Fact, Mark
from crewlog.quantities.display import limit_text, quantity_text
from gear.failures.telling import ToldOf, authority_copy_of, tellings_of
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.reasons import day_words, moment_words
from gear.models import GearItem, Inspection
from gear.reports import schedule
from gear.reports.changes import changes_since
from gear.reports.choice import COULD, NONE, NOW, REPORTED_KINDS, ReportRequest
from gear.reports.content import ItemReport, MeasureLine, PointLine

LOLER = "LOLER"
NO_DEFECT = "None found."
KIND_OF_UNIT = {"_mm": "diameter_gear", "_m": "length", "_ratio": "percent"}


def previous_days(inspections: Sequence[Inspection]) -> dict[int, dt.date]:
    """The last thorough examination before each of the inspections, by its key. One query."""
    rows = (
        Inspection.objects.standing()
        .filter(item__in=[i.item_id for i in inspections], kind__in=REPORTED_KINDS)
        .exclude(verdict="not_examined")
        .values_list("item_id", "examined_on", "record_id")
    )
    earlier: dict[int, list[tuple[dt.date, int]]] = {}
    for item_id, day, key in rows:
        earlier.setdefault(item_id, []).append((day, key))
    found = {}
    for each in inspections:
        before = [day for day, key in earlier.get(each.item_id, []) if (day, key) < (each.examined_on, each.pk)]
        if before:
            found[each.pk] = max(before)
    return found


def item_reports(
    inspections: Sequence[Inspection], said: Mapping[int, ReportRequest], company: Company
) -> tuple[ItemReport, ...]:
    """Each examination as the report prints it. Queries by kind of row, not by examination."""
    book, before = InspectionRules.of(company), previous_days(inspections)
    changed, told = changes_since(inspections, company.unit_system), tellings_of(inspections)
    return tuple(
        replace(
            item_report(each, said[each.pk], company, book, before=before.get(each.pk)),
            changes=changed[each.pk],
            notified=tuple(notified(each, said[each.pk], company, told.get(each.pk))),
        )
        for each in inspections
    )


def item_report(
    inspection: Inspection, said: ReportRequest, company: Company, book: InspectionRules, *, before: dt.date | None
) -> ItemReport:
    item = inspection.item
    outcome, mark = outcome_of(inspection, said)
    return ItemReport(
        tag=item.tag,
        description=item.description,
        outcome=outcome,
        mark=mark,
        next_due=day_words(inspection.next_due_on) if inspection.next_due_on else "before it is used again",
        particulars=particulars_of_item(inspection, said, company, basis=basis_words(inspection, book), before=before),
        checklist=inspection.checklist_version.rpartition(" ")[2],
        points=tuple(
            PointLine(words=a["words"], answer=str(a["answer"]).capitalize(), saw=a["saw"]) for a in inspection.answers
        ),
        measures=tuple(measure_line(row, company.unit_system) for row in inspection.measures),
        files=tuple(f"{file.sha256}{f' {file}' if file.caption else ''}" for file in inspection.files.all()),
        record=f"Record {inspection.record.sequence}, {inspection.record.hash}",
    )


def outcome_of(inspection: Inspection, said: ReportRequest) -> tuple[str, Mark]:
    """The outcome in words, and its mark."""
    if inspection.verdict in ("out_of_use", "retire"):
        return inspection.get_verdict_display(), "out"
    if said.defect.danger == NOW:
        return "Danger: not to be used", "out"
    if said.defect.danger == COULD and said.defect.could_by is not None:
        return f"To be remedied by {day_words(said.defect.could_by)}", "due"
    return inspection.get_verdict_display(), "due" if inspection.verdict == "remark" else "ok"


def particulars_of_item(
    inspection: Inspection, said: ReportRequest, company: Company, *, basis: str, before: dt.date | None
) -> dict[str, str]:
    """Every paragraph of the schedule that is said item by item. Nothing is left empty."""
    item, defect = inspection.item, said.defect
    first = said.is_first_in_place
    installed = schedule.INSTALLED_CORRECTLY if said.is_installed_correctly else schedule.NOT_INSTALLED_CORRECTLY
    return {
        "3": identification(item),
        "4": day_words(before) if before else "None on record: this is the first.",
        "5": working_load(item, company.unit_system),
        "6(a)": "Yes." if first else not_first(item),
        "6(b)": installed if first else "Does not apply.",
        "7(a)": "Does not apply: see paragraph 6." if first else basis,
        "7(b)": operable(inspection, said),
        "8(a)": NO_DEFECT if defect.danger == NONE else f"{defect.part}: {defect_words(inspection)}",
        "8(b)": defect.remedy if defect.danger == NOW else "None: no defect that is a danger.",
        "8(c)(i)": day_words(defect.could_by) if defect.danger == COULD and defect.could_by else "Does not apply.",
        "8(c)(ii)": defect.remedy if defect.danger == COULD else "Does not apply.",
        "8(d)": next_words(inspection),
        "8(e)": said.tests or "No test was part of it. Measurements are listed below.",
        "8(f)": f"{day_words(inspection.examined_on)} ({inspection.get_kind_display().lower()})",
    }


def identification(item: GearItem) -> str:
    known = [
        f"Tag {item.tag}: {item.description} ({item.declared.name.lower()})",
        f"maker {item.maker}" if item.maker else "maker not known",
        f"model {item.maker_model}" if item.maker_model else "",
        f"serial {item.serial}" if item.serial else "no serial number",
        f"batch {item.batch}" if item.batch else "",
        f"standard marked {item.standard_marked}" if item.standard_marked else "",
        f"made {day_words(item.manufactured_on)}" if item.manufactured_on else "date of manufacture not known",
    ]
    return "; ".join(part for part in known if part) + "."


def working_load(item: GearItem, units: str) -> str:
    """The limit as rated; of a sling by how it is hung, for the configuration it was examined in."""
    shown = [
        ("straight pull", item.vertical_rating_n),
        ("choker", item.choker_rating_n),
        ("basket, legs upright", item.basket_rating_n),
    ]
    said = [f"{words} {limit_text(value, units)}" for words, value in shown if value is not None]
    if not said and item.working_limit_n is not None:
        said = [limit_text(item.working_limit_n, units)]
        if item.working_load_limit_n is None:
            said[0] += " (breaking strength over design factor)"
    if not said:
        return "Not rated: it carries no load by itself." if not item.declared.carries_load else "Not known."
    if item.construction_words:
        said.append(f"as examined: {item.construction_words.lower()}")
    return "; ".join(said) + "."


def not_first(item: GearItem) -> str:
    return "No." if item.declared.is_installed else "No: it is not installed or assembled in a place."


def basis_words(inspection: Inspection, book: InspectionRules) -> str:
    """The occasion as paragraph 7(a) lists them, from the intervals that the item's uses have."""
    item = inspection.item
    if inspection.kind == "after_event":
        return f"{schedule.EXCEPTIONAL}."
    rules = book.intervals(gear_class=item.gear_class, uses=item.uses)
    under = [rule.months for rule in rules if LOLER in rule.basis]
    if under:
        return f"{schedule.SIX_MONTHS if min(under) <= 6 else schedule.TWELVE_MONTHS}."
    named = min(rules, key=lambda rule: rule.months, default=None)
    return f"{schedule.BY_SCHEME} ({named.months} months, {named.basis})." if named else f"{schedule.BY_SCHEME}."


def operable(inspection: Inspection, said: ReportRequest) -> str:
    if inspection.verdict in ("out_of_use", "retire") or said.defect.danger == NOW:
        return schedule.WOULD_NOT_BE_SAFE
    if said.defect.danger == COULD and said.defect.could_by is not None:
        return schedule.SAFE_UNTIL.format(day=day_words(said.defect.could_by))
    return schedule.WOULD_BE_SAFE


def defect_words(inspection: Inspection) -> str:
    seen = "; ".join(f"{a['words']}: {a['saw']}" for a in inspection.answers if a["saw"])
    words = inspection.findings or seen or "see the checklist below"
    return words if words.endswith((".", "…")) else f"{words}."


def next_words(inspection: Inspection) -> str:
    if inspection.next_due_on is None:
        return "Before it is used again."
    basis = f" ({inspection.next_due_basis})" if inspection.next_due_basis else ""
    return f"{day_words(inspection.next_due_on)}{basis}"


def notified(inspection: Inspection, said: ReportRequest, company: Company, on_record: ToldOf | None) -> Iterable[Fact]:
    """Who was told of a defect, when and how; the copy to the authority."""
    if said.defect.danger == NONE:
        return
    told = (
        f"{moment_words(on_record.at, company.time_zone)}, {on_record.how}"
        if on_record is not None
        else said.defect.told
    )
    yield Fact(schedule.TOLD, told)
    copy = said.defect.authority_copy or authority_copy_of(inspection, on_record)
    if said.defect.risk_of_serious_injury:
        yield Fact(schedule.AUTHORITY, f"Existing or imminent risk of serious personal injury. {copy}")
    else:
        yield Fact(schedule.AUTHORITY, "Not required: no existing or imminent risk of serious personal injury.")


def measure_line(row: Mapping[str, Any], units: str) -> MeasureLine:
    """A signed measure in the reader's units."""
    kind = next(kind for ending, kind in KIND_OF_UNIT.items() if row["measure"].endswith(ending))
    limit = ""
    if row["least"] is not None:
        limit = f"least {quantity_text(row['least'], kind, units, direction='up')}"
    elif row["most"] is not None:
        limit = f"most {quantity_text(row['most'], kind, units, direction='down')}"
    verdict = "" if not limit else "within" if row["passes"] else "past it"
    value = quantity_text(row["value"], kind, units)
    return MeasureLine(label=row["label"], value=value, limit=limit, verdict=verdict, source=row["source"])


def person_words(person: Person, examiner: ExaminerDetails, company: Company) -> str:
    """Paragraph 9: name, address and qualifications, and for whom the person works."""
    employer = {
        ExaminerDetails.Employment.SELF: "Self-employed.",
        ExaminerDetails.Employment.COMPANY: f"Employed by {company.name}, {one_line(company.address)}.",
        ExaminerDetails.Employment.OTHER: f"Employed by {examiner.employer_name}, "
        f"{one_line(examiner.employer_address)}.",
    }[ExaminerDetails.Employment(examiner.employment)]
    return f"{person}, {one_line(examiner.address)}. Qualifications: {examiner.qualifications.rstrip('.')}. {employer}"


def one_line(address: str) -> str:
    return ", ".join(line.strip().rstrip(",") for line in address.splitlines() if line.strip())


def report_particulars(
    *, company: Company, premises: str, author: str, authenticator: str, issued_on: dt.date
) -> dict[str, str]:
    """Every paragraph that is said once."""
    return {
        "1": f"{company.name}, {one_line(company.address)}.",
        "2": f"{one_line(premises)}.",
        "9": author,
        "10": authenticator or "Nobody: the author signs it.",
        "11": day_words(issued_on),
    }
