"""Forms of a job, the hazards round a stem, and the anchors on site."""

import copy
import datetime as dt
from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils import timezone

from crewlog.models import Company, Person
from crewlog.quantities.fields import BearingField, QuantityField, UnitForm
from crewlog.stale.forms import EditedForm, opened_of, put_back, with_theirs
from crewlog.web.answers import answer
from crewlog.web.generics import ModelForm
from crewlog.web.widgets import TickTiles
from jobs.models import Anchor, AnchorKind, Hazard, HazardKind, Job, PowerLineControl
from jobs.models.shown_values import anchor_values, job_values
from jobs.models.values import Facts
from jobs.web.form_fields import MomentField, PeopleField, PersonField, give_company

LONGEST_JOB_DAYS = 366


class JobForm(EditedForm, ModelForm[Job]):
    """Where, when, who, and what happens if it goes wrong."""

    edited = "this job"

    lead = PersonField(label="Crew lead")
    crew = PeopleField(label="Crew", required=False, widget=TickTiles)

    class Meta:
        model = Job
        fields = (
            "reference",
            "client",
            "site_name",
            "address",
            "grid_reference",
            "access",
            "first_day",
            "last_day",
            "lead",
            "crew",
            "emergency_department",
            "phone_signal",
            "rescue_plan",
            "communication",
            "notes",
        )
        labels = {
            "site_name": "Site",
            "emergency_department": "Nearest emergency department",
            "phone_signal": "Phone signal on site",
            "rescue_plan": "Rescue",
            "communication": "Signals between cutter, haulers and lookout",
        }
        widgets = {
            "first_day": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "last_day": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "rescue_plan": forms.Textarea(attrs={"rows": 4}),
            "communication": forms.Textarea(attrs={"rows": 3}),
            "notes": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(
        self,
        data: Any = None,
        *,
        company: Company,
        instance: Job | None = None,
        initial: Mapping[str, object] | None = None,
    ) -> None:
        if instance is not None and instance.pk is not None:
            self.opened = opened_of(f"job:{instance.pk}", data, lambda: job_values(instance))
            if data is not None and self.opened.values is not None:
                put_back(instance, self.opened.values)
                initial = {"crew": list(Person.objects.filter(pk__in=self.opened.values["crew"]))}
                if self.opened.takes_theirs:
                    theirs = JobForm(company=company, instance=copy.copy(instance), initial=initial)
                    data = with_theirs(data, self.opened, [theirs], {})
        super().__init__(data, instance=instance, initial=dict(initial or {}))
        self.company = company
        give_company(self, company)
        for name in ("first_day", "last_day"):
            self.fields[name].error_messages["invalid"] = "Write a day, such as 2026-11-26."

    def clean_reference(self) -> str:
        reference: str = self.cleaned_data["reference"]
        taken = Job.objects.for_company(self.company).filter(reference=reference).exclude(pk=self.instance.pk)
        if taken.exists():
            raise forms.ValidationError("This reference is taken. Choose another.")
        return reference

    def clean(self) -> None:
        super().clean()
        data = self.cleaned_data
        first, last = data.get("first_day"), data.get("last_day")
        if first and last and last < first:
            self.add_error("last_day", "The last day cannot lie before the first.")
        elif first and last and last - first > dt.timedelta(days=LONGEST_JOB_DAYS):
            self.add_error("last_day", "A job runs for a year at most. Start a new one for what is left.")

    def facts(self) -> Facts:
        """The job's own fields for the service; after is_valid()."""
        return {name: value for name, value in self.cleaned_data.items() if name != "crew"}

    def whole_crew(self) -> list[Person]:
        """Who works on it; the lead always does. After is_valid()."""
        crew, lead = list(self.cleaned_data["crew"]), self.cleaned_data["lead"]
        return crew if lead in crew else [*crew, lead]


class HazardForm(UnitForm, ModelForm[Hazard]):
    """Something that can hurt, seen from the stump, with its control."""

    kind = answer(HazardKind, "What kind", required=True)
    distance_m = QuantityField(kind="length", label="Distance from the stump", max_value=2000)
    bearing_deg = BearingField(label="Bearing from the stump")
    power_line_control = answer(
        PowerLineControl,
        "Power line: what is done about it",
        help_text=(
            "An overhead line within two heights of the stump or of any rope refuses the sheet "
            "until it is isolated, shrouded or agreed in writing."
        ),
    )

    class Meta:
        model = Hazard
        fields = ("kind", "description", "distance_m", "bearing_deg", "control", "power_line_control")
        labels = {"description": "What and where", "control": "Control"}
        widgets = {"control": forms.Textarea(attrs={"rows": 2})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            self.initial["power_line_control"] = ""

    def clean(self) -> None:
        super().clean()
        data = self.cleaned_data
        if data.get("kind") == HazardKind.OVERHEAD_LINE:
            if not data.get("power_line_control"):
                self.add_error("power_line_control", "Say what is done about the line.")
        elif data.get("kind"):
            data["power_line_control"] = PowerLineControl.NONE


class AnchorForm(EditedForm, UnitForm, ModelForm[Anchor]):
    """What a sling is put round, what it holds by whose estimate, and what was looked at."""

    edited = "this anchor"

    kind = answer(
        AnchorKind,
        "What kind",
        required=True,
        help_text="Never a post, fence, gate, railing, building or a vehicle that can roll.",
    )
    diameter_m = QuantityField(
        kind="diameter_stem", label="Diameter", required=False, min_value=0, min_exclusive=True, max_value=4
    )
    sling_height_m = QuantityField(kind="length", label="Height of the sling", required=False, max_value=20)
    estimate_n = QuantityField(
        kind="force",
        label="Estimated strength",
        min_value=0,
        min_exclusive=True,
        max_value=1e7,
        help_text="What it holds before it gives.",
    )
    estimated_by = PersonField(label="Estimated by")
    estimated_at = MomentField(label="Estimated at")

    class Meta:
        model = Anchor
        fields = (
            "name",
            "kind",
            "species",
            "diameter_m",
            "sling_height_m",
            "estimate_n",
            "estimated_by",
            "estimated_at",
            "basis",
            "root_plate_checked",
            "decay_checked",
            "ground_checked",
        )
        labels = {"basis": "What the estimate rests on"}
        widgets = {"basis": forms.Textarea(attrs={"rows": 2})}

    def __init__(
        self,
        data: Any = None,
        *,
        job: Job,
        unit_system: str,
        instance: Anchor | None = None,
        initial: Mapping[str, object] | None = None,
    ) -> None:
        if instance is not None and instance.pk is not None:
            self.opened = opened_of(f"anchor:{instance.pk}", data, lambda: anchor_values(instance))
            if data is not None and self.opened.values is not None:
                put_back(instance, self.opened.values)
                if self.opened.takes_theirs:
                    theirs = AnchorForm(job=job, unit_system=unit_system, instance=copy.copy(instance))
                    data = with_theirs(data, self.opened, [theirs], {})
        super().__init__(data, unit_system=unit_system, instance=instance, initial=dict(initial or {}))
        self.job = job
        give_company(self, job.company)

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        if self.job.anchors.filter(name=name).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError("This job has an anchor of that name.")
        return name

    def clean_estimated_at(self) -> dt.datetime:
        moment: dt.datetime = self.cleaned_data["estimated_at"]
        if moment > timezone.now() + dt.timedelta(minutes=10):
            raise forms.ValidationError("That moment lies ahead.")
        return moment
