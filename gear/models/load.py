"""What an item carried: measured, calculated from a reading, or not measured. Never filled from a plan."""

from django.db import models
from django.db.models import Q

from crewlog.models import EvidenceModel, Record
from crewlog.models.querysets import EvidenceQuerySet
from gear.models.item import GearItem


class LoadSource(models.TextChoices):
    MEASURED = "measured", "Measured"
    DERIVED = "derived", "Calculated from a reading"
    NOT_MEASURED = "not_measured", "Not measured"
    NOT_USED = "not_used", "Not used"


class LoadRecord(EvidenceModel):
    """One item's work on one sheet. NOT_USED only corrects an earlier record that said it was used.

    `overload_above_ratio` is the share of the limit above which its peak was an overload when it was recorded; null, as
    in records from before it was kept, is the share its class declares.
    """

    record_kind = "gear.load"

    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="loads")
    day = models.DateField()
    source = models.CharField(max_length=12, choices=LoadSource)
    peak_n = models.FloatField(null=True, blank=True)
    limit_n = models.FloatField(null=True, blank=True)
    share_ratio = models.FloatField(null=True, blank=True)
    overload_above_ratio = models.FloatField(null=True, blank=True)
    uses = models.PositiveSmallIntegerField(default=1)
    position = models.CharField(max_length=80, blank=True, default="")
    reference = models.CharField(max_length=120)
    work = models.ForeignKey(Record, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    gauge = models.ForeignKey(GearItem, on_delete=models.PROTECT, null=True, blank=True, related_name="readings_given")
    basis = models.CharField(max_length=300, blank=True, default="")

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-day", "-record_id"]
        indexes = [models.Index(fields=["item", "-day"], name="gear_load_by_item")]
        constraints = [
            models.CheckConstraint(name="gear_load_known_source", condition=Q(source__in=LoadSource.values)),
            models.CheckConstraint(
                name="gear_load_peak_as_its_source",
                condition=Q(source__in=["measured", "derived"], peak_n__isnull=False, peak_n__gte=0)
                | Q(source__in=["not_measured", "not_used"], peak_n__isnull=True, share_ratio__isnull=True),
                violation_error_message="A measured load has its figure; one that was not measured has none.",
            ),
            models.CheckConstraint(
                name="gear_load_measured_with",
                condition=~Q(source="measured") | Q(gauge__isnull=False),
                violation_error_message="Say which load cell measured it.",
            ),
            models.CheckConstraint(
                name="gear_load_derived_has_basis",
                condition=~Q(source="derived") | ~Q(basis=""),
                violation_error_message="Say which reading it was worked out from.",
            ),
            models.CheckConstraint(
                name="gear_load_share_of_a_limit",
                condition=Q(share_ratio__isnull=True) | Q(share_ratio__gte=0, limit_n__isnull=False, limit_n__gt=0),
                violation_error_message="A share is of a limit above zero.",
            ),
            models.CheckConstraint(
                name="gear_load_overload_share",
                condition=Q(overload_above_ratio__isnull=True) | Q(overload_above_ratio__gt=0),
                violation_error_message="The share above which a peak is an overload is above 0.",
            ),
            models.CheckConstraint(
                name="gear_load_use_counted",
                condition=Q(source="not_used", uses=0) | (~Q(source="not_used") & Q(uses__gte=1)),
                violation_error_message="A used item counts a use; one that was not used counts none.",
            ),
            models.CheckConstraint(
                name="gear_load_names_work",
                condition=~Q(reference=""),
                violation_error_message="Name the sheet or the work.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item.tag} on {self.day}: {self.get_source_display()}"

    @property
    def is_overload(self) -> bool:
        """Whether the peak was an overload by the rule of the day. Queries unless the item was fetched."""
        kept = self.overload_above_ratio
        allowed = self.item.declared.overload.share_ratio if kept is None else kept
        return self.share_ratio is not None and self.share_ratio > allowed
