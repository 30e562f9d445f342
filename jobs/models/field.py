"""What was done on the day of a sheet: readings, and which items were used."""

import json

from django.db import models
from django.db.models import Q

from crewlog.models import EvidenceModel, Person
from crewlog.models.querysets import EvidenceQuerySet
from jobs.models.querysets import DayRecordQuerySet
from jobs.models.sheet import Sheet
from jobs.sheets.standing import rules


class ReadingKind(models.TextChoices):
    LINE = "line", "Tension in the main line"
    HAND = "hand", "Pull on the tail"


class ReadingMoment(models.TextChoices):
    PROOF = "proof", "Proof pull"
    PRE_TENSION = "pre_tension", "Pre-tension"
    FULL_PULL = "full_pull", "Full pull"
    OTHER = "other", "At another time"


class DayResult(models.TextChoices):
    FELL = rules.FELL, "Fell as planned"
    HUNG_UP = "hung_up", "Hung up"
    SAT_BACK = "sat_back", "Sat back"
    SPLIT = "split", "Split"
    ROLLED = "rolled", "Rolled"
    STOPPED = rules.STOPPED, "Stopped, stem still stands"


class Reading(EvidenceModel):
    """One reading of a load cell. A wrong one is corrected by a later one."""

    record_kind = "jobs.reading"

    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="readings")
    kind = models.CharField(max_length=8, choices=ReadingKind)
    moment = models.CharField(max_length=12, choices=ReadingMoment)
    force_n = models.FloatField()
    gauge = models.ForeignKey("gear.GearItem", on_delete=models.PROTECT, related_name="+")
    gauge_unfit = models.CharField(max_length=200, blank=True, default="")
    read_at = models.DateTimeField()
    note = models.CharField(max_length=200, blank=True, default="")

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["read_at", "record_id"]
        constraints = [
            models.CheckConstraint(name="jobs_reading_known_kind", condition=Q(kind__in=ReadingKind.values)),
            models.CheckConstraint(name="jobs_reading_known_moment", condition=Q(moment__in=ReadingMoment.values)),
            models.CheckConstraint(
                name="jobs_reading_above_nought",
                condition=Q(force_n__gt=0),
                violation_error_message="A reading is above zero.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} read for {self.sheet}"


class DayRecord(EvidenceModel):
    """The day of a sheet as its lead recorded it. `used` lists [position, item] pairs as JSON text."""

    record_kind = "jobs.day"

    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="day_records")
    recorded_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    result = models.CharField(max_length=10, choices=DayResult)
    used = models.TextField()
    tension_n = models.FloatField(null=True)
    tension_basis = models.CharField(max_length=200, blank=True, default="")
    mechanics_version = models.CharField(max_length=20)
    note = models.TextField(blank=True, default="")

    objects = DayRecordQuerySet.as_manager()

    class Meta:
        ordering = ["record_id"]
        constraints = [
            models.CheckConstraint(name="jobs_day_known_result", condition=Q(result__in=DayResult.values)),
            models.CheckConstraint(
                name="jobs_day_tension_has_basis",
                condition=Q(tension_n__isnull=True, tension_basis="")
                | Q(tension_n__isnull=False, tension_n__gt=0) & ~Q(tension_basis=""),
            ),
        ]

    def __str__(self) -> str:
        return f"day of {self.sheet}"

    def used_items(self) -> set[tuple[str, int]]:
        """Position and item of everything that was used."""
        return {(role, item) for role, item in json.loads(self.used)}
