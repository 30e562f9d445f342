"""The end of an entry that should never have been made."""

from django.db import models
from django.db.models import Q

from crewlog.models import EvidenceModel
from crewlog.models.querysets import EvidenceQuerySet
from gear.models.item import GearItem


class EnteredByMistake(EvidenceModel):
    """An item that is none: wrong class, wrong tag, entered twice. Its tag stays taken."""

    record_kind = "gear.entered-by-mistake"

    item = models.OneToOneField(GearItem, on_delete=models.PROTECT, related_name="mistake")
    ended_on = models.DateField()
    reason = models.CharField(max_length=200)

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="gear_enteredbymistake_has_reason",
                condition=~Q(reason=""),
                violation_error_message="Say what was wrong with the entry.",
            ),
        ]

    def __str__(self) -> str:
        return f"Entered by mistake: {self.reason}"
