"""The form of a change of fact, and of its answer."""

from typing import Any

from django import forms

from crewlog.models import Company, Membership
from crewlog.quantities.fields import QuantityField, UnitForm
from gear.fact_changes.rules import Subject
from gear.fact_changes.services import Grounds
from gear.models import ChangeAnswer, ChangeReason, ChangeSource, FactCheck, GearItem
from gear.register.forms import ItemForm, initial_of
from gear.web.file_boxes import HeldFileField, let_hold
from gear.web.form_fields import char_field, text_field, tiles

MARKING_ANSWERS = tuple((answer.value, str(answer.label)) for answer in (ChangeAnswer.AGREES, ChangeAnswer.DIFFERS))


class FactForm(UnitForm, forms.Form):
    """The facts of one subject as they are to be, why, and where they stand."""

    reason = tiles("Reason", ChangeReason.choices)
    source = tiles("Source of the new value", ChangeSource.choices)
    words = text_field("Details", required=True, rows=2, help_text="Such as: Stamp is 90, the 9 was worn and read as 5")
    shown = HeldFileField(label="Photograph of the marking, or the document", documents=True, required=False)

    def __init__(self, *args: Any, company: Company, item: GearItem, subject: Subject, member: Membership) -> None:
        self.subject, self.item = subject, item
        every = ItemForm(company=company, item=item)
        initial = {name: value for name, value in initial_of(item).items() if name in subject.columns}
        super().__init__(*args, unit_system=company.unit_system, initial=initial)
        own = {name: every.all_fields[name] for name in subject.columns}
        self.fields = {**own, **self.fields}
        for name, field in own.items():
            if isinstance(field, QuantityField):
                field.unit_system = company.unit_system
                field.stored_value = getattr(item, name)
        let_hold(self, member)

    def values(self) -> dict[str, Any]:
        """The facts by column, ready for the service; an empty design factor is its class's."""
        values = {name: self.cleaned_data[name] for name in self.subject.columns}
        if values.get("design_factor", 1.0) is None:
            values["design_factor"] = self.item.declared.design_factor
        return values

    def grounds(self) -> Grounds:
        said = self.cleaned_data
        return Grounds(reason=said["reason"], source=said["source"], words=said["words"], shown=said["shown"])

    def fact_boxes(self) -> list[forms.BoundField]:
        return [self[name] for name in self.subject.columns]


class AnswerForm(forms.Form):
    answer = tiles("The marking", MARKING_ANSWERS)
    words = text_field("What it reads", rows=2, help_text="Needed where it does not agree")


class TakeBackForm(forms.Form):
    because = char_field("Why it is withdrawn", required=True, longest=200)


class CheckForm(forms.Form):
    check_by = tiles(
        "Before a more favourable value applies",
        FactCheck.choices,
        hints={
            FactCheck.EXAMINATION: "Somebody else who is qualified for the class reads the marking",
            FactCheck.SECOND_PERSON: "Another owner, inspector or crew lead reads it",
        },
    )
