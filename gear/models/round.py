"""Rounds: many items inspected in a row. The drafts can change; what was signed is evidence."""

from django.db import models
from django.db.models import Q

from crewlog.files.columns import FileHashField
from crewlog.models import Company, EvidenceModel, Person
from crewlog.models.querysets import CompanyQuerySet, EvidenceQuerySet
from gear.catalogue.events import VERDICTS
from gear.models.inspection import Inspection
from gear.models.item import GearItem

ROUND_KINDS = (("thorough", "Thorough examination"), ("interim", "Interim inspection"))
NOT_PRESENTED = "not_presented"
ROUND_OUTCOMES = (*VERDICTS, (NOT_PRESENTED, "Not presented"))


class Round(EvidenceModel):
    """One signature under the inspections of a round."""

    record_kind = "gear.round"
    about_no_row = "each of its lines is about an item"

    inspector = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=12, choices=ROUND_KINDS)
    title = models.CharField(max_length=160)
    started_at = models.DateTimeField()
    statement = models.CharField(max_length=200)
    items = models.PositiveSmallIntegerField()

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-record_id"]
        constraints = [
            models.CheckConstraint(
                name="gear_round_known_kind", condition=Q(kind__in=[code for code, _ in ROUND_KINDS])
            ),
            models.CheckConstraint(
                name="gear_round_holds_items",
                condition=Q(items__gte=1) & ~Q(title="") & ~Q(statement=""),
                violation_error_message="A signed round names what it is about and holds one item at least.",
            ),
        ]

    def __str__(self) -> str:
        return self.title


class RoundLine(EvidenceModel):
    """One item of a signed round: what became of it, its inspection, and the seconds spent on it."""

    record_kind = "gear.round-line"

    round = models.ForeignKey(Round, on_delete=models.PROTECT, related_name="lines")
    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="round_lines")
    inspection = models.ForeignKey(
        Inspection, on_delete=models.PROTECT, null=True, blank=True, related_name="round_lines"
    )
    outcome = models.CharField(max_length=16, choices=ROUND_OUTCOMES)
    seconds = models.PositiveIntegerField(null=True, blank=True)

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["record_id"]
        constraints = [
            models.CheckConstraint(
                name="gear_roundline_known_outcome", condition=Q(outcome__in=[code for code, _ in ROUND_OUTCOMES])
            ),
            models.CheckConstraint(
                name="gear_roundline_names_its_inspection",
                condition=Q(outcome=NOT_PRESENTED, inspection__isnull=True)
                | (~Q(outcome=NOT_PRESENTED) & Q(inspection__isnull=False)),
                violation_error_message="An item that was presented has an inspection; one that was not has none.",
            ),
            models.UniqueConstraint(fields=["round", "item"], name="gear_roundline_item_once"),
            models.UniqueConstraint(
                fields=["inspection"],
                condition=Q(inspection__isnull=False),
                name="gear_roundline_inspection_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item.tag}: {self.get_outcome_display()}"


class RoundDraft(models.Model):
    """A round under way: what one inspector set out to inspect. No evidence."""

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="round_drafts")
    inspector = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="round_drafts")
    kind = models.CharField(max_length=12, choices=ROUND_KINDS)
    title = models.CharField(max_length=160)
    started_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyQuerySet.as_manager()

    class Meta:
        ordering = ["-started_at", "-id"]
        constraints = [
            models.CheckConstraint(
                name="gear_rounddraft_known_kind", condition=Q(kind__in=[code for code, _ in ROUND_KINDS])
            ),
        ]
        indexes = [
            models.Index(fields=["company", "inspector"], name="gear_draft_open", condition=Q(closed_at__isnull=True)),
        ]

    def __str__(self) -> str:
        return self.title


class RoundDraftItem(models.Model):
    """One item of a draft. A failure is recorded at once and named here; the rest waits for the signature."""

    draft = models.ForeignKey(RoundDraft, on_delete=models.CASCADE, related_name="rows")
    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField()
    seconds = models.JSONField(default=dict, blank=True)
    failed_by = models.ForeignKey(Inspection, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    signed_in = models.ForeignKey(Round, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["draft", "position"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "position"], name="gear_draftitem_one_a_place"),
            models.UniqueConstraint(fields=["draft", "item"], name="gear_draftitem_once"),
        ]

    def __str__(self) -> str:
        return f"{self.position}. {self.item.tag}"

    @property
    def seconds_spent(self) -> int | None:
        """Seconds over all devices; None where none was measured."""
        return sum(self.seconds.values()) if self.seconds else None


class RoundPhotograph(models.Model):
    """A photograph taken in a round, of one point or with an empty point of the whole; evidence once it is signed."""

    kind = "photograph"

    row = models.ForeignKey(RoundDraftItem, on_delete=models.CASCADE, related_name="photographs")
    point = models.CharField(max_length=40, blank=True, default="")
    sha256 = FileHashField()
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    name_given = models.CharField(max_length=120, blank=True, default="")

    class Meta:
        ordering = ["row", "point"]
        constraints = [models.UniqueConstraint(fields=["row", "point"], name="gear_roundphotograph_once")]

    def __str__(self) -> str:
        return self.name_given or "Photograph"


class RoundDraftAnswer(models.Model):
    """One answer as typed, by the name of its box. Of two devices the later by the clock counts; the other is named."""

    row = models.ForeignKey(RoundDraftItem, on_delete=models.CASCADE, related_name="answers")
    name = models.CharField(max_length=60)
    value = models.TextField(blank=True, default="")
    answered_at = models.DateTimeField()
    device = models.CharField(max_length=40, blank=True, default="")
    device_time = models.DateTimeField()
    device_offset_min = models.SmallIntegerField(null=True, blank=True)
    other_value = models.TextField(blank=True, default="")
    other_device_time = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["row", "name"]
        constraints = [models.UniqueConstraint(fields=["row", "name"], name="gear_draftanswer_once")]

    def __str__(self) -> str:
        return f"{self.name}: {self.value}"
