"""Photographs and documents of an item, and uploads that wait for their form to be put right."""

import datetime as dt
import uuid
from typing import Self

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from crewlog.files.columns import FileHashField
from crewlog.models import EvidenceModel, Membership
from crewlog.models.querysets import EvidenceQuerySet, Row
from gear.models.event import GearEvent
from gear.models.inspection import Inspection
from gear.models.item import GearItem

HELD_FOR = dt.timedelta(days=1)
FILE_KINDS = (("photograph", "Photograph"), ("document", "Document"))


class StoredFile(EvidenceModel):
    """A photograph or document of an item; its bytes lie under their hash, see crewlog/files/keeping.py."""

    record_kind = "gear.file"

    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="files")
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, null=True, blank=True, related_name="files")
    event = models.ForeignKey(GearEvent, on_delete=models.PROTECT, null=True, blank=True, related_name="files")
    point = models.CharField(max_length=40, blank=True, default="")
    kind = models.CharField(max_length=10, choices=FILE_KINDS)
    sha256 = FileHashField()
    size = models.PositiveIntegerField()
    content_type = models.CharField(max_length=40)
    width_px = models.PositiveIntegerField(null=True, blank=True)
    height_px = models.PositiveIntegerField(null=True, blank=True)
    name_given = models.CharField(max_length=120, blank=True, default="")
    caption = models.CharField(max_length=200, blank=True, default="")

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-record_id"]
        constraints = [
            models.CheckConstraint(
                name="gear_storedfile_type_as_its_kind",
                condition=Q(
                    kind="photograph",
                    content_type="image/jpeg",
                    width_px__isnull=False,
                    width_px__gt=0,
                    height_px__isnull=False,
                    height_px__gt=0,
                )
                | Q(kind="document", content_type="application/pdf", width_px__isnull=True, height_px__isnull=True),
                violation_error_message="A photograph is a JPEG with its size, a document a PDF.",
            ),
            models.CheckConstraint(
                name="gear_storedfile_has_bytes",
                condition=Q(size__gt=0) & ~Q(sha256=""),
                violation_error_message="A file has content.",
            ),
            models.CheckConstraint(
                name="gear_storedfile_of_one_record",
                condition=Q(inspection__isnull=True) | Q(event__isnull=True),
                violation_error_message="A file belongs to one inspection or one event.",
            ),
            models.CheckConstraint(
                name="gear_storedfile_point_of_inspection",
                condition=Q(point="") | Q(inspection__isnull=False),
                violation_error_message="A point belongs to an inspection.",
            ),
        ]

    def __str__(self) -> str:
        return self.caption or self.name_given or self.get_kind_display()

    def get_absolute_url(self) -> str:
        return reverse("item_file", args=[self.item.tag, self.pk])

    @property
    def is_photograph(self) -> bool:
        return self.kind == "photograph"


class PendingUploadQuerySet(models.QuerySet[Row]):
    """Uploads that wait."""

    def of(self, member: Membership) -> Self:
        """A member's own, not older than a day."""
        return self.filter(member=member, created_at__gt=timezone.now() - HELD_FOR)

    def lapsed(self) -> Self:
        return self.filter(created_at__lte=timezone.now() - HELD_FOR)


class PendingUpload(models.Model):
    """A file of a form that was refused, held for its member for a day so that it need not be chosen again."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    member = models.ForeignKey(Membership, on_delete=models.CASCADE, related_name="pending_uploads")
    created_at = models.DateTimeField(default=timezone.now)
    kind = models.CharField(max_length=10, choices=FILE_KINDS)
    sha256 = FileHashField()
    width_px = models.PositiveIntegerField(null=True, blank=True)
    height_px = models.PositiveIntegerField(null=True, blank=True)
    name_given = models.CharField(max_length=120, blank=True, default="")

    objects = PendingUploadQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["created_at"], name="gear_pendingupload_by_age")]

    def __str__(self) -> str:
        return self.name_given or self.get_kind_display()
