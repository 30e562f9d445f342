"""Forms of a sheet: its day, what hangs in a position, who does what, sources, withdrawal."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import forms

from crewlog.models import Company
from crewlog.quantities.fields import QuantityField, UnitForm
from crewlog.stale.forms import EditedForm, opened_of, with_theirs
from crewlog.web.answers import answer
from crewlog.web.form_boxes import offer_choices, offer_rows
from crewlog.web.widgets import TickTiles
from jobs.models import Anchor, Assignment, DutyKind, Job, Sheet
from jobs.models.shown_values import window_values
from jobs.sheets.emergency import EVERYTHING, NotLookedAt, answers_of, looks_of
from jobs.web.form_fields import PersonField, give_company

TIME = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


class SheetForm(EditedForm, forms.Form):
    """The day of a sheet, and its window where it does not take the whole day."""

    edited = "this sheet's day"

    day = forms.DateField(
        label="Day",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write a day, such as 2026-11-26.", "required": "Write the day of the work."},
    )
    starts_at = forms.TimeField(label="From", required=False, widget=TIME)
    ends_at = forms.TimeField(label="Until", required=False, widget=TIME, help_text="Neither: the whole day.")

    def __init__(self, data: Any = None, *, job: Job, sheet: Sheet) -> None:
        shown = window_values(sheet)
        self.opened = opened_of(f"window:{sheet.pk}", data, lambda: shown)
        if data is not None and self.opened.values is not None:
            shown = dict(self.opened.values)
            if self.opened.takes_theirs:
                data = with_theirs(data, self.opened, [SheetForm(job=job, sheet=sheet)], {})
        super().__init__(data, initial=shown)
        self.job = job
        for name in ("starts_at", "ends_at"):
            self.fields[name].error_messages["invalid"] = "Write a time, such as 08:30."

    def clean_day(self) -> dt.date:
        day: dt.date = self.cleaned_data["day"]
        if not self.job.first_day <= day <= self.job.last_day:
            raise forms.ValidationError(
                f"The job runs from {self.job.first_day:%-d %B} to {self.job.last_day:%-d %B %Y}. Choose a day of it."
            )
        return day

    def clean(self) -> None:
        super().clean()
        data = self.cleaned_data
        starts, ends = data.get("starts_at"), data.get("ends_at")
        if (starts is None) != (ends is None) and not self.errors:
            self.add_error("ends_at", "Give both ends of the window, or neither for the whole day.")
        elif starts is not None and ends is not None and ends <= starts:
            self.add_error("ends_at", "The window ends after it starts.")


class IssueForm(EditedForm, forms.Form):
    """What is looked at again when a sheet is issued: each answer is shown as the sheet prints it, and ticked.

    It carries the answers it showed: a tick holds for those alone.
    """

    edited = "this sheet"

    looked_at = forms.MultipleChoiceField(
        label="Look at these again, and tick each",
        widget=TickTiles,
        error_messages={"required": str(NotLookedAt(EVERYTHING))},
    )

    def __init__(self, data: Any = None, *, sheet: Sheet) -> None:
        super().__init__(data)
        looks = looks_of(sheet.stem.job)
        self.opened = opened_of(f"looks:{sheet.pk}", data, lambda: answers_of(looks))
        offer_choices(self, "looked_at", [(look.code, look.label) for look in looks])
        self.fields["looked_at"].widget.hints = {look.code: look.value for look in looks}


@dataclass(frozen=True, slots=True)
class Hanging:
    """How an item is used in a position, as far as it was said."""

    rank: int
    configuration: str = ""
    basket_half_angle_deg: float | None = None
    choke_angle_deg: float | None = None
    loaded: str | None = None

    @property
    def is_said(self) -> bool:
        """Whether anything but the rank was said."""
        return self != Hanging(rank=self.rank)

    def template(self, sheet: Sheet, role: str) -> Assignment:
        """An unsaved row that is used so in the position itself, with no item yet."""
        return Assignment(
            sheet=sheet,
            role=role,
            configuration=self.configuration,
            basket_half_angle_deg=self.basket_half_angle_deg,
            choke_angle_deg=self.choke_angle_deg,
            loaded=self.loaded or Assignment.Loaded.MAJOR,
        )


class HangForm(UnitForm, forms.Form):
    """How an item is used in a position. What is asked depends on the kinds that may stand there."""

    rank = forms.TypedChoiceField(
        label="Hang it as",
        choices=((0, "The item itself"), (1, "First alternate"), (2, "Second alternate")),
        coerce=int,
        required=False,
        empty_value=0,  # type: ignore[arg-type] # the stubs take text only; the field does not
    )
    configuration = answer(Assignment.Configuration, "How the sling is used")
    basket_half_angle_deg = QuantityField(
        kind="angle",
        label="Basket: from the line of pull to each leg",
        required=False,
        min_value=0,
        max_value=89,
    )
    choke_angle_deg = QuantityField(
        kind="angle", label="Choked: angle of the choke", required=False, min_value=0, max_value=180
    )
    loaded = answer(Assignment.Loaded, "How the connector is loaded")

    def __init__(self, *args: Any, kinds: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "sling" not in kinds:
            for name in ("configuration", "basket_half_angle_deg", "choke_angle_deg"):
                del self.fields[name]
        if "connector" not in kinds:
            del self.fields["loaded"]

    def clean(self) -> None:
        super().clean()
        data = self.cleaned_data
        if "loaded" in self.fields and not data.get("loaded") and "loaded" not in self.errors:
            self.add_error("loaded", "Say how the connector is loaded.")

    def hanging(self) -> Hanging:
        """How it is used; after is_valid()."""
        said = self.cleaned_data
        return Hanging(
            rank=said["rank"],
            configuration=said.get("configuration") or "",
            basket_half_angle_deg=said.get("basket_half_angle_deg"),
            choke_angle_deg=said.get("choke_angle_deg"),
            loaded=said.get("loaded") or None,
        )


class DutyForm(forms.Form):
    """Who holds a duty, and under whom where it is a trainee."""

    duty = forms.ChoiceField(label="Duty", choices=DutyKind.choices)
    person = PersonField(label="Who")
    supervisor = PersonField(
        label="Supervisor", required=False, empty_label="None", help_text="A trainee's, on site, with no other duty."
    )

    def __init__(self, *args: Any, company: Company, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        give_company(self, company)

    def clean(self) -> None:
        super().clean()
        data = self.cleaned_data
        person, supervisor = data.get("person"), data.get("supervisor")
        if person is not None and person == supervisor:
            self.add_error("supervisor", "Nobody supervises themself.")


class SourceForm(forms.Form):
    """Where a figure that was changed after a refusal comes from."""

    path = forms.CharField(max_length=120, widget=forms.HiddenInput)
    value = forms.CharField(max_length=60, widget=forms.HiddenInput)
    source = forms.CharField(
        label="Where the new figure comes from",
        max_length=200,
        error_messages={"required": "Say how the new figure was obtained."},
    )


class WithdrawForm(forms.Form):
    reason = forms.CharField(
        label="Why it is withdrawn",
        max_length=280,
        error_messages={"required": "Say why. Everyone who was given the sheet reads it."},
    )


class AnchorChoiceForm(forms.Form):
    """An anchor of the job for an anchor's position."""

    anchor = forms.ModelChoiceField(queryset=Anchor.objects.none())

    def __init__(self, *args: Any, sheet: Sheet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_rows(self, "anchor", sheet.stem.job.anchors.all())
