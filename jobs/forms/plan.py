"""The form of a pull plan: what is measured and chosen on site. What carries load starts unanswered."""

import copy
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, ClassVar

from django import forms

from crewlog.answers import answer, whole_number
from crewlog.fields import BearingField, QuantityField, UnitForm
from crewlog.stale.forms import EditedForm, opened_of, put_back, with_theirs
from jobs.bundle import Bundle
from jobs.changes import inputs_beside
from jobs.forms.plan_rows import FURTHEST_M, MAX_REDIRECTS, PLACE_ORDER, PLACES_ALWAYS, PlaceRow, RedirectRow
from jobs.forms.row_words import rows_words
from jobs.forms.rows import Rows
from jobs.forms.stem_rows import TALLEST_M
from jobs.models import Answer, Place, PullPlan, Redirect
from jobs.models.plan import (
    BackupAnchor,
    CleatPlace,
    CutMethod,
    DistanceMethod,
    EfficiencyOrigin,
    Gauge,
    GustSource,
    RestraintAttachment,
    Rove,
)
from jobs.models.stem import HeightMethod
from jobs.reader import Reader
from jobs.shown_values import PLAN_NAMES, plan_values

# Columns that cannot be empty in the database: a new plan asks for them all the same.
ASKED_AT_FIRST = ("parts", "rove", "cleat_on", "cut_method", "tension_gauge", "backup_anchor")
TOLERANCES = (
    "attach_tolerance_m",
    "anchor_tolerance_m",
    "gust_tolerance_m_s",
    "lean_tolerance_deg",
    "hauler_tolerance",
)
NOT_KNOWN_REFUSES = "Not known refuses the plan."


def length(label: str, most: float = TALLEST_M, *, above_zero: bool = False, help_text: str = "") -> QuantityField:
    """A length that may stay unanswered."""
    return QuantityField(
        kind="length",
        label=label,
        required=False,
        min_value=0,
        min_exclusive=above_zero,
        max_value=most,
        help_text=help_text,
    )


def slope(label: str) -> QuantityField:
    return QuantityField(
        kind="slope",
        label=label,
        required=False,
        min_value=-60,
        max_value=60,
        help_text="From the stump to the foot of the anchor. Rising +, falling −.",
    )


def share(label: str, *, least: float = 0.5, most: float = 1.0, help_text: str = "") -> QuantityField:
    """A share in per cent."""
    return QuantityField(
        kind="percent", label=label, required=False, min_value=least, max_value=most, help_text=help_text
    )


def tolerance(kind: str, label: str, most: float) -> QuantityField:
    return QuantityField(kind=kind, label=label, required=False, min_value=0, max_value=most)


class PlanForm(EditedForm, UnitForm, forms.ModelForm):  # type: ignore[type-arg] # generic in the stubs only
    """One pull plan with its redirects and places. `bundle()` gives the unsaved rows to work out."""

    edited = "this plan"
    row_labels: ClassVar[dict[str, str]] = {"redirects": "Redirects", "places": "Where people stand"}
    row_prefixes: ClassVar[dict[str, tuple[str, ...]]] = {
        "redirects": ("redirects-", "side-redirects-"),
        "places": ("places-",),
    }

    # hinge and notch
    lay_azimuth_deg = BearingField(label="Lay", required=False, help_text="Bearing the stem is to fall on.")
    hinge_height_m = length("Height of the hinge", 10)
    notch_depth_ratio = share("Notch depth", least=0.01, most=0.9, help_text="Of the diameter at the hinge.")
    notch_opening_deg = QuantityField(
        kind="angle", label="Notch opening", required=False, min_value=0, min_exclusive=True, max_value=150
    )
    hinge_thickness_m = QuantityField(
        kind="diameter_stem",
        label="Hinge thickness",
        required=False,
        min_value=0,
        min_exclusive=True,
        max_value=1,
    )
    hinge_width_m = QuantityField(
        kind="diameter_stem",
        label="Hinge length",
        required=False,
        min_value=0,
        min_exclusive=True,
        max_value=4,
        help_text="Across the stem. Empty: the whole chord of the notch.",
    )
    cut_method = answer(CutMethod, "Back cut", required=True)
    # line
    attach_height_m = length("Height of the line", above_zero=True)
    attach_method = answer(HeightMethod, "How that height was taken")
    sound_wood_height_m = length("Highest sound wood", help_text="As the climber found it.")
    anchor_distance_m = length("Distance to the anchor", FURTHEST_M, above_zero=True)
    anchor_distance_method = answer(DistanceMethod, "How the distance was taken")
    anchor_azimuth_deg = BearingField(label="Bearing of the anchor", required=False)
    anchor_slope_deg = slope("Slope to the anchor")
    anchor_height_m = length("Height of the sling on the anchor", 20)
    # wind
    gust_m_s = QuantityField(kind="wind", label="Strongest gust", required=False, min_value=0, max_value=60)
    gust_source = answer(GustSource, "Where the gust comes from")
    frozen_wood = answer(Answer, "Frozen wood", help_text="Yes, or not known, refuses the plan.")
    # tackle and crew
    parts = whole_number("Parts", 2, 8, required=True, help_text="Ropes between the blocks that pull the moving one.")
    rove = answer(Rove, "How it is rove", required=True)
    sheave_efficiency_ratio = share("Kept at each sheave", help_text="Tension that passes on over one sheave.")
    sheave_efficiency_origin = answer(EfficiencyOrigin, "Where that share comes from")
    cleat_on = answer(CleatPlace, "Cleat", required=True)
    second_parts = whole_number("Parts of a second tackle", 2, 8, help_text="On the tail of the first. None: empty.")
    second_efficiency_ratio = share("Kept at its sheaves")
    extended_length_m = length("Block to block, extended", 100, above_zero=True)
    two_blocked_length_m = length("Block to block, two-blocked", 100)
    setback_m = length("Lost at each reset", 50)
    slack_m = length("Slack in the line", 50)
    hitch_spread_deg = QuantityField(
        kind="angle", label="Between the legs of the hitch", required=False, min_value=0, max_value=180
    )
    haulers = whole_number("People on the tail", 1, 12)
    tension_gauge = answer(Gauge, "Load cell", required=True)
    # holding
    backup_anchor = answer(BackupAnchor, "The bollard is anchored to", required=True)
    side_target = answer(
        Answer, "Person, building, power line or way within the tree's height at the side", help_text=NOT_KNOWN_REFUSES
    )
    shock_credible = answer(Answer, "The line can come tight with a jerk", help_text=NOT_KNOWN_REFUSES)
    bollard_hand_n = QuantityField(
        kind="hand_force",
        label="Pull on the bollard's tail",
        required=False,
        min_value=0,
        min_exclusive=True,
        max_value=1000,
    )
    bollard_wraps = QuantityField(
        kind="number",
        label="Wraps on the bollard",
        required=False,
        min_value=0,
        min_exclusive=True,
        max_value=12,
        help_text="Empty: as many as the pull on the tail needs.",
    )
    # side line
    side_attach_height_m = length("Height of the side line", above_zero=True)
    side_anchor_distance_m = length("Distance to its anchor", FURTHEST_M, above_zero=True)
    side_anchor_azimuth_deg = BearingField(label="Bearing of its anchor", required=False)
    side_anchor_slope_deg = slope("Slope to its anchor")
    side_anchor_height_m = length("Height of the sling there", 20)
    # restraint line
    restraint_mass_kg = QuantityField(
        kind="mass", label="Mass of the log", required=False, min_value=0, min_exclusive=True, max_value=100_000
    )
    restraint_slope_deg = QuantityField(
        kind="slope", label="Slope under the log", required=False, min_value=0, max_value=60
    )
    restraint_length_m = length("Length of the restraint line", FURTHEST_M, above_zero=True)
    restraint_slack_m = length("Slack before it holds", 50)
    restraint_attachment = answer(RestraintAttachment, "Where it holds the log")
    # the envelope
    attach_tolerance_m = tolerance("length", "Line may sit higher or lower by", 5)
    anchor_tolerance_m = tolerance("length", "Anchor may be nearer or farther by", 20)
    gust_tolerance_m_s = tolerance("wind", "Gusts may be stronger by", 20)
    lean_tolerance_deg = tolerance("angle", "Lean may differ by", 10)
    hauler_tolerance = whole_number("People who may join or leave the tail", 0, 11)

    class Meta:
        model = PullPlan
        fields = PLAN_NAMES
        labels = {
            "wedge_planned": "A wedge follows the back cut",
            "proof_pull_planned": "A proof pull before the first cut",
            "side_line": "A side line is rigged",
            "restraint": "A restraint line holds the log",
        }

    def __init__(self, data: Any = None, *, bundle: Bundle) -> None:
        unit_system = bundle.job.company.unit_system
        self.opened = opened_of(f"plan:{bundle.stem.pk}", data, lambda: shown_beside(bundle))
        if data is not None and self.opened.values is not None:
            bundle = as_opened(bundle, self.opened.values)
            if self.opened.takes_theirs:
                data = with_theirs(data, self.opened, PlanForm(bundle=bundle).in_order, self.row_prefixes)
        self.start = bundle
        plan = bundle.plan
        super().__init__(data, instance=plan, unit_system=unit_system)
        if plan._state.adding:
            self.initial.update(dict.fromkeys(ASKED_AT_FIRST, ""))
        if not plan.restraint:
            self.initial["restraint_attachment"] = ""
        rows = {"unit_system": unit_system, "data": data}
        self.redirects = self._redirect_rows("redirects", bundle.pull_redirects, rows)
        self.side_redirects = self._redirect_rows("side-redirects", bundle.side_redirects, rows)
        stored = {place.place: place for place in bundle.places}
        self.places: Rows[PlaceRow] = Rows(
            PlaceRow,
            prefix="places",
            count=len(PLACE_ORDER),
            least_open=PLACES_ALWAYS,
            initial=[place_start(stored.get(kind)) for kind in PLACE_ORDER],
            **rows,
        )

    def _redirect_rows(self, prefix: str, stored: tuple[Redirect, ...], rows: dict[str, Any]) -> "Rows[RedirectRow]":
        starts = [{name: getattr(row, name) for name in RedirectRow.needed} for row in stored]
        return Rows(RedirectRow, prefix=prefix, count=MAX_REDIRECTS, initial=starts, **rows)

    @property
    def row_sets(self) -> "tuple[Rows[Any], ...]":
        return (self.redirects, self.side_redirects, self.places)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name in TOLERANCES:
            if data.get(name) is None and name not in self.errors:
                data[name] = 0
        self._check_line(data)
        self._check_tackle(data)
        if data.get("restraint") and not data.get("restraint_attachment"):
            self.add_error("restraint_attachment", "Say where the line holds the log.")
        for rows in self.row_sets:
            if not rows.is_valid():
                self.rows_are_wrong = True
        return data

    rows_are_wrong = False

    @property
    def in_order(self) -> list[forms.BaseForm]:
        """The form and its rows, for the summary of errors."""
        return [self, *(row for rows in self.row_sets for row in rows)]

    def is_valid(self) -> bool:
        return super().is_valid() and not self.rows_are_wrong

    def _check_line(self, data: dict[str, Any]) -> None:
        """The line hangs on the stem: below its measured top, in sound wood, above the hinge."""
        reader = Reader(self.unit_system)
        top = max((section.height_m for section in self.start.sections), default=None)
        sound, hinge = data.get("sound_wood_height_m"), data.get("hinge_height_m")
        for name in ("attach_height_m", "side_attach_height_m"):
            height = data.get(name)
            if height is None or (name.startswith("side_") and not data.get("side_line")):
                continue
            if top is not None and height > top:
                self.add_error(
                    name, f"The stem is measured up to {reader.length(top)}. Lower the line, or measure higher."
                )
            elif sound is not None and height > sound:
                self.add_error(name, f"Sound wood ends at {reader.length(sound)}. Lower the line into it.")
            elif hinge is not None and height <= hinge:
                self.add_error(name, f"The hinge is at {reader.length(hinge)}. The line goes on above it.")

    def _check_tackle(self, data: dict[str, Any]) -> None:
        extended, blocked = data.get("extended_length_m"), data.get("two_blocked_length_m")
        if extended is not None and blocked is not None and blocked >= extended:
            self.add_error("two_blocked_length_m", "Two-blocked is shorter than extended.")
        if data.get("second_parts") and data.get("second_efficiency_ratio") is None:
            self.add_error("second_efficiency_ratio", "Give what is kept at the second tackle's sheaves.")

    def facts(self) -> dict[str, Any]:
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
            return rows_words(name, value, Reader(self.unit_system))
        return super().words_of(name, value)

    def bundle(self) -> Bundle:
        """What was typed, as a bundle to work out without saving; after is_valid()."""
        return Bundle(
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


def shown_beside(bundle: Bundle) -> dict[str, Any]:
    """What the page of a plan shows: the plan, and the inputs beside it that its figures rest on."""
    return plan_values(bundle.plan, bundle.redirects, bundle.places) | {"beside": inputs_beside(bundle)}


def as_opened(bundle: Bundle, values: Mapping[str, Any]) -> Bundle:
    """The bundle with its plan as a form showed it, on rows of its own."""
    plan = copy.copy(bundle.plan)
    put_back(plan, values)
    return replace(
        bundle,
        plan=plan,
        redirects=tuple(Redirect(plan=plan, **row) for row in values["redirects"]),
        places=tuple(Place(plan=plan, **row) for row in values["places"]),
    )


def place_start(place: Place | None) -> dict[str, Any]:
    if place is None:
        return {}
    return {"distance_m": place.distance_m, "azimuth_deg": place.azimuth_deg, "escape_route": place.escape_route}


class ChangeForm(forms.Form):
    """One figure of the plan set to the value a cure named: "attach_height_m=8.5"."""

    change = forms.CharField(max_length=60)

    BOUNDS: ClassVar[dict[str, tuple[float, float]]] = {
        "haulers": (1, 12),
        "attach_height_m": (0.1, TALLEST_M),
        "hinge_thickness_m": (0.001, 1.0),
        "parts": (2, 8),
        "anchor_distance_m": (0.1, FURTHEST_M),
    }

    def clean_change(self) -> tuple[str, float]:
        name, _, text = self.cleaned_data["change"].partition("=")
        if name not in self.BOUNDS:
            raise forms.ValidationError("That is no figure a cure may set.")
        value = forms.FloatField().clean(text)
        low, high = self.BOUNDS[name]
        if not low <= value <= high:
            raise forms.ValidationError("That figure is out of range.")
        return name, int(value) if name in ("haulers", "parts") else value
