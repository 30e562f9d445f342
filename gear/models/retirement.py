"""The end of an item; there is no way back."""

from django.db import models
from django.db.models import Q

from crewlog.models import EvidenceModel
from crewlog.models.querysets import EvidenceQuerySet
from gear.models.item import GearItem


class Disposal(models.TextChoices):
    DESTROYED = "destroyed", "Cut up or crushed"
    RETURNED = "returned", "Returned to the maker or lender"
    TRAINING = "training", "Marked and kept for training, never loaded"
    LOST = "lost", "Lost"
    KEPT = "kept", "Kept as evidence"


class Retirement(EvidenceModel):
    """When, why, and what became of it."""

    record_kind = "gear.retirement"

    item = models.OneToOneField(GearItem, on_delete=models.PROTECT, related_name="retirement")
    retired_on = models.DateField()
    reason = models.CharField(max_length=200)
    disposal = models.CharField(max_length=12, choices=Disposal)

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="gear_retirement_has_reason",
                condition=~Q(reason=""),
                violation_error_message="Say why it is retired.",
            ),
            models.CheckConstraint(
                name="gear_retirement_known_disposal",
                condition=Q(disposal__in=Disposal.values),
                violation_error_message="Say what became of it.",
            ),
        ]

    def __str__(self) -> str:
        return f"Retired on {self.retired_on}: {self.reason}"
