"""The form of an inspection: the class's checklist and measures, the verdict, the dates."""

import datetime as dt
import zoneinfo
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils import timezone

from crewlog.files.documents import Document
from crewlog.files.photographs import Photograph
from crewlog.models import Company, Membership, Person, Record
from crewlog.quantities.display import quantity_text
from crewlog.quantities.fields import QuantityField, UnitForm
from crewlog.web.form_boxes import offer_rows
from gear.catalogue.events import EXAMINATIONS, INSPECTION_KINDS, VERDICTS
from gear.catalogue.wear import WearMeasure
from gear.examinations.examination import ANSWERS, Answer, Examination, defects_of
from gear.examinations.measure_words import KIND_OF_UNIT
from gear.examinations.measuring import when_new
from gear.examinations.services import EmployerNotice, Verdict
from gear.fact_changes.forms import MARKING_ANSWERS
from gear.fact_changes.pages import marking_words
from gear.fitness.defects import CURES, Cure, Defect
from gear.fitness.reasons import day_words
from gear.fitness.rules import Due
from gear.models import Disposal, FactChange, GearItem
from gear.web.file_boxes import HeldFileField, let_hold
from gear.web.form_fields import char_field, date_field, text_field, tiles

VERDICT_HINTS = {
    "fit": "Stays in service",
    "remark": "Stays in service; to be mended by a date",
    "out_of_use": "Until a later examination returns it",
    "retire": "Permanent; it cannot be undone",
    "not_examined": "Does not count as an examination",
}
KINDS = dict(INSPECTION_KINDS)
CURE_BOXES = {"cure": "how", "cured": "words", "cured_by": "by", "cured_firm": "firm"}  # what each box says of a Cure
MARKING_HINT = "A recorded change needs this. Read the item itself. Leave empty if you did not: the change stays open"


@dataclass(frozen=True, slots=True)
class PointRow:
    """One point as the page shows it."""

    answer: BoundField
    saw: BoundField
    photo: BoundField
    kept: Any = None  # the photograph of it that a round keeps


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """One measure as the page shows it."""

    measure: WearMeasure
    box: BoundField


class InspectionForm(UnitForm, forms.Form):
    """One inspection of one item. The checklist and the measures are the class's own."""

    is_round = False  # in a round nobody reads markings for a change of fact

    examined_on = date_field("Examined on", required=True)
    declaration_dated_on = date_field("Date on the declaration")
    verdict = tiles("Verdict", VERDICTS, hints=VERDICT_HINTS)
    findings = text_field("Findings", help_text="Empty: what you saw at the points")
    remark_due_on = date_field("Mend by", help_text="For a fit item with a remark")
    next_due_on = date_field("Next due")
    residual = QuantityField(
        label="Remaining strength",
        kind="percent",
        required=False,
        min_value=0.0,
        min_exclusive=True,
        max_value=1.0,
        noun="remaining strength",
        help_text="Only where the examiner sets it below 100 %",
    )
    disposal = forms.ChoiceField(
        label="What becomes of a retired item", choices=[("", "Not retired"), *Disposal.choices], required=False
    )
    told_at = forms.DateTimeField(
        label="Employer told at",
        required=False,
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"],
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        help_text="The employer must be told at once of a defect that is or could become a danger",
    )
    told_how = char_field("How, and where it is recorded", longest=160)
    authority_copy = char_field(
        "Copy to the authority", longest=160, help_text="Where the risk is existing or imminent: when and to whom"
    )
    inspector = forms.ModelChoiceField(
        label="Examined by",
        queryset=Person.objects.none(),
        required=False,
        empty_label="Me",
        help_text="Another person only from a paper report",
    )
    from_paper = forms.BooleanField(label="Entered from a paper report", required=False)
    because = char_field("What was wrong with the earlier inspection", longest=200)

    def __init__(
        self,
        *args: Any,
        company: Company,
        item: GearItem,
        kind: str,
        latest: Due | None,
        is_correction: bool = False,
        member: Membership | None = None,
        corrects: Record | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, unit_system=company.unit_system, **kwargs)
        self.company, self.item, self.kind = company, item, kind
        self.kept: dict[str, Any] = {}
        if kind != "declaration":
            self.add_points()
            self.add_measures()
        for field in self.fields.values():
            if isinstance(field, QuantityField):
                field.unit_system = self.unit_system
        offer_rows(self, "inspector", Person.objects.for_company(company).working().with_details())
        self.add_photographs()
        self.defects = self.add_cures(corrects) if kind in EXAMINATIONS else ()
        self.markings = self.add_markings(member) if kind in EXAMINATIONS else ()
        self.keep_only_what_applies(is_correction)
        self.set_hints(latest)
        if member is not None:
            let_hold(self, member)

    def add_points(self) -> None:
        for point in self.item.declared.checklist.points:
            required = self.kind in EXAMINATIONS
            answer = tiles(point.words, ANSWERS, help_text=f"{point.hint} ({point.source})", required=required)
            if not required:
                answer.initial = None
            self.fields[f"answer_{point.code}"] = answer
            self.fields[f"saw_{point.code}"] = text_field("What you saw", rows=2)

    def add_measures(self) -> None:
        for measure in self.item.declared.measures:
            box = QuantityField(
                label=measure.label, kind=KIND_OF_UNIT[measure.unit], required=False, min_value=0.0, noun=measure.label
            )
            box.help_text = limit_words(self.item, measure, self.unit_system)
            self.fields[f"measure_{measure.name}"] = box

    def add_cures(self, corrects: Record | None) -> tuple[Defect, ...]:
        """Boxes for each defect on record that a passing examination has to answer. Queries where there is one.

        A correction begins with what the inspection it corrects said of them.
        """
        if self.is_round:
            return ()
        defects = defects_of(self.item, corrects=corrects)
        people = Person.objects.for_company(self.company).working().with_details()
        for defect in defects:
            self.fields[f"cure_{defect.key}"] = tiles(f"On record: {defect.words}", CURES, required=False)
            self.fields[f"cured_{defect.key}"] = text_field("What was mended, or which test shows no defect", rows=2)
            self.fields[f"cured_by_{defect.key}"] = forms.ModelChoiceField(
                label="Mended by", queryset=people, required=False, empty_label="Nobody from our company"
            )
            self.fields[f"cured_firm_{defect.key}"] = char_field(
                "or by the firm", longest=120, help_text="No names of people"
            )
        for said in corrects.inspection.cures if corrects is not None else ():
            self.initial.update({f"{box}_{said['point']}": said[name] for box, name in CURE_BOXES.items()})
        return defects

    def cure_rows(self) -> Iterator[tuple[BoundField, ...]]:
        for defect in self.defects:
            yield tuple(self[f"{box}_{defect.key}"] for box in CURE_BOXES)

    def cures(self) -> dict[str, Cure]:
        """How each defect on record was answered, from a valid form."""
        data = self.cleaned_data
        found = {}
        for defect in self.defects:
            if data.get(f"cure_{defect.key}"):
                by = data[f"cured_by_{defect.key}"]
                found[defect.key] = Cure(
                    how=data[f"cure_{defect.key}"],
                    words=data[f"cured_{defect.key}"],
                    by=str(by.pk) if by is not None else "",
                    firm=data[f"cured_firm_{defect.key}"],
                )
        return found

    def add_markings(self, member: Membership | None) -> tuple[FactChange, ...]:
        """A point for each change of fact that waits for this examiner: what the marking should read. One query."""
        if member is None or self.is_round:
            return ()
        waiting = tuple(FactChange.objects.waiting().filter(item=self.item).exclude(author=member.person))
        for change in waiting:
            reads = marking_words(change, self.unit_system)
            self.fields[f"marking_{change.pk}"] = tiles(
                f"The marking reads {reads}", MARKING_ANSWERS, required=False, help_text=MARKING_HINT
            )
            self.fields[f"reads_{change.pk}"] = text_field("What it reads", rows=2)
        return waiting

    def marking_rows(self) -> Iterator[tuple[BoundField, BoundField]]:
        for change in self.markings:
            yield self[f"marking_{change.pk}"], self[f"reads_{change.pk}"]

    def add_photographs(self) -> None:
        if self.kind == "declaration":
            self.fields["photo"] = HeldFileField(label="The declaration itself", documents=True, required=False)
            return
        self.fields["photo"] = HeldFileField(label="Photograph of the findings", camera=True, required=False)
        for point in self.item.declared.checklist.points:
            self.fields[f"photo_{point.code}"] = HeldFileField(
                label="Photograph of it", camera=True, required=False, help_text=""
            )

    def keep_only_what_applies(self, is_correction: bool) -> None:
        gone = []
        if self.kind == "declaration":
            gone += ["verdict", "remark_due_on", "residual", "disposal", "told_at", "told_how", "authority_copy"]
        else:
            gone.append("declaration_dated_on")
        if self.kind == "pre_use":
            gone += ["next_due_on", "residual", "inspector"]
        if not is_correction:
            gone.append("because")
        for name in gone:
            del self.fields[name]
        # A required answer is asked for by the service where the item was examined at all.
        for name, field in self.fields.items():
            if name.startswith("answer_"):
                field.required = False

    def set_hints(self, latest: Due | None) -> None:
        if "next_due_on" not in self.fields:
            return
        if latest is None:
            hint = "No inspection interval is set for its uses: set the date."
        else:
            hint = f"{day_words(latest.on)} at the latest ({latest.basis}). An earlier date is always allowed."
        self.fields["next_due_on"].help_text = hint

    def points(self) -> Iterator[PointRow]:
        for point in self.item.declared.checklist.points:
            if f"answer_{point.code}" in self.fields:
                answer, saw, photo = (self[f"{name}_{point.code}"] for name in ("answer", "saw", "photo"))
                yield PointRow(answer, saw, photo, self.kept.get(point.code))

    def steps(self) -> list[str]:
        """For each point whether it is answered, as the class of its step."""
        return ["is-wrong" if row.answer.errors else "is-done" if row.answer.value() else "" for row in self.points()]

    def answered(self) -> int:
        return sum(step == "is-done" for step in self.steps())

    def measure_rows(self) -> Iterator[MeasureRow]:
        for measure in self.item.declared.measures:
            if f"measure_{measure.name}" in self.fields:
                yield MeasureRow(measure, self[f"measure_{measure.name}"])

    def clean_told_at(self) -> dt.datetime | None:
        """The moment as the company's clock shows it."""
        told: dt.datetime | None = self.cleaned_data["told_at"]
        if told is None:
            return None
        naive = timezone.make_naive(told) if timezone.is_aware(told) else told
        return naive.replace(tzinfo=zoneinfo.ZoneInfo(self.company.time_zone))

    def examination(self) -> Examination:
        """What was looked at, from a valid form."""
        data = self.cleaned_data
        answers = {
            point.code: Answer(data[f"answer_{point.code}"], data[f"saw_{point.code}"])
            for point in self.item.declared.checklist.points
            if data.get(f"answer_{point.code}")
        }
        measures = {
            measure.name: data[f"measure_{measure.name}"]
            for measure in self.item.declared.measures
            if data.get(f"measure_{measure.name}") is not None
        }
        return Examination(
            kind=self.kind,
            on=data["examined_on"],
            answers=answers,
            measures=measures,
            findings=data["findings"],
            declaration_dated_on=data.get("declaration_dated_on"),
            files=self.files_brought(),
            markings={
                change.pk: Answer(data[f"marking_{change.pk}"], data[f"reads_{change.pk}"])
                for change in self.markings
                if data.get(f"marking_{change.pk}")
            },
            cures=self.cures(),
        )

    def files_brought(self) -> dict[str, Photograph | Document]:
        """Photographs by point of the checklist, and under "" the one of the whole finding."""
        names = {"": "photo"} | {p.code: f"photo_{p.code}" for p in self.item.declared.checklist.points}
        return {point: self.cleaned_data[name] for point, name in names.items() if self.cleaned_data.get(name)}

    def signed(self) -> Verdict:
        """The verdict, from a valid form."""
        data = self.cleaned_data
        return Verdict(
            verdict=data.get("verdict", "fit"),
            remark_due_on=data.get("remark_due_on"),
            next_due_on=data.get("next_due_on"),
            residual_strength_ratio=data.get("residual"),
            disposal=data.get("disposal", ""),
            told=EmployerNotice(data.get("told_at"), data.get("told_how", ""), data.get("authority_copy", "")),
        )


def limit_words(item: GearItem, measure: WearMeasure, unit_system: str) -> str:
    """New 14.0 mm. Reject below 12.6 mm. The limit is named with its source."""
    kind = KIND_OF_UNIT[measure.unit]
    new = when_new(item, measure)
    said = []
    if new is not None:
        said.append(f"New {quantity_text(new, kind, unit_system)}.")
    min_value = measure.min_value(new)
    if min_value is not None:
        said.append(f"Reject below {quantity_text(min_value, kind, unit_system, direction='up')}: {measure.source}.")
    elif measure.min_ratio is not None:
        said.append("The figure when new is not on record, so no limit can be worked out.")
    if measure.max_value is not None:
        said.append(
            f"Reject above {quantity_text(measure.max_value, kind, unit_system, direction='down')}: {measure.source}."
        )
    return " ".join(said) or f"{measure.source.capitalize()}."
