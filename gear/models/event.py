"""What happened to an item, what was done to it, and recalls by makers."""

from django.db import models
from django.db.models import Q

from crewlog.models import EvidenceModel
from crewlog.models.querysets import EvidenceQuerySet
from gear.catalogue.events import EVENT_CHOICES, LOADED_KINDS, NOT_LOADED_KINDS
from gear.models.item import GearItem


class Recall(EvidenceModel):
    """A maker's recall as announced; it also catches items registered later."""

    record_kind = "gear.recall"
    about_no_row = "each item that it catches has an event"

    maker = models.CharField(max_length=80)
    maker_model = models.CharField(max_length=80, blank=True, default="")
    gear_classes = models.JSONField(default=list, blank=True)  # empty: every class
    batches = models.JSONField(default=list, blank=True)
    serial_from = models.CharField(max_length=60, blank=True, default="")
    serial_to = models.CharField(max_length=60, blank=True, default="")
    announced_on = models.DateField()
    source = models.CharField(max_length=200)
    description = models.TextField(blank=True, default="")

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-announced_on", "-record_id"]
        constraints = [
            models.CheckConstraint(
                name="gear_recall_names_maker",
                condition=~Q(maker="") & ~Q(source=""),
                violation_error_message="A recall names the maker and where it was announced.",
            ),
            models.CheckConstraint(
                name="gear_recall_serials_both_or_none",
                condition=Q(serial_from="", serial_to="") | (~Q(serial_from="") & ~Q(serial_to="")),
                violation_error_message="Give the first and the last serial number.",
            ),
        ]

    def __str__(self) -> str:
        return f"Recall {self.maker} {self.maker_model}".strip()


class GearEvent(EvidenceModel):
    """One event or alteration of one item."""

    record_kind = "gear.event"

    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="events")
    kind = models.CharField(max_length=24, choices=EVENT_CHOICES)
    happened_on = models.DateField()
    description = models.TextField()
    gear_loaded = models.BooleanField(null=True, blank=True)
    load_n = models.FloatField(null=True, blank=True)
    length_before_m = models.FloatField(null=True, blank=True)
    length_after_m = models.FloatField(null=True, blank=True)
    recall = models.ForeignKey(Recall, on_delete=models.PROTECT, null=True, blank=True, related_name="events")
    uses = models.PositiveSmallIntegerField(null=True, blank=True)

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-happened_on", "-record_id"]
        indexes = [models.Index(fields=["item", "-happened_on"], name="gear_event_by_item")]
        constraints = [
            models.CheckConstraint(
                name="gear_event_known_kind", condition=Q(kind__in=[code for code, _ in EVENT_CHOICES])
            ),
            models.CheckConstraint(
                name="gear_event_says_what",
                condition=~Q(description=""),
                violation_error_message="Say what happened.",
            ),
            models.CheckConstraint(
                name="gear_event_loaded_as_its_kind",
                condition=(~Q(kind__in=LOADED_KINDS) | Q(gear_loaded__isnull=False, gear_loaded=True))
                & (~Q(kind__in=NOT_LOADED_KINDS) | Q(gear_loaded__isnull=False, gear_loaded=False)),
                violation_error_message="A shock load or overload was loaded; a near miss of this kind was not.",
            ),
            models.CheckConstraint(
                name="gear_event_recall_named",
                condition=Q(kind__in=["recall", "recall_resolved"], recall__isnull=False)
                | (~Q(kind__in=["recall", "recall_resolved"]) & Q(recall__isnull=True)),
                violation_error_message="A recall's event names the recall.",
            ),
            models.CheckConstraint(
                name="gear_event_use_counted",
                condition=Q(kind="used", uses__isnull=False, uses__gte=1) | (~Q(kind="used") & Q(uses__isnull=True)),
                violation_error_message="Say how many uses.",
            ),
            models.CheckConstraint(
                name="gear_event_only_shorter",
                condition=Q(length_after_m__isnull=True)
                | Q(length_before_m__isnull=True)
                | Q(length_after_m__gt=0, length_after_m__lte=models.F("length_before_m")),
                violation_error_message="A rope gets shorter, and something must be left.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} on {self.happened_on}"
