"""How long each kind of record is kept with the names in it, and holds that keep it longer."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from crewlog.models.company import Company
from crewlog.models.people import Person
from crewlog.models.querysets import CompanyQuerySet, EvidenceQuerySet
from crewlog.models.record import EvidenceModel

LONGEST_MONTHS = 1200


class RetentionPeriod(models.Model):
    """How long the names in one kind of record are kept. The longest `kind` that a record's kind begins with wins.

    With `while_in_use` the first and the latest record of an item are kept besides for as long as it is in service.
    """

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="retention_periods")
    kind = models.CharField(max_length=48, blank=True, default="")
    months = models.PositiveSmallIntegerField()
    minimum_months = models.PositiveSmallIntegerField(editable=False)
    while_in_use = models.BooleanField(default=False, editable=False)
    basis = models.CharField(max_length=300)
    how_obtained = models.CharField(max_length=80)

    objects = CompanyQuerySet.as_manager()

    class Meta:
        ordering = ["kind"]
        constraints = [
            models.UniqueConstraint(fields=["company", "kind"], name="crewlog_retention_kind_once"),
            models.CheckConstraint(
                name="crewlog_retention_not_below_minimum",
                condition=Q(months__gte=F("minimum_months"), months__lte=LONGEST_MONTHS),
                violation_error_message="A period may be longer than the minimum, not shorter.",
            ),
            models.CheckConstraint(
                name="crewlog_retention_has_basis",
                condition=~Q(basis="") & ~Q(how_obtained=""),
                violation_error_message="Name the law or the reason, and its source.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind or 'everything else'}: {self.months} months"


class Hold(EvidenceModel):
    """Nothing about an item, a job or a person is let go while this stands. A later record lifts it."""

    class About(models.TextChoices):
        ITEM = "item", "An item of gear"
        JOB = "job", "A job"
        PERSON = "person", "A person"

    record_kind: ClassVar[str] = "crewlog.hold-placed"
    about_no_row: ClassVar[str] = "holds are few and are read whole: about and subject say it"

    about = models.CharField(max_length=8, choices=About)
    subject = models.CharField(max_length=64)
    because = models.CharField(max_length=300)
    placed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-record_id"]
        constraints = [
            models.CheckConstraint(name="crewlog_hold_known_subject", condition=Q(about__in=["item", "job", "person"])),
            models.CheckConstraint(
                name="crewlog_hold_has_reason",
                condition=~Q(because="") & ~Q(subject=""),
                violation_error_message="Say what the legal hold is for.",
            ),
        ]

    def __str__(self) -> str:
        return f"hold on {self.about} {self.subject}"


class HoldLift(EvidenceModel):
    """The end of a hold."""

    record_kind: ClassVar[str] = "crewlog.hold-lifted"

    hold = models.OneToOneField(Hold, on_delete=models.PROTECT, related_name="lift")
    because = models.CharField(max_length=300)
    lifted_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="crewlog_hold_lift_has_reason",
                condition=~Q(because=""),
                violation_error_message="Say why the legal hold ends.",
            )
        ]

    def __str__(self) -> str:
        return f"end of {self.hold}"
