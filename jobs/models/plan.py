"""A pull plan: the working copy a lead edits, and the revisions it was kept as."""

from django.db import models
from django.db.models import Q

from crewlog.models import EvidenceModel, Person
from jobs.models.stem import Answer, HeightMethod, Stem


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
    """The working copy. Null or empty is unanswered; what carries load and is unanswered refuses the plan."""

    stem = models.OneToOneField(Stem, on_delete=models.CASCADE, related_name="plan")
    # felling
    lay_azimuth_deg = models.FloatField("lay", null=True, blank=True)
    hinge_height_m = models.FloatField(null=True, blank=True)
    notch_depth_ratio = models.FloatField("notch depth", null=True, blank=True)
    notch_opening_deg = models.FloatField("notch opening", null=True, blank=True)
    hinge_thickness_m = models.FloatField(null=True, blank=True)
    hinge_width_m = models.FloatField("hinge length", null=True, blank=True)
    cut_method = models.CharField(max_length=16, choices=CutMethod, default=CutMethod.CONVENTIONAL)
    # line
    attach_height_m = models.FloatField("height of the line", null=True, blank=True)
    attach_method = models.CharField(max_length=12, choices=HeightMethod, blank=True, default="")
    sound_wood_height_m = models.FloatField("highest sound wood", null=True, blank=True)
    anchor_distance_m = models.FloatField("distance to the anchor", null=True, blank=True)
    anchor_distance_method = models.CharField(max_length=12, choices=DistanceMethod, blank=True, default="")
    anchor_azimuth_deg = models.FloatField("bearing of the anchor", null=True, blank=True)
    anchor_slope_deg = models.FloatField("slope to the anchor", null=True, blank=True)
    anchor_height_m = models.FloatField("height on the anchor", null=True, blank=True)
    # wind
    gust_m_s = models.FloatField("strongest gust", null=True, blank=True)
    gust_source = models.CharField(max_length=10, choices=GustSource, blank=True, default="")
    frozen_wood = models.CharField(max_length=10, choices=Answer, blank=True, default="")
    # tackle and crew
    parts = models.PositiveSmallIntegerField(default=5)
    rove = models.CharField(max_length=16, choices=Rove, default=Rove.ADVANTAGE)
    sheave_efficiency_ratio = models.FloatField("kept at each sheave", null=True, blank=True)
    sheave_efficiency_origin = models.CharField(max_length=10, choices=EfficiencyOrigin, blank=True, default="")
    cleat_on = models.CharField(max_length=16, choices=CleatPlace, default=CleatPlace.HAULING_BLOCK)
    second_parts = models.PositiveSmallIntegerField("parts of a second tackle", null=True, blank=True)
    second_efficiency_ratio = models.FloatField("kept at its sheaves", null=True, blank=True)
    extended_length_m = models.FloatField("block to block, extended", null=True, blank=True)
    two_blocked_length_m = models.FloatField("block to block, two-blocked", null=True, blank=True)
    setback_m = models.FloatField("lost at each reset", null=True, blank=True)
    slack_m = models.FloatField("slack in the line", null=True, blank=True)
    haulers = models.PositiveSmallIntegerField("people on the tail", null=True, blank=True)
    hitch_spread_deg = models.FloatField("angle between the legs of the hitch", null=True, blank=True)
    tension_gauge = models.CharField(max_length=16, choices=Gauge, default=Gauge.NONE)
    # holding
    backup_anchor = models.CharField(max_length=8, choices=BackupAnchor, default=BackupAnchor.SHARED)
    wedge_planned = models.BooleanField(default=False)
    proof_pull_planned = models.BooleanField(default=False)
    side_target = models.CharField(
        "person, building, power line or way within the tree's height at the side",
        max_length=10,
        choices=Answer,
        blank=True,
        default="",
    )
    shock_credible = models.CharField(
        "line can come tight with a jerk", max_length=10, choices=Answer, blank=True, default=""
    )
    bollard_hand_n = models.FloatField("pull on the bollard's tail", null=True, blank=True)
    bollard_wraps = models.FloatField("wraps on the bollard", null=True, blank=True)
    # side line
    side_line = models.BooleanField("a side line is rigged", default=False)
    side_attach_height_m = models.FloatField("height of the side line", null=True, blank=True)
    side_anchor_distance_m = models.FloatField(null=True, blank=True)
    side_anchor_azimuth_deg = models.FloatField(null=True, blank=True)
    side_anchor_slope_deg = models.FloatField(null=True, blank=True)
    side_anchor_height_m = models.FloatField(null=True, blank=True)
    # restraint line
    restraint = models.BooleanField("a restraint line holds the log", default=False)
    restraint_mass_kg = models.FloatField("mass of the log", null=True, blank=True)
    restraint_slope_deg = models.FloatField("slope under the log", null=True, blank=True)
    restraint_length_m = models.FloatField("length of the restraint line", null=True, blank=True)
    restraint_slack_m = models.FloatField("slack before it holds", null=True, blank=True)
    restraint_attachment = models.CharField(
        max_length=12, choices=RestraintAttachment, default=RestraintAttachment.AXIS
    )
    # tolerances of the envelope: the plan is worked at its worst corner within them
    attach_tolerance_m = models.FloatField("line height may be off by", default=0.0)
    anchor_tolerance_m = models.FloatField("anchor distance may be off by", default=0.0)
    gust_tolerance_m_s = models.FloatField("gust may be stronger by", default=0.0)
    lean_tolerance_deg = models.FloatField("lean may be off by", default=0.0)
    hauler_tolerance = models.PositiveSmallIntegerField("people may join or leave", default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="jobs_pullplan_parts_2_to_8",
                condition=Q(parts__gte=2, parts__lte=8)
                & (Q(second_parts__isnull=True) | Q(second_parts__gte=2, second_parts__lte=8)),
                violation_error_message="A tackle has 2 to 8 parts.",
            ),
            models.CheckConstraint(
                name="jobs_pullplan_haulers_1_to_12",
                condition=Q(haulers__isnull=True) | Q(haulers__gte=1, haulers__lte=12),
                violation_error_message="One to twelve people on the tail.",
            ),
            models.CheckConstraint(
                name="jobs_pullplan_gust_in_range",
                condition=Q(gust_m_s__isnull=True) | Q(gust_m_s__gte=0, gust_m_s__lte=60),
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
    number = models.PositiveSmallIntegerField()
    distance_m = models.FloatField()
    azimuth_deg = models.FloatField()
    slope_deg = models.FloatField()
    height_m = models.FloatField()
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.SHEAVE)
    friction_ratio = models.FloatField("kept at the sheave, or friction of the ring")

    class Meta:
        ordering = ["line", "number"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "line", "number"], name="jobs_redirect_number_once"),
            models.CheckConstraint(
                name="jobs_redirect_in_range",
                condition=Q(number__gte=1, number__lte=4, distance_m__gt=0, distance_m__lte=300)
                & Q(azimuth_deg__gte=0, azimuth_deg__lt=360, slope_deg__gte=-60, slope_deg__lte=60)
                & Q(friction_ratio__gt=0, friction_ratio__lte=1),
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
    distance_m = models.FloatField()
    azimuth_deg = models.FloatField()
    escape_route = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "place"], name="jobs_place_once"),
            models.CheckConstraint(
                name="jobs_place_in_range",
                condition=Q(distance_m__gte=0, distance_m__lte=500, azimuth_deg__gte=0, azimuth_deg__lt=360),
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
