"""A failure as it was answered, what took it back, and how the employer was told of it."""

import datetime as dt
from typing import Self

from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.db.models.functions import Coalesce

from crewlog.models import Company, EvidenceModel, Person
from crewlog.models.querysets import EvidenceQuerySet, Row
from gear.models.item import GearItem
from gear.models.round import ROUND_KINDS, RoundDraft

SORTS = (("point", "A point"), ("measure", "A measure"), ("verdict", "The verdict"))
DANGERS = (
    ("could", "It is or could become a danger"),
    ("imminent", "It could hurt somebody soon: the risk is existing or imminent"),
)
VERDICT = "verdict"  # the point of a failure that is the verdict alone


class FailureQuerySet(EvidenceQuerySet[Row]):
    """Failures found in rounds."""

    def not_taken_back(self) -> Self:
        """The newest word on each failure that its examiner has not said to be a mistake."""
        return self.standing().filter(mistaken__isnull=True)

    def untold(self, company: Company, *, until: int | None = None) -> Self:
        """Failures of a company of which the employer has not been told yet, the newest first. One query.

        `until` is the key of a failure: those alone that began with it or before.
        """
        told = EmployerTold.objects.filter(
            failure__draft=OuterRef("draft"), failure__item=OuterRef("item"), failure__gte=OuterRef("root")
        )
        rows = (
            self.for_company(company)
            .not_taken_back()
            .annotate(root=Coalesce(F("first"), F("record"), output_field=models.BigIntegerField()))
        )
        if until is not None:
            rows = rows.filter(root__lte=until)
        return rows.filter(~Exists(told)).order_by("-record_id")


class FailureFound(EvidenceModel):
    """One point, measure or verdict of an item that failed in a round, from the moment the answer arrived.

    Words that come later are a later row that corrects the one before; `first` then names the one it began with.
    `turn` counts the rows of a point, so that an answer that arrives twice makes one.
    """

    record_kind = "gear.failure-found"

    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="failures")
    draft = models.ForeignKey(RoundDraft, on_delete=models.PROTECT, related_name="failures")
    examiner = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    examination = models.CharField(max_length=12, choices=ROUND_KINDS)
    sort = models.CharField(max_length=8, choices=SORTS)
    point = models.CharField(max_length=40)
    words = models.CharField(max_length=200)
    saw = models.TextField(blank=True, default="")
    found_on = models.DateField()
    first = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    turn = models.PositiveSmallIntegerField(default=1)

    objects = FailureQuerySet.as_manager()

    class Meta:
        ordering = ["-record_id"]
        constraints = [
            models.CheckConstraint(
                name="gear_failurefound_known_sort", condition=Q(sort__in=[code for code, _ in SORTS])
            ),
            models.CheckConstraint(
                name="gear_failurefound_names_its_point",
                condition=~Q(point="") & ~Q(words=""),
                violation_error_message="A failure names the point or measure that failed.",
            ),
            models.UniqueConstraint(fields=["draft", "item", "point", "turn"], name="gear_failurefound_once"),
        ]

    def __str__(self) -> str:
        return self.reason

    @property
    def reason(self) -> str:
        """What failed, and what was seen where that is written."""
        return f"{self.words}: {self.saw.strip()}" if self.saw.strip() else self.words

    @property
    def root_id(self) -> int:
        """Record of the row it began with."""
        return self.first_id or self.record_id

    @property
    def found_at(self) -> dt.datetime:
        """When it was first answered. Queries unless record and first record were fetched."""
        return (self.first or self).record.happened_at


class FailureMistaken(EvidenceModel):
    """The examiner's own word that a failure was answered by mistake, the item looked at again. Nothing is undone."""

    record_kind = "gear.failure-mistaken"

    failure = models.OneToOneField(FailureFound, on_delete=models.PROTECT, related_name="mistaken")
    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="+")
    examiner = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    because = models.CharField(max_length=300)
    looked_at_again = models.BooleanField()

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-record_id"]
        constraints = [
            models.CheckConstraint(
                name="gear_failuremistaken_looked_at_again",
                condition=~Q(because="") & Q(looked_at_again=True),
                violation_error_message="Look at the item again, then say why the answer was a mistake.",
            ),
        ]

    def __str__(self) -> str:
        return self.because


class EmployerTold(EvidenceModel):
    """When and how the employer was told of the failures of an item in a round, up to the one named."""

    record_kind = "gear.employer-told"

    failure = models.OneToOneField(FailureFound, on_delete=models.PROTECT, related_name="telling")
    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="tellings")
    told_at = models.DateTimeField()
    told_how = models.CharField(max_length=160)
    danger = models.CharField(max_length=8, choices=DANGERS)
    authority_copy = models.CharField(max_length=160, blank=True, default="")

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-record_id"]
        constraints = [
            models.CheckConstraint(
                name="gear_employertold_says_how",
                condition=~Q(told_how=""),
                violation_error_message="Say when and how the employer was told.",
            ),
            models.CheckConstraint(
                name="gear_employertold_known_danger", condition=Q(danger__in=[code for code, _ in DANGERS])
            ),
        ]

    def __str__(self) -> str:
        return self.told_how
