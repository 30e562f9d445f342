"""One tagged item of gear: what it is, what it is rated for, and where it stands today."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Upper
from django.urls import reverse

from crewlog.models import Company, Person
from crewlog.models.constraints import ChecksTogether
from crewlog.quantities.columns import (
    CountColumn,
    DayColumn,
    DeclaredColumn,
    FlagColumn,
    LineColumn,
    ListedColumn,
    QuantityColumn,
    TextColumn,
    declared_columns,
)
from gear.catalogue.classes import BY_CODE, EFFICIENCY_ORIGINS, GATES, MATERIALS, TACKLE_SET, USES, class_choices
from gear.catalogue.gear_class import GearClass
from gear.fitness.dates import NEVER
from gear.models.item_columns import count, figure, large_count, line, ratio, use
from gear.models.item_rules import item_constraints
from gear.models.querysets import GearItemQuerySet

check_tag = RegexValidator(
    r"\A[A-Za-z0-9][A-Za-z0-9._-]{0,23}\Z", "A tag is up to 24 letters, digits, points or dashes."
)


LIVE = Q(retired_on__isnull=True)
GONE = Q(retired_on__isnull=False)


class GearItem(ChecksTogether):
    """One item: what is asked for in the order of a list of gear, then what services keep from the evidence.

    How they keep it: gear/fitness/refresh.py.
    """

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="gear")
    # fmt: off
    tag = models.CharField(max_length=24, validators=[check_tag])
    gear_class = models.CharField(max_length=24, choices=class_choices)
    description = LineColumn("what it is", max_length=120, hint="Such as: Line, 14 mm, 45 m")
    construction = line(
        "construction", longest=24, favourable="source", why="what it is used for turns on it, in no one order"
    )
    maker = line("maker", longest=80, favourable="source", why="recalls are found by it")
    maker_model = line("model", longest=80, favourable="source", why="recalls are found by it")
    serial = line("serial number", longest=60, favourable="source", why="recalls are found by it")
    batch = line("batch", longest=60, favourable="source", why="recalls are found by it")
    standard_marked = line("standard marked on it", longest=80, why="no rule reads it")
    colour_tracer = line("colour or tracer", longest=40)
    material = ListedColumn(
        "material", MATERIALS, max_length=20,
        favourable="source", why="heat, wet strength and stretch turn on it, in no one order"
    )

    pulls_at_ground = use("pulls_at_ground")
    lifts_or_lowers = use("lifts_or_lowers")
    supports_person = use("supports_person")
    measures_load = use("measures_load")

    working_load_limit_n = figure(
        "working load limit", "force", label="Working load limit, as marked", heading="Working load limit"
    )
    breaking_strength_n = figure("breaking strength", "force", label="Minimum breaking strength")
    vertical_rating_n = figure(
        "straight rating", "force", label="Sling: straight", hint="Slings: as printed on the tag"
    )
    choker_rating_n = figure("choker rating", "force", label="Sling: choker")
    basket_rating_n = figure("basket rating", "force", label="Sling: basket")
    minor_axis_strength_n = figure(
        "strength across", "force", hint="Connectors: minor axis",
        favourable="higher", why="higher, or known at all: it may be loaded across"
    )
    proven_hold_n = figure(
        "proven hold", "force", label="Proven hold of the hitch",
        favourable="higher", why="higher, or known at all: the hitch may hold more"
    )
    proven_hold_basis = line(
        "how the hold was proven", longest=160, hint="Cord, host rope, wraps and how it was loaded",
        why="no rule reads the words"
    )
    design_factor = QuantityColumn(
        "design factor", kind="number", min_value=1, check="gear_item_design_factor_at_least_one", noun="design factor",
        refusal="A design factor is at least 1.",
        hint="Empty: the value of its class. A stricter one is allowed, a looser one is not.",
        favourable="lower", why="lower: it may carry more of its strength"
    )
    gate = ListedColumn("gate", GATES, max_length=8)
    terminations = models.JSONField(default=list, blank=True)

    length_m = figure(
        "length", "length", label="Length now", favourable="higher", why="longer: it may span a longer path"
    )
    mass_kg = figure("mass", "mass", why="no rule reads it")
    diameter_mm = figure(
        "diameter", "diameter_gear",
        favourable="source", why="thinner bends better and fits other sheaves, thicker fits others"
    )
    rope_diameter_min_mm = figure(
        "thinnest rope", "diameter_gear", favourable="lower", why="thinner: it takes more ropes"
    )
    rope_diameter_max_mm = figure(
        "thickest rope", "diameter_gear", favourable="higher", why="thicker: it takes more ropes"
    )
    sheave_diameter_mm = figure("sheave or drum", "diameter_gear", label="Sheave or drum diameter")
    sheave_count = count("number of sheaves", box_max=8, label="Sheaves")
    sheave_efficiency = ratio(
        "efficiency of a sheave", noun="efficiency of a sheave",
        favourable="source", why="more pull on one side, less on the other"
    )
    sheave_efficiency_origin = ListedColumn(
        "efficiency comes from", EFFICIENCY_ORIGINS, max_length=8, favourable="source", why="goes with the efficiency"
    )
    extended_length_m = figure(
        "extended length", "length", label="Extended length of the set",
        favourable="higher", why="longer: one haul gives more"
    )
    two_blocked_length_m = figure(
        "two-blocked length", "length", label="Two-blocked length of the set",
        favourable="lower", why="shorter: one haul gives more"
    )
    reference_elongation_ratio = figure("stretch", "percent")
    reference_load_ratio = ratio(
        "load of the stretch, as part of the breaking strength,", label="at this part of its breaking strength",
        heading="Stretch was measured at", noun="its breaking strength"
    )

    manufactured_on = DayColumn("made on", null=True)
    is_unused = FlagColumn("not used yet", default=False)
    first_used_on = DayColumn("first used on", null=True)
    life_from_maker = FlagColumn(
        "the maker sets its life", default=False, hint="Both empty then means: no end by age"
    )
    life_years_from_manufacture = count(
        "life from manufacture", box_max=60, label="Years from manufacture", counted="years"
    )
    life_years_from_first_use = count("life from first use", box_max=60, label="Years from first use", counted="years")
    permitted_uses = large_count("number of uses", box_max=1_000_000, label="Uses permitted", counted="uses")
    maker_interval_months = count(
        "maker's interval", box_max=120, label="Maker's inspection interval, months",
        heading="Maker's inspection interval", counted="months"
    )

    storage_place = line("kept at", longest=80)
    assembly = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="parts")
    parts_expected = CountColumn(
        "tagged parts of the set", above=0, box_max=30, null=True, hint="Tackle sets only",
        favourable="lower", why="fewer: none is missed"
    )
    parent = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="children")
    spliced_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    borrowed_from = line("borrowed from", longest=120)
    due_back_on = DayColumn("due back on", null=True)
    documents = TextColumn("papers", hint="Certificates and instructions, and where they are kept")
    notes = TextColumn("notes")
    # fmt: on
    registered_on = models.DateField()

    # Kept from the evidence, in the transaction that writes it.
    retired_on = models.DateField(null=True, editable=False)
    retired_because = models.CharField(max_length=200, default="", editable=False)
    is_mistake = models.BooleanField(default=False, editable=False)  # ended as an entry by mistake, never an item
    quarantined_on = models.DateField(null=True, editable=False)
    quarantined_because = models.CharField(max_length=200, default="", editable=False)
    examination_pending_since = models.DateField(null=True, editable=False)
    examination_pending_because = models.CharField(max_length=200, default="", editable=False)
    pre_service_on = models.DateField(null=True, editable=False)
    pre_service_ends_on = models.DateField(null=True, editable=False)
    last_examined_on = models.DateField(null=True, editable=False)
    next_due_on = models.DateField(null=True, editable=False)
    next_due_basis = models.CharField(max_length=160, default="", editable=False)
    remark_due_on = models.DateField(null=True, editable=False)
    remark = models.CharField(max_length=200, default="", editable=False)
    life_ends_on = models.DateField(null=True, editable=False)
    life_date_missing = models.BooleanField(default=False, editable=False)
    uses_made = models.PositiveIntegerField(default=0, editable=False)
    uses_end_at = models.PositiveIntegerField(null=True, editable=False)  # the stricter of its own and its class's
    overload_share_ratio = models.FloatField(default=1.0, editable=False)
    recall_unresolved = models.BooleanField(default=False, editable=False)
    recalled_on = models.DateField(null=True, editable=False)
    marking_illegible = models.BooleanField(default=False, editable=False)
    residual_strength_ratio = ratio("remaining strength", blank=False, editable=False)

    # When it turns for the worse, retirement included, so that SQL compares days: see gear/fitness/dates.py.
    falls_due_on = models.DateField(default=NEVER, editable=False)
    overdue_from = models.DateField(default=NEVER, editable=False)
    unfit_from = models.DateField(default=NEVER, editable=False)

    objects = GearItemQuerySet.as_manager()

    class Meta:
        ordering = ["tag", "id"]
        constraints = [
            models.UniqueConstraint(
                F("company"),
                Upper("tag"),
                name="gear_item_tag_never_twice",
                violation_error_message="This tag is taken. A tag is never used twice, not even a retired item's.",
            ),
            *item_constraints(),
        ]
        indexes = [
            models.Index(fields=["company", "tag"], name="gear_item_by_tag"),
            models.Index(fields=["company", "gear_class", "tag"], name="gear_item_by_class"),
            models.Index(fields=["company", "storage_place", "tag"], name="gear_item_by_place"),
            models.Index(fields=["company", "serial"], name="gear_item_by_serial"),
            models.Index(
                fields=["company", "next_due_on"], name="gear_item_live_by_due", condition=Q(retired_on__isnull=True)
            ),
            models.Index(fields=["company", "maker"], name="gear_item_by_maker"),
            # Each holds what its counts ask for, retired_on too: SQLite looks at it again though the condition says it.
            models.Index(
                fields=["company", "falls_due_on", "tag", "overdue_from", "retired_on"],
                name="gear_item_live_by_fall",
                condition=LIVE,
            ),
            models.Index(
                fields=["company", "overdue_from", "tag", "unfit_from", "retired_on"],
                name="gear_item_live_by_overdue",
                condition=LIVE,
            ),
            models.Index(
                fields=["company", "unfit_from", "tag", "retired_on"], name="gear_item_live_by_unfit", condition=LIVE
            ),
            models.Index(  # the fit ones of some classes, for a position
                fields=["company", "gear_class", "overdue_from", "retired_on"],
                name="gear_item_live_by_class",
                condition=LIVE,
            ),
            models.Index(fields=["company", "-retired_on", "tag"], name="gear_item_gone", condition=GONE),
            models.Index(fields=["company"], name="gear_item_mistakes", condition=Q(is_mistake=True)),
        ]

    def __str__(self) -> str:
        return f"{self.tag} {self.description}"

    def clean(self) -> None:
        """Refuse a design factor below its class's; the classes are no list in the database, so no check holds it."""
        super().clean()
        declared = BY_CODE.get(self.gear_class)
        if declared is None or self.design_factor is None or self.design_factor >= declared.design_factor:
            return
        words = (
            f"A design factor may be stricter than its class's, {declared.design_factor:g} for a "
            f"{declared.name.lower()}, never looser."
        )
        raise ValidationError({"design_factor": ValidationError(words, code="design-factor-loosened")})

    def get_absolute_url(self) -> str:
        return reverse("item", args=[self.tag])

    @property
    def declared(self) -> GearClass:
        """What its class declares."""
        return BY_CODE[self.gear_class]

    @property
    def kind(self) -> str:
        """Kind of item in the mechanics; empty for an assembly."""
        return self.declared.kind

    @property
    def is_assembly(self) -> bool:
        return self.gear_class == TACKLE_SET

    @property
    def is_retired(self) -> bool:
        return self.retired_on is not None

    @property
    def uses(self) -> tuple[str, ...]:
        """Codes of what it is used for."""
        return tuple(code for code, column, _ in USES if getattr(self, column))

    @property
    def construction_words(self) -> str:
        return dict(self.declared.constructions).get(self.construction, "")

    @property
    def working_limit_n(self) -> float | None:
        """What its rating lets it carry [N] before knots, bends and angles; None when unrated.

        The least of its working load limit and breaking strength over design factor; for a sling with no other rating
        the one printed for a straight pull.
        """
        limits = [] if self.working_load_limit_n is None else [self.working_load_limit_n]
        if self.breaking_strength_n is not None:
            limits.append(self.breaking_strength_n / self.design_factor)
        if not limits and self.vertical_rating_n is not None:
            limits.append(self.vertical_rating_n)
        return min(limits, default=None)

    def is_back_late(self, on: dt.date) -> bool:
        """Whether it is borrowed and should have gone back."""
        return self.due_back_on is not None and self.due_back_on < on


# What the facts are called that are a list of ends or rows of other tables.
OTHER_HEADINGS: Mapping[str, str] = {
    "terminations": "Permanent ends",
    "assembly": "Part of tackle set",
    "parent": "Cut from",
    "spliced_by": "Spliced by",
}
ITEM_COLUMNS: Mapping[str, DeclaredColumn[Any, Any]] = {column.name: column for column in declared_columns(GearItem)}
