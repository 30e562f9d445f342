"""The form of a pull plan: what is measured and chosen on site. What carries load starts unanswered."""

import copy
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, ClassVar

from django import forms

from crewlog.quantities.columns import BoundedColumn, declared_columns
from crewlog.quantities.fields import UnitForm
from crewlog.stale.forms import EditedForm, opened_of, put_back, with_theirs
from crewlog.web.generics import ModelForm
from jobs.models import Place, PullPlan, Redirect
from jobs.models.shown_values import PLAN_NAMES, plan_values, row_values
from jobs.models.values import Facts, Row, Shown
from jobs.plans.cures import GRIDS
from jobs.plans.data import PlanData
from jobs.plans.form_groups import GROUPS
from jobs.plans.row_forms import MAX_REDIRECTS, PLACE_ORDER, PLACES_ALWAYS, PlaceRow, RedirectRow
from jobs.plans.row_words import rows_words
from jobs.plans.watched import inputs_beside
from jobs.web.felling_forms import say_felling_words
from jobs.web.typed_rows import Rows
from jobs.wording.unit_formatter import UnitFormatter

COLUMNS = declared_columns(PullPlan)


class PlanForm(EditedForm, UnitForm, ModelForm[PullPlan]):
    """One pull plan with its redirects and places. `plan_data()` gives the unsaved rows to work out."""

    edited = "this plan"
    row_labels: ClassVar[dict[str, str]] = {"redirects": "Redirects", "places": "Where people stand"}
    row_prefixes: ClassVar[dict[str, tuple[str, ...]]] = {
        "redirects": ("redirects-", "side-redirects-"),
        "places": ("places-",),
    }

    class Meta:
        model = PullPlan
        fields = PLAN_NAMES

    def __init__(self, data: Any = None, *, plan_data: PlanData) -> None:
        unit_system = plan_data.job.company.unit_system
        self.opened = opened_of(f"plan:{plan_data.stem.pk}", data, lambda: shown_beside(plan_data))
        if data is not None and self.opened.values is not None:
            plan_data = as_opened(plan_data, self.opened.values)
            if self.opened.takes_theirs:
                data = with_theirs(data, self.opened, PlanForm(plan_data=plan_data).in_order, self.row_prefixes)
        self.start = plan_data
        plan = plan_data.plan
        super().__init__(data, instance=plan, unit_system=unit_system)
        say_felling_words(self)
        if plan._state.adding:
            self.initial.update({column.name: "" for column in COLUMNS if column.is_asked_at_first})
        if not plan.restraint:
            self.initial["restraint_attachment"] = ""
        self.redirects = self._redirect_rows("redirects", plan_data.pull_redirects, data)
        self.side_redirects = self._redirect_rows("side-redirects", plan_data.side_redirects, data)
        stored = {place.place: place for place in plan_data.places}
        self.places: Rows[PlaceRow] = Rows(
            PlaceRow,
            prefix="places",
            count=len(PLACE_ORDER),
            min_open=PLACES_ALWAYS,
            initial=[place_start(stored.get(kind)) for kind in PLACE_ORDER],
            unit_system=unit_system,
            data=data,
        )

    def _redirect_rows(self, prefix: str, stored: tuple[Redirect, ...], data: Any) -> "Rows[RedirectRow]":
        starts = [row_values(row, RedirectRow.needed) for row in stored]
        return Rows(
            RedirectRow,
            prefix=prefix,
            count=MAX_REDIRECTS,
            initial=starts,
            unit_system=self.unit_system,
            data=data,
        )

    @property
    def groups(self) -> dict[str, list[forms.BoundField]]:
        """The boxes of each part of the form."""
        return {group: [self[name] for name in names] for group, names in GROUPS.items()}

    @property
    def row_sets(self) -> "tuple[Rows[Any], ...]":
        return (self.redirects, self.side_redirects, self.places)

    def clean(self) -> None:
        super().clean()
        data = self.cleaned_data
        for column in COLUMNS:
            if column.default_stands and data.get(column.name) is None and column.name not in self.errors:
                data[column.name] = column.get_default()
        self._check_line()
        self._check_tackle()
        if data.get("restraint") and not data.get("restraint_attachment"):
            self.add_error("restraint_attachment", "Say where the line holds the log.")
        for rows in self.row_sets:
            if not rows.is_valid():
                self.rows_are_wrong = True

    rows_are_wrong = False

    @property
    def in_order(self) -> list[forms.BaseForm]:
        """The form and its rows, for the summary of errors."""
        return [self, *(row for rows in self.row_sets for row in rows)]

    def is_valid(self) -> bool:
        return super().is_valid() and not self.rows_are_wrong

    def _check_line(self) -> None:
        """The line hangs on the stem: below its measured top, in sound wood, above the hinge."""
        data, write = self.cleaned_data, UnitFormatter(self.unit_system)
        top = max((section.height_m for section in self.start.sections), default=None)
        sound, hinge = data.get("sound_wood_height_m"), data.get("hinge_height_m")
        for name in ("attach_height_m", "side_attach_height_m"):
            height = data.get(name)
            if height is None or (name.startswith("side_") and not data.get("side_line")):
                continue
            if top is not None and height > top:
                self.add_error(
                    name, f"The stem is measured up to {write.length(top)}. Lower the line, or measure higher."
                )
            elif sound is not None and height > sound:
                self.add_error(name, f"Sound wood ends at {write.length(sound)}. Lower the line into it.")
            elif hinge is not None and height <= hinge:
                self.add_error(name, f"The hinge is at {write.length(hinge)}. The line goes on above it.")

    def _check_tackle(self) -> None:
        data = self.cleaned_data
        extended, blocked = data.get("extended_length_m"), data.get("two_blocked_length_m")
        if extended is not None and blocked is not None and blocked >= extended:
            self.add_error("two_blocked_length_m", "Two-blocked is shorter than extended.")
        if data.get("second_parts") and data.get("second_efficiency_ratio") is None:
            self.add_error("second_efficiency_ratio", "Give what is kept at the second tackle's sheaves.")

    def facts(self) -> Facts:
        """The plan's own fields for the service; after is_valid()."""
        facts = {name: value for name, value in self.cleaned_data.items() if name in self.fields}
        if not facts["restraint_attachment"]:
            del facts["restraint_attachment"]  # no restraint is rigged
        return facts

    def redirect_rows(self) -> list[Redirect]:
        """The redirects of both lines as unsaved rows, numbered from the stem outward; after is_valid()."""
        listed = []
        for line, rows in ((Redirect.Line.PULL, self.redirects), (Redirect.Line.SIDE, self.side_redirects)):
            for number, row in enumerate(rows.filled(), 1):
                values = {name: row.cleaned_data[name] for name in RedirectRow.needed}
                listed.append(Redirect(plan=self.instance, line=line, number=number, **values))
        return listed

    def place_rows(self) -> list[Place]:
        """Where people stand as unsaved rows; after is_valid()."""
        return [
            Place(
                plan=self.instance,
                place=row.place,
                distance_m=row.cleaned_data["distance_m"],
                azimuth_deg=row.cleaned_data["azimuth_deg"],
                escape_route=row.cleaned_data.get("escape_route", ""),
            )
            for row in sorted(self.places.filled(), key=lambda each: each.place)  # as the database orders them
        ]

    def words_of(self, name: str, value: Any) -> str:
        if name in self.row_labels:
            return rows_words(name, value, UnitFormatter(self.unit_system))
        return super().words_of(name, value)

    def plan_data(self) -> PlanData:
        """What was typed, as rows to work out without saving; after is_valid()."""
        return PlanData(
            job=self.start.job,
            stem=self.start.stem,
            plan=self.instance,
            sections=self.start.sections,
            crown_parts=self.start.crown_parts,
            redirects=tuple(self.redirect_rows()),
            places=tuple(self.place_rows()),
            hazards=self.start.hazards,
            assignments=self.start.assignments,
            sheet=self.start.sheet,
            measured=self.start.measured,
        )


def shown_beside(plan_data: PlanData) -> Shown:
    """What the page of a plan shows: the plan, and the inputs beside it that its figures rest on."""
    return {**plan_values(plan_data.plan, plan_data.redirects, plan_data.places), "beside": inputs_beside(plan_data)}


def as_opened(plan_data: PlanData, values: Mapping[str, Any]) -> PlanData:
    """The data with its plan as a form showed it, on rows of its own."""
    plan = copy.copy(plan_data.plan)
    put_back(plan, values)
    return replace(
        plan_data,
        plan=plan,
        redirects=tuple(Redirect(plan=plan, **row) for row in values["redirects"]),
        places=tuple(Place(plan=plan, **row) for row in values["places"]),
    )


def place_start(place: Place | None) -> Row:
    if place is None:
        return {}
    return {"distance_m": place.distance_m, "azimuth_deg": place.azimuth_deg, "escape_route": place.escape_route}


class ChangeForm(forms.Form):
    """One figure of the plan set to the value a cure named: "attach_height_m=8.5"."""

    change = forms.CharField(max_length=60)

    def clean_change(self) -> tuple[str, float]:
        name, _, text = self.cleaned_data["change"].partition("=")
        column = next((column for column in COLUMNS if column.name == name and name in GRIDS), None)
        if not isinstance(column, BoundedColumn):
            raise forms.ValidationError("That is no figure a cure may set.")
        value = forms.FloatField().clean(text)
        if not column.holds(value):
            raise forms.ValidationError("That figure is out of range.")
        return name, column.to_python(value)
