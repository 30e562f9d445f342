"""Forms of the company's people, holds and periods."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.forms import BoundField

from crewlog.hooks import GEAR_CLASSES
from crewlog.models import Company, Hold, Person, Role, Skill
from crewlog.models.training import Result
from crewlog.people.competence import AssessmentFacts, CompetenceGrant
from crewlog.people.services import Contact, person_values
from crewlog.quantities.fields import QuantityField, UnitForm
from crewlog.stale.forms import EditedForm, opened_of, with_theirs
from crewlog.web.answers import WholeField
from crewlog.web.form_boxes import char_field, choice_field, date_field, offer_choices, offer_rows
from crewlog.web.form_fields import PHONE, tiles

ROLE_HINTS: dict[str, str] = {
    Role.OWNER: "Registers and retires gear, manages people and inspection intervals",
    Role.CREW_LEAD: "Plans, issues the sheet, runs the day",
    Role.INSPECTOR: "Examines gear they are qualified for",
    Role.CREW: "Reads the sheet, ticks checks, logs events",
    Role.AUDITOR: "Reads records and sheets until a day",
}
MOST_POINTS = 10
# Private facts of others: drafts of forms leave them out.
NOT_ON_A_DEVICE = {"data-draft-skip": True}
BASES = [("certificate", "Outside certificate"), ("assessment", "Assessed on site")]


class PersonForm(EditedForm, forms.Form):
    edited = "this person"

    name = char_field("Name", required=True, longest=120, help_text="As it is printed on sheets")
    phone = char_field("Phone", longest=40, widget=forms.TextInput(attrs=PHONE))
    emergency_contact = char_field("In an emergency call", longest=160, widget=forms.TextInput(attrs=NOT_ON_A_DEVICE))
    health_notes = char_field(
        "Health facts a first-aider must know",
        longest=400,
        help_text="Only with their consent",
        widget=forms.TextInput(attrs=NOT_ON_A_DEVICE),
    )

    def __init__(self, data: Any = None, *, person: Person | None = None) -> None:
        initial = None
        if person is not None:
            initial = person_values(person)
            self.opened = opened_of(f"person:{person.pk}", data, lambda: person_values(person))
            if data is not None and self.opened.values is not None:
                initial = dict(self.opened.values)
                if self.opened.takes_theirs:
                    data = with_theirs(data, self.opened, [PersonForm(person=person)], {})
        super().__init__(data, initial=initial)

    def contact(self) -> Contact:
        data = self.cleaned_data
        return Contact(data["name"], data["phone"], data["emergency_contact"], data["health_notes"])


class RoleForm(forms.Form):
    role = tiles("Role", Role.choices, hints=ROLE_HINTS)
    ends_on = date_field("Access ends on", help_text="An auditor's must end")


class SignInForm(RoleForm):
    field_order = ["email", "role", "ends_on"]
    email = forms.EmailField(label="E-mail", help_text="Used to sign in; a link to choose a password is sent to it")


class LeftForm(forms.Form):
    on = date_field("Last day", required=True)
    sure = forms.BooleanField(
        label="They have left",
        help_text="The sign-in ends at once; emergency contact and health facts are deleted",
        error_messages={"required": "Tick this to end it."},
    )


class RemoveForm(forms.Form):
    because = char_field("Why", required=True, longest=200, help_text="Recorded permanently: leave the name out")
    sure = forms.BooleanField(
        label="Delete personal data",
        help_text="Name, contact, qualifications, sign-in and PDFs that name them; this cannot be undone",
        error_messages={"required": "Tick this to delete it."},
    )


class CompetenceForm(UnitForm, forms.Form):
    skill = choice_field("Qualified for", Skill.choices, required=True, empty="Choose")
    gear_class = choice_field("Class of gear", (), empty="Every class", help_text="Only for examining gear")
    max_diameter_m = QuantityField(
        label="Up to what diameter", kind="diameter_stem", required=False, min_value=0.0, min_exclusive=True
    )
    granted_on = date_field("From", required=True)
    expires_on = date_field("Until")
    basis = tiles("On what evidence", BASES)
    certificate = char_field("Certificate", longest=200, help_text="Number and who gave it")
    assessor = forms.ModelChoiceField(
        label="Assessed by", queryset=Person.objects.none(), required=False, empty_label="Choose"
    )
    job = char_field("At which job", longest=120)

    def __init__(self, *args: Any, company: Company, **kwargs: Any) -> None:
        super().__init__(*args, unit_system=company.unit_system, **kwargs)
        for number in range(1, MOST_POINTS + 1):
            self.fields[f"point_{number}"] = char_field(f"Point {number}", longest=160)
            self.fields[f"result_{number}"] = tiles("How it was shown", Result.choices, required=False)
        working = Person.objects.for_company(company).working().with_details().filter(details__isnull=False)
        offer_rows(self, "assessor", working)
        offer_choices(self, "gear_class", [("", "Every class"), *GEAR_CLASSES])

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        needed = {"certificate": ["certificate"], "assessment": ["assessor", "job", "point_1"]}
        for name in needed.get(data.get("basis", ""), []):
            if name not in self.errors and not data.get(name):
                self.add_error(name, "Fill this in.")
        if data.get("basis") == "assessment":
            self.check_points(data)
        return data

    def check_points(self, data: dict[str, Any]) -> None:
        """A point has its result, and a result its point."""
        for number in range(1, MOST_POINTS + 1):
            what, result = data.get(f"point_{number}", ""), data.get(f"result_{number}", "")
            if what and not result and f"result_{number}" not in self.errors:
                self.add_error(f"result_{number}", "Say how it was shown.")
            if result and not what and f"point_{number}" not in self.errors:
                self.add_error(f"point_{number}", "Say what was looked at.")

    def point_rows(self) -> Iterator[tuple[BoundField, BoundField]]:
        for number in range(1, MOST_POINTS + 1):
            yield self[f"point_{number}"], self[f"result_{number}"]

    def skilled(self) -> CompetenceGrant:
        data = self.cleaned_data
        return CompetenceGrant(
            data["skill"], data["granted_on"], data["expires_on"], data["gear_class"], data["max_diameter_m"]
        )

    def assessed(self) -> AssessmentFacts:
        data = self.cleaned_data
        rows = ((data[f"point_{n}"].strip(), data[f"result_{n}"]) for n in range(1, MOST_POINTS + 1))
        points = [(what, result) for what, result in rows if what]
        return AssessmentFacts(data["assessor"], data["granted_on"], data["job"], points)


class BecauseForm(forms.Form):
    because = char_field("Why", required=True, longest=300)


class HoldForm(forms.Form):
    about = tiles("About", Hold.About.choices)
    item = char_field("Tag of the item", longest=64)
    job = char_field("Reference of the job", longest=64)
    person = forms.ModelChoiceField(
        label="Person", queryset=Person.objects.none(), required=False, empty_label="Choose"
    )
    because = char_field("What for", required=True, longest=300, help_text="A claim, an inquiry; leave names out")

    def __init__(self, *args: Any, company: Company, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = Person.objects.for_company(company).with_details().filter(details__isnull=False)
        offer_rows(self, "person", named.order_by("details__name", "id"))

    def subject(self) -> str:
        """What the hold is on: the tag, the reference, or the person's id."""
        data = self.cleaned_data
        chosen = data[data["about"]]
        return str(chosen.pk) if isinstance(chosen, Person) else str(chosen or "")


class MonthsForm(forms.Form):
    period = forms.IntegerField(widget=forms.HiddenInput)
    months = WholeField(
        label="Months",
        min_value=0,
        max_value=1200,
        error_messages={"invalid": "Write a whole number.", "required": "Write a whole number."},
    )
