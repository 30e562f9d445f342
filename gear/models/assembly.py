"""What was put into a tackle set and taken out of it."""

from django.db import models
from django.db.models import F, Q

from crewlog.models import EvidenceModel
from crewlog.models.querysets import EvidenceQuerySet
from crewlog.models.record import Record
from gear.models.item import GearItem

PUT_IN, TAKEN_OUT = "in", "out"
PART_CHANGES = ((PUT_IN, "Put in"), (TAKEN_OUT, "Taken out"))


class PartChange(EvidenceModel):
    """One part put in or taken out on a day. `GearItem.assembly` is the present state that follows."""

    record_kind = "gear.part-change"

    assembly = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="part_changes")
    part = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="set_changes")
    change = models.CharField(max_length=3, choices=PART_CHANGES)
    day = models.DateField()
    because = models.CharField(max_length=200)

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-day", "-record_id"]
        indexes = [
            models.Index(fields=["assembly", "-day"], name="gear_partchange_by_set"),
            models.Index(fields=["part", "-day"], name="gear_partchange_by_part"),
        ]
        constraints = [
            models.CheckConstraint(
                name="gear_partchange_known_change", condition=Q(change__in=[code for code, _ in PART_CHANGES])
            ),
            models.CheckConstraint(
                name="gear_partchange_says_why",
                condition=~Q(because=""),
                violation_error_message="Say why.",
            ),
            models.CheckConstraint(
                name="gear_partchange_not_into_itself",
                condition=~Q(assembly=F("part")),
                violation_error_message="A set cannot be a part of itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part.tag} {self.get_change_display().lower()} on {self.day}"

    @property
    def is_in(self) -> bool:
        return self.change == PUT_IN

    @property
    def first_record(self) -> Record:
        """The record it goes back to. Queries beyond the second correction."""
        record = self.record
        while record.corrects is not None:
            record = record.corrects
        return record
