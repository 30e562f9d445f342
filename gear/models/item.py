"""One tagged item of gear: what it is, what it is rated for, and where it stands today."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Upper
from django.urls import reverse

from crewlog.constraints import ChecksTogether
from crewlog.models import Company, Person
from gear.classes import (
    BY_CODE,
    EFFICIENCY_ORIGINS,
    GATES,
    MATERIALS,
    TACKLE_SET,
    USES,
    class_choices,
)
from gear.gear_class import GearClass
from gear.models.item_rules import item_constraints
from gear.querysets import GearItemQuerySet
from gear.turns import NEVER

check_tag = RegexValidator(
    r"\A[A-Za-z0-9][A-Za-z0-9._-]{0,23}\Z", "A tag is up to 24 letters, digits, points or dashes."
)


def unknown_figure() -> "models.FloatField[float | None, float | None]":
    """A figure that may be unknown; unknown is null, never nought."""
    return models.FloatField(null=True, blank=True)


LIVE = Q(retired_on__isnull=True)
GONE = Q(retired_on__isnull=False)


class GearItem(ChecksTogether):
    """One item. The last block of columns is kept by services from the evidence: see gear/services/state.py."""

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="gear")
    tag = models.CharField(max_length=24, validators=[check_tag])
    gear_class = models.CharField(max_length=24, choices=class_choices)
    construction = models.CharField(max_length=24, blank=True, default="")
    description = models.CharField(max_length=120)
    maker = models.CharField(max_length=80, blank=True, default="")
    maker_model = models.CharField(max_length=80, blank=True, default="")
    serial = models.CharField(max_length=60, blank=True, default="")
    batch = models.CharField(max_length=60, blank=True, default="")
    standard_marked = models.CharField(max_length=80, blank=True, default="")
    colour_tracer = models.CharField(max_length=40, blank=True, default="")
    notes = models.TextField(blank=True, default="")
    documents = models.TextField(blank=True, default="")

    manufactured_on = models.DateField(null=True, blank=True)
    first_used_on = models.DateField(null=True, blank=True)
    is_unused = models.BooleanField(default=False)
    life_from_maker = models.BooleanField(default=False)
    life_years_from_manufacture = models.PositiveSmallIntegerField(null=True, blank=True)
    life_years_from_first_use = models.PositiveSmallIntegerField(null=True, blank=True)
    permitted_uses = models.PositiveIntegerField(null=True, blank=True)
    maker_interval_months = models.PositiveSmallIntegerField(null=True, blank=True)

    pulls_at_ground = models.BooleanField(default=False)
    lifts_or_lowers = models.BooleanField(default=False)
    supports_person = models.BooleanField(default=False)
    measures_load = models.BooleanField(default=False)

    breaking_strength_n = unknown_figure()
    working_load_limit_n = unknown_figure()
    vertical_rating_n = unknown_figure()
    choker_rating_n = unknown_figure()
    basket_rating_n = unknown_figure()
    minor_axis_strength_n = unknown_figure()
    proven_hold_n = unknown_figure()
    proven_hold_basis = models.CharField(max_length=160, blank=True, default="")
    design_factor = models.FloatField()
    gate = models.CharField(max_length=8, choices=GATES, blank=True, default="")
    terminations = models.JSONField(default=list, blank=True)

    length_m = unknown_figure()
    mass_kg = unknown_figure()
    diameter_mm = unknown_figure()
    rope_diameter_min_mm = unknown_figure()
    rope_diameter_max_mm = unknown_figure()
    sheave_diameter_mm = unknown_figure()
    sheave_count = models.PositiveSmallIntegerField(null=True, blank=True)
    sheave_efficiency = unknown_figure()
    sheave_efficiency_origin = models.CharField(max_length=8, choices=EFFICIENCY_ORIGINS, blank=True, default="")
    extended_length_m = unknown_figure()
    two_blocked_length_m = unknown_figure()
    reference_elongation_ratio = unknown_figure()
    reference_load_ratio = unknown_figure()
    material = models.CharField(max_length=20, choices=MATERIALS, blank=True, default="")

    storage_place = models.CharField(max_length=80, blank=True, default="")
    assembly = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="parts")
    parts_expected = models.PositiveSmallIntegerField(null=True, blank=True)
    parent = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="children")
    spliced_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    borrowed_from = models.CharField(max_length=120, blank=True, default="")
    due_back_on = models.DateField(null=True, blank=True)
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
    residual_strength_ratio = models.FloatField(null=True, editable=False)

    # When it turns for the worse, so that lists sort and count by an index: see gear/turns.py.
    falls_due_on = models.DateField(default=NEVER, editable=False)
    over_from_on = models.DateField(default=NEVER, editable=False)
    out_from_on = models.DateField(default=NEVER, editable=False)

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
                fields=["company", "falls_due_on", "tag", "over_from_on", "retired_on"],
                name="gear_item_live_by_fall",
                condition=LIVE,
            ),
            models.Index(
                fields=["company", "over_from_on", "tag", "out_from_on", "retired_on"],
                name="gear_item_live_by_over",
                condition=LIVE,
            ),
            models.Index(
                fields=["company", "out_from_on", "tag", "retired_on"], name="gear_item_live_by_out", condition=LIVE
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
