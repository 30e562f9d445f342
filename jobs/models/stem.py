"""A stem as measured: each figure with the method it was obtained by. Unanswered is empty, never a default."""

from django.db import models
from django.db.models import Q

from crewlog.models import Person
from jobs.models.job import Job
from jobs.querysets import StemQuerySet

TALLEST_M = 80.0


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
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="stems")
    label = models.CharField(max_length=20)
    position = models.PositiveSmallIntegerField(default=1)
    species = models.CharField(max_length=40, blank=True, default="")
    split_prone = models.CharField(max_length=10, choices=Answer, blank=True, default="")
    green_density_kg_m3 = models.FloatField(null=True, blank=True)
    measured_as = models.CharField(max_length=10, choices=MeasuredAs, default=MeasuredAs.DIAMETER)
    diameter_method = models.CharField(max_length=10, choices=DiameterMethod, blank=True, default="")
    bark_thickness_m = models.FloatField(null=True, blank=True)
    tree_height_m = models.FloatField(null=True, blank=True)
    height_method = models.CharField(max_length=12, choices=HeightMethod, blank=True, default="")
    lean_deg = models.FloatField(null=True, blank=True)
    lean_azimuth_deg = models.FloatField(null=True, blank=True)
    lean_method = models.CharField(max_length=10, choices=LeanMethod, blank=True, default="")
    crown = models.CharField(max_length=10, choices=CrownState, blank=True, default="")
    hinge_soundness = models.CharField(max_length=10, choices=Soundness, blank=True, default="")
    attachment_soundness = models.CharField(max_length=10, choices=Soundness, blank=True, default="")
    dead_or_dying = models.CharField(max_length=10, choices=Answer, blank=True, default="")
    hung_up = models.CharField(
        "hung up or touching another tree", max_length=10, choices=Answer, blank=True, default=""
    )
    union_or_crack = models.CharField(
        "included union, crack or several stems", max_length=10, choices=Answer, blank=True, default=""
    )
    ground_fall_deg = models.FloatField("fall of the ground where the log will lie", null=True, blank=True)
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
                condition=Q(lean_deg__isnull=True) | Q(lean_deg__gte=0, lean_deg__lte=30),
                violation_error_message="Lean from 0 to 30°; more is outside what the figures cover.",
            ),
            models.CheckConstraint(
                name="jobs_stem_lean_azimuth_in_range",
                condition=Q(lean_azimuth_deg__isnull=True) | Q(lean_azimuth_deg__gte=0, lean_azimuth_deg__lt=360),
                violation_error_message="A bearing lies from 0 up to 360°.",
            ),
            models.CheckConstraint(
                name="jobs_stem_sizes_positive",
                condition=(Q(tree_height_m__isnull=True) | Q(tree_height_m__gt=0, tree_height_m__lte=80))
                & (Q(bark_thickness_m__isnull=True) | Q(bark_thickness_m__gte=0, bark_thickness_m__lte=0.2))
                & (
                    Q(green_density_kg_m3__isnull=True) | Q(green_density_kg_m3__gte=300, green_density_kg_m3__lte=1400)
                ),
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
    height_m = models.FloatField()
    diameter_m = models.FloatField()

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
                condition=Q(height_m__gte=0, height_m__lte=80, diameter_m__gt=0, diameter_m__lte=4),
                violation_error_message="Heights from 0 to 80 m, diameters up to 4 m.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.diameter_m:.3f} m at {self.height_m:.2f} m"


class CrownPart(models.Model):
    """Mass and sail of what is left on the stem, as one lump at a height."""

    stem = models.ForeignKey(Stem, on_delete=models.CASCADE, related_name="crown_parts")
    mass_kg = models.FloatField()
    height_m = models.FloatField()
    forward_m = models.FloatField(default=0.0)
    left_m = models.FloatField(default=0.0)
    frontal_area_m2 = models.FloatField()

    class Meta:
        ordering = ["height_m"]
        constraints = [
            models.CheckConstraint(
                name="jobs_crownpart_in_range",
                condition=Q(mass_kg__gte=0, mass_kg__lte=20000, height_m__gt=0, height_m__lte=80)
                & Q(frontal_area_m2__gte=0, frontal_area_m2__lte=400)
                & Q(forward_m__gte=-20, forward_m__lte=20, left_m__gte=-20, left_m__lte=20),
                violation_error_message="Mass up to 20,000 kg, sail up to 400 m², within 20 m of the stem.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mass_kg:.0f} kg at {self.height_m:.1f} m"
