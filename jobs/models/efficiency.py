"""The efficiency of a tackle as it was measured: pairs of readings, and what they come to."""

from django.db import models
from django.db.models import Q

from crewlog.models import EvidenceModel
from crewlog.models.querysets import EvidenceQuerySet
from gear.models import GearItem
from jobs.models.plan import Rove


class EfficiencyMeasurement(EvidenceModel):
    """One calibration of one hauling system: a tackle set, or the moving block of a tackle rigged from loose parts.

    `pairs` holds [force on the hauling part N, load N, "moving" or "holding"] as read; only what was read while
    hauling counts. A mistake is corrected by a later measurement that points at this one.
    """

    record_kind = "jobs.efficiency-measured"

    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="efficiency_measurements")
    measured_on = models.DateField()
    parts = models.PositiveSmallIntegerField()
    rove = models.CharField(max_length=16, choices=Rove)
    load_cell = models.ForeignKey(GearItem, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    load_cell_words = models.CharField(max_length=120, blank=True, default="")
    conditions = models.CharField(max_length=200, blank=True, default="")
    because = models.CharField(max_length=200, blank=True, default="")
    pairs = models.JSONField()
    readings_used = models.PositiveSmallIntegerField()
    advantage = models.FloatField()
    sheave_efficiency = models.FloatField()
    sheave_efficiency_low = models.FloatField()
    sheave_efficiency_high = models.FloatField()
    log_sd = models.FloatField()
    high_is_capped = models.BooleanField()
    confidence = models.FloatField()
    mechanics_version = models.CharField(max_length=20)

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-measured_on", "-record_id"]
        constraints = [
            models.CheckConstraint(
                name="jobs_efficiency_parts_2_to_8",
                condition=Q(parts__gte=2, parts__lte=8),
                violation_error_message="A tackle has 2 to 8 parts.",
            ),
            models.CheckConstraint(
                name="jobs_efficiency_in_order",
                condition=Q(sheave_efficiency_low__gte=0, sheave_efficiency_high__lte=1)
                & Q(sheave_efficiency_low__lte=models.F("sheave_efficiency"))
                & Q(sheave_efficiency__lte=models.F("sheave_efficiency_high")),
                violation_error_message="The efficiency lies inside its interval, from 0 to 1.",
            ),
            models.CheckConstraint(
                name="jobs_efficiency_names_load_cell",
                condition=Q(load_cell__isnull=False) | ~Q(load_cell_words=""),
                violation_error_message="Say which load cell was read.",
            ),
        ]
        indexes = [models.Index(fields=["item", "-measured_on"], name="jobs_efficiency_by_item")]

    def __str__(self) -> str:
        return f"efficiency of {self.item} on {self.measured_on:%d %B %Y}"

    @property
    def used_pairs(self) -> list[tuple[float, float]]:
        """Force on the hauling part and load [N] of the pairs read while hauling."""
        return [(hand, load) for hand, load, state in self.pairs if state == "moving"]
