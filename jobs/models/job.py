"""A removal job: where, when, who, and what on site can hurt."""

from django.db import models
from django.db.models import F, Q

from crewlog.models import Company, Person
from jobs.models.querysets import JobQuerySet


class Job(models.Model):
    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="jobs")
    reference = models.CharField(max_length=20)
    client = models.CharField(max_length=120, blank=True, default="")
    site_name = models.CharField(max_length=120)
    address = models.CharField(max_length=240)
    grid_reference = models.CharField(max_length=60, blank=True, default="")
    access = models.CharField("access to the site", max_length=300, blank=True, default="")
    emergency_department = models.CharField("nearest emergency department", max_length=200)
    phone_signal = models.CharField(max_length=200, blank=True, default="")
    rescue_plan = models.TextField(max_length=1200)
    communication = models.TextField(max_length=600)
    first_day = models.DateField()
    last_day = models.DateField()
    lead = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="led_jobs")
    crew = models.ManyToManyField(Person, related_name="jobs", blank=True)
    notes = models.TextField(max_length=2000, blank=True, default="")
    closed_on = models.DateField(null=True, blank=True)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-first_day", "reference"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "reference"],
                name="jobs_job_reference_once",
                violation_error_message="This reference is taken. Choose another.",
            ),
            models.CheckConstraint(
                name="jobs_job_days_in_order",
                condition=Q(last_day__gte=F("first_day")),
                violation_error_message="The last day cannot lie before the first.",
            ),
        ]
        indexes = [models.Index(fields=["company", "-first_day"], name="jobs_job_by_day")]

    def __str__(self) -> str:
        return f"{self.reference} {self.site_name}"


class HazardKind(models.TextChoices):
    OVERHEAD_LINE = "overhead_line", "Overhead power line"
    UNDERGROUND = "underground", "Underground service"
    WAY = "way", "Road, path or water used by others"
    BUILDING = "building", "Building or structure"
    SLOPE = "slope", "Slope or bad footing"
    DECAY = "decay", "Decay or dead wood"
    NESTING = "nesting", "Nesting or roost"
    PROTECTION = "protection", "Protection order or permit"
    OTHER = "other", "Other"


class PowerLineControl(models.TextChoices):
    NONE = "none", "None yet"
    ISOLATED = "isolated", "Isolated by the network operator"
    SHROUDED = "shrouded", "Shrouded by the network operator"
    AGREED = "agreed", "Way of working agreed in writing with the network operator"


class Hazard(models.Model):
    """Something on site that can hurt, seen from the stump of one stem, with its control."""

    stem = models.ForeignKey("jobs.Stem", on_delete=models.CASCADE, related_name="hazards")
    kind = models.CharField(max_length=16, choices=HazardKind)
    description = models.CharField(max_length=200)
    distance_m = models.FloatField()
    bearing_deg = models.FloatField()
    control = models.CharField(max_length=300)
    power_line_control = models.CharField(max_length=12, choices=PowerLineControl, default=PowerLineControl.NONE)

    class Meta:
        ordering = ["distance_m"]
        constraints = [
            models.CheckConstraint(
                name="jobs_hazard_place_in_range",
                condition=Q(distance_m__gte=0, distance_m__lte=2000, bearing_deg__gte=0, bearing_deg__lt=360),
                violation_error_message="Distance from 0 to 2000 m, bearing from 0 up to 360°.",
            ),
            models.CheckConstraint(name="jobs_hazard_known_kind", condition=Q(kind__in=HazardKind.values)),
            models.CheckConstraint(
                name="jobs_hazard_has_control",
                condition=~Q(control=""),
                violation_error_message="Say how the hazard is controlled.",
            ),
        ]

    def __str__(self) -> str:
        return self.description
