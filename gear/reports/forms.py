"""The form of a report: where it was examined, and for each examination what the schedule asks beyond it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from crewlog.models import Company
from gear.failures.telling import tellings_of
from gear.models import Inspection
from gear.reports.choice import COULD, DANGERS, NONE, NOW, WITH_DEFECT, Defect, ReportRequest
from gear.web.form_fields import char_field, date_field, text_field, tiles


@dataclass(frozen=True, slots=True)
class ExaminationRow:
    """One examination with its boxes, as the page shows it."""

    inspection: Inspection
    boxes: tuple[BoundField, ...]


class ReportForm(forms.Form):
    """Boxes for the report, then for each examination; a sound one asks for its tests only."""

    premises = text_field("Premises at which it was examined", required=True, help_text="Address of the place")

    def __init__(self, *args: Any, company: Company, inspections: Sequence[Inspection], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.inspections, self.told = inspections, tellings_of(inspections)
        self.fields["premises"].initial = company.address
        for inspection in inspections:
            self.add_boxes(inspection)

    def add_boxes(self, inspection: Inspection) -> None:
        key = inspection.pk
        if inspection.verdict in WITH_DEFECT:
            self.add_defect(inspection)
        if inspection.item.declared.is_installed:
            self.fields[f"first_{key}"] = forms.BooleanField(
                label="First examination after it was put together or mounted in a new place", required=False
            )
            self.fields[f"installed_{key}"] = forms.BooleanField(label="Installed correctly", required=False)
        self.fields[f"tests_{key}"] = text_field(
            "Tests, and what they showed", rows=2, help_text="Empty: no test was made"
        )

    def add_defect(self, inspection: Inspection) -> None:
        key, remark = inspection.pk, inspection.verdict == "remark"
        box = tiles("The defect", DANGERS)
        box.initial = COULD if remark else NOW
        self.fields[f"danger_{key}"] = box
        points = ", ".join(a["words"] for a in inspection.answers if a["answer"] != "good")
        self.fields[f"part_{key}"] = char_field("Part", longest=200, initial=points[:200])
        self.fields[f"remedy_{key}"] = text_field("Repair, renewal or alteration it needs", rows=2)
        self.fields[f"could_by_{key}"] = date_field(
            "Could become a danger by", initial=inspection.remark_due_on, help_text="For one that is not a danger yet"
        )
        if key not in self.told:
            self.fields[f"told_{key}"] = char_field("When and how the employer was told", longest=200)
        self.fields[f"risk_{key}"] = forms.BooleanField(
            label="Existing or imminent risk of serious personal injury",
            help_text="A copy of the report then goes to the enforcing authority",
            required=False,
        )
        self.fields[f"copy_{key}"] = char_field(
            "Copy to the authority: when and to which", longest=200, initial=inspection.authority_copy
        )

    def rows(self) -> Iterator[ExaminationRow]:
        for inspection in self.inspections:
            ending = f"_{inspection.pk}"
            boxes = tuple(self[name] for name in self.fields if name.endswith(ending))
            yield ExaminationRow(inspection, boxes)

    def said(self) -> dict[int, ReportRequest]:
        """What is said of each examination, from a valid form."""
        return {inspection.pk: self.said_of(inspection.pk) for inspection in self.inspections}

    def said_of(self, key: int) -> ReportRequest:
        data = self.cleaned_data
        return ReportRequest(
            defect=Defect(
                danger=data.get(f"danger_{key}", NONE),
                part=data.get(f"part_{key}", ""),
                could_by=data.get(f"could_by_{key}"),
                remedy=data.get(f"remedy_{key}", ""),
                risk_of_serious_injury=data.get(f"risk_{key}", False),
                authority_copy=data.get(f"copy_{key}", ""),
                told=data.get(f"told_{key}", ""),
            ),
            is_first_in_place=data.get(f"first_{key}", False),
            is_installed_correctly=data.get(f"installed_{key}", False),
            tests=data.get(f"tests_{key}", ""),
        )
