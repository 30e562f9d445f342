"""A pull plan: the working copy a lead edits, and the revisions it was kept as."""

from django.db import models
from django.db.models import Q

from crewlog.models import EvidenceModel, Person
from crewlog.quantities.columns import ALWAYS, ChoiceColumn, CountColumn, FlagColumn, QuantityColumn
from jobs.models.stem import TALLEST_M, YES_REFUSES, Answer, HeightMethod, Stem

FURTHEST_M = 300.0
NOT_KNOWN_REFUSES = "Not known refuses the plan."
SLOPE_HINT = "From the stump to the foot of the anchor. Rising +, falling −."


class GustSource(models.TextChoices):
    FORECAST = "forecast", "Forecast for the job's hours"
    MEASURED = "measured", "Measured on site"


class DistanceMethod(models.TextChoices):
    TAPE = "tape", "Tape"
    RANGEFINDER = "rangefinder", "Rangefinder"
    PACING = "pacing", "Paced"


class Rove(models.TextChoices):
    ADVANTAGE = "to_advantage", "Hauling part leaves the moving block"
    DISADVANTAGE = "to_disadvantage", "Hauling part leaves the fixed block"


class CleatPlace(models.TextChoices):
    HAULING_BLOCK = "hauling_block", "On the block the hauling part leaves"
    SEPARATE = "separate", "On an anchor of its own"


class CutMethod(models.TextChoices):
    CONVENTIONAL = "conventional", "Back cut from behind"
    BORE = "bore_with_strap", "Bore cut with a holding strap"


class Gauge(models.TextChoices):
    NONE = "none", "None"
    IN_LINE = "in_line", "Load cell in the line"
    HAULING_PART = "on_hauling_part", "On the hauling part"


class BackupAnchor(models.TextChoices):
    OWN = "own", "An anchor of its own"
    SHARED = "shared", "The tackle's anchor"


class RestraintAttachment(models.TextChoices):
    AXIS = "axis", "At the log's axis"
    TOP = "top_tangent", "Over the top of the log"


class EfficiencyOrigin(models.TextChoices):
    MEASURED = "measured", "Measured on this tackle"
    MAKER = "maker", "Maker's figure"
    ASSUMED = "assumed", "Assumed"


class PullPlan(models.Model):
    """The working copy, in the order of its form. Null or empty is unanswered; what is needed and is not answered
    refuses the plan.
    """

    stem = models.OneToOneField(Stem, on_delete=models.CASCADE, related_name="plan")
    # fmt: off
    # hinge and notch
    lay_azimuth_deg = QuantityColumn(
        "lay", kind="bearing", null=True, needed=ALWAYS, hint="Bearing the stem is to fall on."
    )
    hinge_height_m = QuantityColumn(
        "height of the hinge", kind="length", least=0, greatest=10, null=True, needed=ALWAYS
    )
    notch_depth_ratio = QuantityColumn(
        "notch depth", kind="percent", least=0.01, greatest=0.9, null=True, needed=ALWAYS,
        hint="Of the diameter at the hinge."
    )
    notch_opening_deg = QuantityColumn("notch opening", kind="angle", above=0, greatest=150, null=True, needed=ALWAYS)
    hinge_thickness_m = QuantityColumn(
        "hinge thickness", kind="diameter_stem", above=0, greatest=1, null=True, needed=ALWAYS
    )
    hinge_width_m = QuantityColumn(
        "hinge length", kind="diameter_stem", above=0, greatest=4, null=True,
        hint="Across the stem. Empty: the whole chord of the notch."
    )
    cut_method = ChoiceColumn("cut method", CutMethod, max_length=16, default=CutMethod.CONVENTIONAL, label="Back cut")
    # line
    attach_height_m = QuantityColumn(
        "height of the line", kind="length", above=0, greatest=TALLEST_M, null=True, needed=ALWAYS,
        method="attach_method"
    )
    attach_method = ChoiceColumn(
        "way the line's height was taken", HeightMethod, max_length=12, label="How that height was taken",
        needed=ALWAYS
    )
    sound_wood_height_m = QuantityColumn(
        "highest sound wood", kind="length", least=0, greatest=TALLEST_M, null=True, needed=ALWAYS, favourable="higher",
        hint="As the climber found it."
    )
    anchor_distance_m = QuantityColumn(
        "distance to the anchor", kind="length", above=0, greatest=FURTHEST_M, null=True, needed=ALWAYS,
        method="anchor_distance_method"
    )
    anchor_distance_method = ChoiceColumn(
        "way the anchor's distance was taken", DistanceMethod, max_length=12, label="How the distance was taken",
        needed=ALWAYS
    )
    anchor_azimuth_deg = QuantityColumn("bearing of the anchor", kind="bearing", null=True, needed=ALWAYS)
    anchor_slope_deg = QuantityColumn(
        "slope to the anchor", kind="slope", least=-60, greatest=60, null=True, needed=ALWAYS, favourable="source",
        hint=SLOPE_HINT
    )
    anchor_height_m = QuantityColumn(
        "height on the anchor", kind="length", least=0, greatest=20, null=True, needed=ALWAYS,
        label="Height of the sling on the anchor"
    )
    # tackle and crew
    parts = CountColumn(
        "parts", least=2, greatest=8, default=5, check="jobs_pullplan_parts_2_to_8",
        hint="Ropes between the blocks that pull the moving one."
    )
    rove = ChoiceColumn("rove", Rove, max_length=16, default=Rove.ADVANTAGE, label="How it is rove")
    sheave_efficiency_ratio = QuantityColumn(
        "kept at each sheave", kind="percent", least=0.5, greatest=1, null=True, needed=ALWAYS, favourable="higher",
        method="sheave_efficiency_origin", hint="Tension that passes on over one sheave."
    )
    sheave_efficiency_origin = ChoiceColumn(
        "sheave efficiency origin", EfficiencyOrigin, max_length=10, label="Where that share comes from", needed=ALWAYS
    )
    cleat_on = ChoiceColumn("cleat on", CleatPlace, max_length=16, default=CleatPlace.HAULING_BLOCK, label="Cleat")
    extended_length_m = QuantityColumn(
        "block to block, extended", kind="length", above=0, greatest=100, null=True, needed=ALWAYS
    )
    two_blocked_length_m = QuantityColumn(
        "block to block, two-blocked", kind="length", least=0, greatest=100, null=True, needed=ALWAYS
    )
    setback_m = QuantityColumn(
        "lost at each reset", kind="length", least=0, greatest=50, null=True, needed=ALWAYS, favourable="lower"
    )
    slack_m = QuantityColumn(
        "slack in the line", kind="length", least=0, greatest=50, null=True, needed=ALWAYS, favourable="lower"
    )
    hitch_spread_deg = QuantityColumn(
        "angle between the legs of the hitch", kind="angle", least=0, greatest=180, null=True, needed=ALWAYS,
        label="Between the legs of the hitch"
    )
    haulers = CountColumn(
        "people on the tail", least=1, greatest=12, null=True, needed=ALWAYS, check="jobs_pullplan_haulers_1_to_12"
    )
    tension_gauge = ChoiceColumn("tension gauge", Gauge, max_length=16, default=Gauge.NONE, label="Load cell")
    second_parts = CountColumn(
        "parts of a second tackle", least=2, greatest=8, null=True, check="jobs_pullplan_parts_2_to_8",
        hint="On the tail of the first. None: empty."
    )
    second_efficiency_ratio = QuantityColumn(
        "kept at its sheaves", kind="percent", least=0.5, greatest=1, null=True, needed="has_second_tackle",
        favourable="higher", asked_for="share kept at each sheave of the second tackle"
    )
    # wind
    gust_m_s = QuantityColumn(
        "strongest gust", kind="wind", least=0, greatest=60, null=True, needed=ALWAYS, favourable="lower",
        method="gust_source", check="jobs_pullplan_gust_in_range"
    )
    gust_source = ChoiceColumn(
        "source of the gust", GustSource, max_length=10, label="Where the gust comes from", needed=ALWAYS
    )
    frozen_wood = ChoiceColumn(
        "frozen wood", Answer, max_length=10, needed=ALWAYS, favourable="source",
        asked_for="answer to whether the wood is frozen", hint=YES_REFUSES
    )
    # holding
    backup_anchor = ChoiceColumn(
        "backup anchor", BackupAnchor, max_length=8, default=BackupAnchor.SHARED, label="The bollard is anchored to"
    )
    bollard_hand_n = QuantityColumn(
        "pull on the bollard's tail", kind="hand_force", above=0, greatest=1000, null=True, needed=ALWAYS
    )
    bollard_wraps = QuantityColumn(
        "wraps on the bollard", kind="number", above=0, greatest=12, null=True,
        hint="Empty: as many as the pull on the tail needs."
    )
    wedge_planned = FlagColumn("wedge planned", default=False, label="A wedge follows the back cut")
    proof_pull_planned = FlagColumn("proof pull planned", default=False, label="A proof pull before the first cut")
    side_target = ChoiceColumn(
        "person, building, power line or way within the tree's height at the side", Answer, max_length=10,
        needed=ALWAYS, favourable="source", hint=NOT_KNOWN_REFUSES
    )
    shock_credible = ChoiceColumn(
        "line can come tight with a jerk", Answer, max_length=10, label="The line can come tight with a jerk",
        needed=ALWAYS, favourable="source", hint=NOT_KNOWN_REFUSES
    )
    # side line
    side_line = FlagColumn("a side line is rigged", default=False)
    side_attach_height_m = QuantityColumn(
        "height of the side line", kind="length", above=0, greatest=TALLEST_M, null=True, needed="side_line"
    )
    side_anchor_distance_m = QuantityColumn(
        "distance to the side line's anchor", kind="length", above=0, greatest=FURTHEST_M, null=True,
        needed="side_line", label="Distance to its anchor"
    )
    side_anchor_azimuth_deg = QuantityColumn(
        "bearing of the side line's anchor", kind="bearing", null=True, needed="side_line",
        label="Bearing of its anchor"
    )
    side_anchor_slope_deg = QuantityColumn(
        "slope to the side line's anchor", kind="slope", least=-60, greatest=60, null=True, needed="side_line",
        label="Slope to its anchor", hint=SLOPE_HINT
    )
    side_anchor_height_m = QuantityColumn(
        "height on the side line's anchor", kind="length", least=0, greatest=20, null=True, needed="side_line",
        label="Height of the sling there"
    )
    # restraint line
    restraint = FlagColumn("a restraint line holds the log", default=False)
    restraint_mass_kg = QuantityColumn(
        "mass of the log", kind="mass", above=0, greatest=100_000, null=True, needed="restraint", favourable="lower"
    )
    restraint_slope_deg = QuantityColumn(
        "slope under the log", kind="slope", least=0, greatest=60, null=True, needed="restraint", favourable="lower"
    )
    restraint_length_m = QuantityColumn(
        "length of the restraint line", kind="length", above=0, greatest=FURTHEST_M, null=True, needed="restraint"
    )
    restraint_slack_m = QuantityColumn(
        "slack before it holds", kind="length", least=0, greatest=50, null=True, needed="restraint", favourable="lower"
    )
    restraint_attachment = ChoiceColumn(
        "restraint attachment", RestraintAttachment, max_length=12, default=RestraintAttachment.AXIS,
        label="Where it holds the log", needed="restraint"
    )
    # the plan is worked at its worst corner within these; the CHECK holds that none is negative
    attach_tolerance_m = QuantityColumn(
        "line height may be off by", kind="length", least=0, greatest=5, default=0.0, default_stands=True,
        label="Line may sit higher or lower by"
    )
    anchor_tolerance_m = QuantityColumn(
        "anchor distance may be off by", kind="length", least=0, greatest=20, default=0.0, default_stands=True,
        label="Anchor may be nearer or farther by"
    )
    gust_tolerance_m_s = QuantityColumn(
        "gust may be stronger by", kind="wind", least=0, greatest=20, default=0.0, default_stands=True,
        label="Gusts may be stronger by"
    )
    lean_tolerance_deg = QuantityColumn(
        "lean may be off by", kind="angle", least=0, greatest=10, default=0.0, default_stands=True,
        label="Lean may differ by"
    )
    hauler_tolerance = CountColumn(
        "people may join or leave", least=0, greatest=11, default=0, default_stands=True,
        label="People who may join or leave the tail"
    )
    # fmt: on

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="jobs_pullplan_parts_2_to_8",
                condition=Q(),
                violation_error_message="A tackle has 2 to 8 parts.",
            ),
            models.CheckConstraint(
                name="jobs_pullplan_haulers_1_to_12",
                condition=Q(),
                violation_error_message="One to twelve people on the tail.",
            ),
            models.CheckConstraint(
                name="jobs_pullplan_gust_in_range",
                condition=Q(),
                violation_error_message="Gusts from 0 to 60 m/s.",
            ),
            models.CheckConstraint(
                name="jobs_pullplan_tolerances_not_negative",
                condition=Q(attach_tolerance_m__gte=0, anchor_tolerance_m__gte=0, gust_tolerance_m_s__gte=0)
                & Q(lean_tolerance_deg__gte=0),
                violation_error_message="A tolerance is 0 or more.",
            ),
        ]

    def __str__(self) -> str:
        return f"pull plan of {self.stem}"

    @property
    def has_second_tackle(self) -> bool:
        return self.second_parts is not None


class Redirect(models.Model):
    """A block or ring that turns the pull line or the side line, from the stem outward."""

    class Line(models.TextChoices):
        PULL = "pull", "Pull line"
        SIDE = "side", "Side line"

    class Kind(models.TextChoices):
        SHEAVE = "sheave", "Block with a sheave"
        RING = "ring", "Ring"

    plan = models.ForeignKey(PullPlan, on_delete=models.CASCADE, related_name="redirects")
    line = models.CharField(max_length=4, choices=Line, default=Line.PULL)
    # fmt: off
    distance_m = QuantityColumn(
        "distance", kind="length", above=0, greatest=FURTHEST_M, check="jobs_redirect_in_range"
    )
    number = CountColumn("number", least=1, greatest=4, check="jobs_redirect_in_range")
    azimuth_deg = QuantityColumn("bearing", kind="bearing", check="jobs_redirect_in_range")
    slope_deg = QuantityColumn(
        "slope", kind="slope", least=-60, greatest=60, check="jobs_redirect_in_range", hint="Rising +, falling −."
    )
    height_m = QuantityColumn("height above ground", kind="length", least=0, greatest=20)
    kind = ChoiceColumn("what turns the line", Kind, max_length=8, default=Kind.SHEAVE)
    friction_ratio = QuantityColumn(
        "kept at the sheave, or friction of the ring", kind="percent", above=0, greatest=1,
        check="jobs_redirect_in_range"
    )
    # fmt: on

    class Meta:
        ordering = ["line", "number"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "line", "number"], name="jobs_redirect_number_once"),
            models.CheckConstraint(
                name="jobs_redirect_in_range",
                condition=Q(),
                violation_error_message="Up to four redirects within 300 m; what is kept lies above 0 and up to 100 %.",
            ),
        ]

    def __str__(self) -> str:
        return f"redirect {self.number} of the {self.get_line_display().lower()}"


class Place(models.Model):
    """Where a person stands, seen from the stump."""

    class Kind(models.TextChoices):
        HAULERS = "haulers", "Haulers"
        BOLLARD_TENDER = "bollard_tender", "Bollard tender"
        HITCH_TENDER = "hitch_tender", "Hitch tender"
        SIDE_TENDER = "side_tender", "Side line tender"
        RESTRAINT_TENDER = "restraint_tender", "Restraint tender"
        LOOKOUT = "lookout", "Lookout and signaller"
        CUTTER = "cutter", "Cutter"

    plan = models.ForeignKey(PullPlan, on_delete=models.CASCADE, related_name="places")
    place = models.CharField(max_length=20, choices=Kind)
    azimuth_deg = QuantityColumn("bearing", kind="bearing", check="jobs_place_in_range")
    distance_m = QuantityColumn("distance", kind="length", least=0, greatest=500, check="jobs_place_in_range")
    escape_route = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "place"], name="jobs_place_once"),
            models.CheckConstraint(
                name="jobs_place_in_range",
                condition=Q(),
                violation_error_message="Distance from 0 to 500 m, bearing from 0 up to 360°.",
            ),
        ]

    def __str__(self) -> str:
        return self.get_place_display()

    @property
    def is_exempt(self) -> bool:
        """Only the cutter stands inside the fall zone, and only with an escape route."""
        return self.place == self.Kind.CUTTER and self.escape_route != ""


class PlanRevision(EvidenceModel):
    """A plan as it was kept: complete input, result and the version of the mechanics."""

    record_kind = "jobs.plan-kept"

    stem = models.ForeignKey(Stem, on_delete=models.PROTECT, related_name="revisions")
    revision = models.PositiveSmallIntegerField()
    inputs = models.TextField()
    results = models.TextField()
    mechanics_version = models.CharField(max_length=20)
    kept_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["stem", "-revision"]
        constraints = [models.UniqueConstraint(fields=["stem", "revision"], name="jobs_planrevision_number_once")]

    def __str__(self) -> str:
        return f"revision {self.revision}"
