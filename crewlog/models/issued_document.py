"""Documents that were handed out: the hash is evidence, the bytes can be let go when nobody may be named any longer.

Columns and kinds of record say "paper": they stand so in the chain.
"""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from crewlog.models.querysets import EvidenceQuerySet
from crewlog.models.record import EvidenceModel, Record


class IssuedDocument(EvidenceModel):
    """What was handed out for the record `of`: sha256 (hexadecimal) and length of its bytes. One for a record."""

    record_kind: ClassVar[str] = "crewlog.paper-kept"

    of = models.OneToOneField(Record, on_delete=models.PROTECT, related_name="paper_kept")
    sha256 = models.CharField(max_length=64)
    length = models.PositiveBigIntegerField()

    objects = EvidenceQuerySet.as_manager()

    def __str__(self) -> str:
        return f"paper {self.sha256[:12]}"


class IssuedDocumentBytes(models.Model):
    """The bytes themselves, names as printed and all. No evidence: they go when the last name in them does."""

    paper = models.OneToOneField(IssuedDocument, on_delete=models.PROTECT, primary_key=True, related_name="bytes")
    content = models.BinaryField()

    class Meta:
        verbose_name_plural = "paper bytes"

    def __str__(self) -> str:
        return f"bytes of {self.paper}"


class IssuedDocumentPurge(EvidenceModel):
    """The bytes of a document were let go, and why; its hash stays."""

    record_kind: ClassVar[str] = "crewlog.paper-purged"

    paper = models.OneToOneField(IssuedDocument, on_delete=models.PROTECT, related_name="purge")
    because = models.CharField(max_length=300)

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="crewlog_paper_purge_has_reason",
                condition=~Q(because=""),
                violation_error_message="Say why the PDF is deleted.",
            )
        ]

    def __str__(self) -> str:
        return f"purge of {self.paper}"
