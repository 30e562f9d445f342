"""An examination of one item, signed."""

from django.db import models
from django.db.models import F, Q

from crewlog.models import EvidenceModel, Person
from crewlog.models.querysets import EvidenceQuerySet
from crewlog.models.record import Record
from gear.catalogue.events import INSPECTION_KINDS, VERDICTS
from gear.models.item import GearItem


class Inspection(EvidenceModel):
    """Who examined what, when, against which checklist, and the verdict."""

    record_kind = "gear.inspection"

    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="inspections")
    kind = models.CharField(max_length=12, choices=INSPECTION_KINDS)
    examined_on = models.DateField()
    declaration_dated_on = models.DateField(null=True, blank=True)
    inspector = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    checklist_version = models.CharField(max_length=40, blank=True, default="")
    answers = models.JSONField(default=list, blank=True)
    measures = models.JSONField(default=list, blank=True)
    findings = models.TextField(blank=True, default="")
    verdict = models.CharField(max_length=12, choices=VERDICTS)
    remark_due_on = models.DateField(null=True, blank=True)
    next_due_on = models.DateField(null=True, blank=True)
    next_due_basis = models.CharField(max_length=160, blank=True, default="")
    marking_legible = models.BooleanField()
    residual_strength_ratio = models.FloatField(null=True, blank=True)
    employer_told_at = models.DateTimeField(null=True, blank=True)
    employer_told_how = models.CharField(max_length=160, blank=True, default="")
    authority_copy = models.CharField(max_length=160, blank=True, default="")
    because = models.CharField(max_length=200, blank=True, default="")
    failure = models.ForeignKey(
        "gear.FailureFound", on_delete=models.PROTECT, null=True, blank=True, related_name="inspections"
    )
    cures = models.JSONField(default=list, blank=True)

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-examined_on", "-record_id"]
        indexes = [models.Index(fields=["item", "-examined_on"], name="gear_inspection_by_item")]
        constraints = [
            models.CheckConstraint(
                name="gear_inspection_known_kind", condition=Q(kind__in=[code for code, _ in INSPECTION_KINDS])
            ),
            models.CheckConstraint(
                name="gear_inspection_known_verdict", condition=Q(verdict__in=[code for code, _ in VERDICTS])
            ),
            models.CheckConstraint(
                name="gear_inspection_remark_has_date",
                condition=Q(verdict="remark", remark_due_on__isnull=False)
                | (~Q(verdict="remark") & Q(remark_due_on__isnull=True)),
                violation_error_message="A remark needs the day by which it must be mended; nothing else has one.",
            ),
            models.CheckConstraint(
                name="gear_inspection_remark_after_examination",
                condition=Q(remark_due_on__isnull=True) | Q(remark_due_on__gte=F("examined_on")),
                violation_error_message="The remark's day cannot come before the examination.",
            ),
            models.CheckConstraint(
                name="gear_inspection_due_after_examination",
                condition=Q(next_due_on__isnull=True) | Q(next_due_on__gte=F("examined_on")),
                violation_error_message="The next due date cannot come before the examination.",
            ),
            models.CheckConstraint(
                name="gear_inspection_declaration_is_dated",
                condition=(
                    Q(kind="declaration", declaration_dated_on__isnull=False)
                    & Q(declaration_dated_on__lte=F("examined_on"))
                )
                | (~Q(kind="declaration") & Q(declaration_dated_on__isnull=True)),
                violation_error_message="A declaration of conformity carries its date, not after the day it was seen.",
            ),
            models.CheckConstraint(
                name="gear_inspection_residual_is_ratio",
                condition=Q(residual_strength_ratio__isnull=True)
                | Q(residual_strength_ratio__gt=0, residual_strength_ratio__lte=1),
                violation_error_message="The remaining strength must be above 0 and at most 1.",
            ),
            models.CheckConstraint(
                name="gear_inspection_defect_is_told",
                condition=~Q(verdict__in=["out_of_use", "retire"])
                | (Q(employer_told_at__isnull=False) & ~Q(employer_told_how=""))
                | Q(failure__isnull=False),  # its telling stands with the failure, open until it is given
                violation_error_message="The employer must be told at once of a defect that is or could become a "
                "danger: say when and how.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.examined_on}: {self.get_verdict_display()}"

    @property
    def corrects(self) -> Record | None:
        """The record this one corrects. Queries unless `record__corrects` was fetched with it."""
        return self.record.corrects
