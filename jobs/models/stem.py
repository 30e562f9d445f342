"""A stem as measured: each figure with the method it was obtained by. Unanswered is empty, never a default."""

from django.db import models
from django.db.models import Q

from crewlog.models import Person
from crewlog.quantities.columns import ALWAYS, ChoiceColumn, CountColumn, QuantityColumn
from jobs.models.job import Job
from jobs.models.querysets import StemQuerySet

TALLEST_M = 80.0
THICKEST_M = 4.0
BY_EYE_REFUSES = "By eye refuses the plan."
UNSOUND_REFUSES = "Anything but sound refuses the felling figures."
YES_REFUSES = "Yes, or not known, refuses the plan."


class Answer(models.TextChoices):
    """An answer somebody has to give. Empty means nobody has."""

    YES = "yes", "Yes"
    NO = "no", "No"
    NOT_KNOWN = "not_known", "Not known"


class Soundness(models.TextChoices):
    SOUND = "sound", "Sound"
    UNSOUND = "unsound", "Rot, cavity, crack or bracket"
    NOT_KNOWN = "not_known", "Not known"


class CrownState(models.TextChoices):
    BARE = "bare", "None: bare spar"
    CROWN = "crown", "Crown or limbs left on"
    NOT_KNOWN = "not_known", "Not known"


class DiameterMethod(models.TextChoices):
    TAPE = "tape", "Tape or caliper"
    BY_EYE = "by_eye", "By eye"


class HeightMethod(models.TextChoices):
    CLIMBER = "climber", "Climber's tape"
    CLINOMETER = "clinometer", "Clinometer and distance"
    STICK = "stick", "Stick"


class LeanMethod(models.TextChoices):
    PLUMB = "plumb", "Plumb line and offset"
    PHONE = "phone", "Phone held against the stem"
    BY_EYE = "by_eye", "By eye"


class MeasuredAs(models.TextChoices):
    DIAMETER = "diameter", "Diameter"
    GIRTH = "girth", "Girth"


class Stem(models.Model):
    """One stem of a job, its columns in the order of its form."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="stems")
    # fmt: off
    label = models.CharField(max_length=20)
    position = CountColumn("position", min_value=1, max_value=200, default=1, label="Place in the order of felling")
    species = models.CharField(max_length=40, blank=True, default="")
    split_prone = ChoiceColumn(
        "split prone", Answer, max_length=10, label="Splits easily along the grain", favourable="source",
        hint="Asked where the species' own answer is not known."
    )
    green_density_kg_m3 = QuantityColumn(
        "green density", kind="density", min_value=300, max_value=1400, null=True, favourable="lower",
        check="jobs_stem_sizes_positive", label="Density, weighed",
        hint="Only if you weighed a piece; otherwise the species value is used."
    )
    measured_as = ChoiceColumn(
        "measured as", MeasuredAs, max_length=10, default=MeasuredAs.DIAMETER, default_stands=True,
        label="Sizes below are"
    )
    diameter_method = ChoiceColumn(
        "diameter method", DiameterMethod, max_length=10, needed=ALWAYS, label="How the sizes were taken",
        hint=BY_EYE_REFUSES
    )
    bark_thickness_m = QuantityColumn(
        "bark thickness", kind="diameter_stem", min_value=0, max_value=0.2, null=True, needed=ALWAYS,
        favourable="source", check="jobs_stem_sizes_positive", label="Bark, one side",
        hint="Cut a window at hinge height and measure it. 0 counts the bark as wood."
    )
    tree_height_m = QuantityColumn(
        "tree height", kind="length", above=0, max_value=TALLEST_M, null=True, needed=ALWAYS, favourable="lower",
        method="height_method", check="jobs_stem_sizes_positive", label="Height of the tree",
        hint="Measured to the top as it stands. This is also the radius of the fall zone."
    )
    height_method = ChoiceColumn(
        "height method", HeightMethod, max_length=12, needed=ALWAYS, label="How the height was taken"
    )
    lean_deg = QuantityColumn(
        "lean", kind="angle", min_value=0, max_value=30, null=True, needed=ALWAYS, favourable="lower", noun="lean",
        method="lean_method", check="jobs_stem_lean_in_range"
    )
    lean_azimuth_deg = QuantityColumn(
        "lean azimuth", kind="bearing", null=True, favourable="source", check="jobs_stem_lean_azimuth_in_range",
        label="Bearing the stem leans to", hint="Not needed for a stem that stands upright."
    )
    lean_method = ChoiceColumn(
        "lean method", LeanMethod, max_length=10, needed=ALWAYS, asked_for="way the lean was measured",
        label="How the lean was taken", hint=BY_EYE_REFUSES
    )
    crown = ChoiceColumn("crown", CrownState, max_length=10, favourable="source")
    hinge_soundness = ChoiceColumn(
        "hinge soundness", Soundness, max_length=10, needed=ALWAYS, favourable="source", label="Wood at the hinge",
        hint=UNSOUND_REFUSES
    )
    attachment_soundness = ChoiceColumn(
        "attachment soundness", Soundness, max_length=10, needed=ALWAYS, favourable="source", label="Wood at the line",
        hint=UNSOUND_REFUSES
    )
    dead_or_dying = ChoiceColumn(
        "dead or dying", Answer, max_length=10, needed=ALWAYS, favourable="source", hint=YES_REFUSES
    )
    hung_up = ChoiceColumn(
        "hung up or touching another tree", Answer, max_length=10, needed=ALWAYS, favourable="source", hint=YES_REFUSES
    )
    union_or_crack = ChoiceColumn(
        "included union, crack or several stems", Answer, max_length=10, needed=ALWAYS, favourable="source",
        hint=YES_REFUSES
    )
    ground_fall_deg = QuantityColumn(
        "fall of the ground where the log will lie", kind="slope", min_value=0, max_value=60, null=True, needed=ALWAYS,
        favourable="lower", hint="Along or across the log, the steeper of the two. Level: 0."
    )
    # fmt: on
    measured_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    measured_at = models.DateTimeField(null=True, blank=True)
    felled_on = models.DateField(null=True, blank=True)

    objects = StemQuerySet.as_manager()

    class Meta:
        ordering = ["position", "label"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "label"],
                name="jobs_stem_label_once",
                violation_error_message="This job has a stem of that name.",
            ),
            models.CheckConstraint(
                name="jobs_stem_lean_in_range",
                condition=Q(),
                violation_error_message="Lean from 0 to 30°; more is outside what the figures cover.",
            ),
            models.CheckConstraint(
                name="jobs_stem_lean_azimuth_in_range",
                condition=Q(),
                violation_error_message="A bearing lies from 0 up to 360°.",
            ),
            models.CheckConstraint(
                name="jobs_stem_sizes_positive",
                condition=Q(),
                violation_error_message="Height up to 80 m, bark up to 20 cm, density from 300 to 1400 kg/m³.",
            ),
        ]

    def __str__(self) -> str:
        return f"Stem {self.label}"

    @property
    def name(self) -> str:
        return str(self)


class StemSection(models.Model):
    """A diameter over bark at a height along the stem."""

    stem = models.ForeignKey(Stem, on_delete=models.CASCADE, related_name="sections")
    diameter_m = QuantityColumn(
        "diameter over bark", kind="diameter_stem", above=0, max_value=THICKEST_M, check="jobs_stemsection_in_range"
    )
    height_m = QuantityColumn(
        "height", kind="length", min_value=0, max_value=TALLEST_M, check="jobs_stemsection_in_range"
    )

    class Meta:
        ordering = ["height_m"]
        constraints = [
            models.UniqueConstraint(
                fields=["stem", "height_m"],
                name="jobs_stemsection_height_once",
                violation_error_message="Two diameters at one height.",
            ),
            models.CheckConstraint(
                name="jobs_stemsection_in_range",
                condition=Q(),
                violation_error_message="Heights from 0 to 80 m, diameters up to 4 m.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.diameter_m:.3f} m at {self.height_m:.2f} m"


class CrownPart(models.Model):
    """Mass and sail of what is left on the stem, as one lump at a height."""

    stem = models.ForeignKey(Stem, on_delete=models.CASCADE, related_name="crown_parts")
    # fmt: off
    height_m = QuantityColumn(
        "height of its middle", kind="length", above=0, max_value=TALLEST_M, check="jobs_crownpart_in_range"
    )
    mass_kg = QuantityColumn("mass", kind="mass", min_value=0, max_value=20_000, check="jobs_crownpart_in_range")
    frontal_area_m2 = QuantityColumn(
        "area facing the wind", kind="area", min_value=0, max_value=400, check="jobs_crownpart_in_range"
    )
    forward_m = QuantityColumn(
        "towards the lay", kind="offset", min_value=-20, max_value=20, default=0.0, check="jobs_crownpart_in_range",
        hint="From the middle of the stem at that height. Away from the lay: minus. Over the stem: 0."
    )
    left_m = QuantityColumn(
        "to the left, facing the lay", kind="offset", min_value=-20, max_value=20, default=0.0,
        check="jobs_crownpart_in_range", hint="To the right: minus."
    )
    # fmt: on

    class Meta:
        ordering = ["height_m"]
        constraints = [
            models.CheckConstraint(
                name="jobs_crownpart_in_range",
                condition=Q(),
                violation_error_message="Mass up to 20,000 kg, sail up to 400 m², within 20 m of the stem.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mass_kg:.0f} kg at {self.height_m:.1f} m"
