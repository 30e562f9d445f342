"""The chain of append-only records, and the base of every table of evidence."""

from typing import ClassVar

from django.db import models

from crewlog.models.company import Company
from crewlog.models.constraints import ChecksTogether
from crewlog.models.people import Person
from crewlog.models.querysets import CompanyQuerySet

LATE_AFTER_DAYS = 7


class Record(models.Model):
    """One link of a company's chain.

    `body` is canonical JSON, kept as text so that no database rewrites a digit. `hash` covers every other
    column and `previous_hash`; a row is never updated or deleted (triggers, see crewlog/evidence/guards).
    """

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="records")
    sequence = models.PositiveBigIntegerField()
    kind = models.CharField(max_length=48)
    happened_at = models.DateTimeField()
    entered_at = models.DateTimeField()
    device_time = models.DateTimeField(null=True)
    device_offset_min = models.SmallIntegerField(null=True)
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    on_behalf_of = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    from_paper = models.BooleanField(default=False)
    corrects = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="corrections")
    names = models.TextField(default="[]")
    body = models.TextField()
    previous_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    objects = CompanyQuerySet.as_manager()

    class Meta:
        ordering = ["company", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["company", "sequence"], name="crewlog_record_one_per_place"),
            models.UniqueConstraint(fields=["company", "previous_hash"], name="crewlog_record_no_fork"),
        ]
        indexes = [
            models.Index(fields=["company", "kind", "-sequence"], name="crewlog_record_by_kind"),
        ]

    def __str__(self) -> str:
        return f"record {self.sequence} {self.kind}"

    @property
    def is_late(self) -> bool:
        """Entered more than seven days after the fact."""
        return (self.entered_at - self.happened_at).days > LATE_AFTER_DAYS


class RecordSubject(models.Model):
    """A row that a record is about, or a person whom it names. No evidence: made of the record alone, at any time.

    `kind` is the label of the row's model ("gear.gearitem"), `key` its primary key as text. The constraint's index is
    the one that records of a row are found by. Written in crewlog/evidence/subjects.py and nowhere else.
    """

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="subjects")
    kind = models.CharField(max_length=64)
    key = models.CharField(max_length=36)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["kind", "key", "record"], name="crewlog_recordsubject_once")]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class EvidenceModel(ChecksTogether):
    """Base of a table whose rows stand on the chain: the columns repeat the record's body for queries.

    Its foreign keys say what a record is about. A table without one to a row says in `about_no_row` why.
    """

    record_kind: ClassVar[str]
    about_no_row: ClassVar[str] = ""
    record = models.OneToOneField(Record, on_delete=models.PROTECT, primary_key=True, related_name="%(class)s")

    class Meta:
        abstract = True
