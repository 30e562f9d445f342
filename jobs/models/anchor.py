"""An anchor: a record of something that stands on site, not gear."""

from django.db import models
from django.db.models import Q

from crewlog.models import Person
from crewlog.models.fields import column_of
from jobs.models.job import Job


class AnchorKind(models.TextChoices):
    """The mechanics' four kinds. A post, fence, gate, railing or building is none of them."""

    TREE = "tree", "Living tree"
    STUMP = "stump", "Stump"
    HOLDFAST = "holdfast", "Ground holdfast"
    MACHINE = "machine", "Machine, braked and chocked"


class Anchor(models.Model):
    """What a sling is put round, with a person's estimate of what it holds."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="anchors")
    name = models.CharField(max_length=40)
    kind = models.CharField(max_length=12, choices=AnchorKind)
    species = models.CharField(max_length=60, blank=True, default="")
    diameter_m = models.FloatField(null=True, blank=True)
    sling_height_m = models.FloatField(null=True, blank=True)
    estimate_n = models.FloatField("estimated strength")
    estimated_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    estimated_at = models.DateTimeField()
    basis = models.CharField("basis of the estimate", max_length=240)
    root_plate_checked = models.BooleanField("root plate looked at, no heave or cracks", default=False)
    decay_checked = models.BooleanField("no decay, cavity or fungus found", default=False)
    ground_checked = models.BooleanField("ground firm, not waterlogged", default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "name"],
                name="jobs_anchor_name_once",
                violation_error_message="This job has an anchor of that name.",
            ),
            models.CheckConstraint(
                name="jobs_anchor_known_kind",
                condition=Q(kind__in=AnchorKind.values),
                violation_error_message="An anchor is a living tree, a stump, a holdfast or a braked, chocked machine.",
            ),
            models.CheckConstraint(
                name="jobs_anchor_estimate_positive",
                condition=Q(estimate_n__gt=0, estimate_n__lte=1e7) & ~Q(basis=""),
                violation_error_message="Give the strength and what the estimate rests on.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def open_checks(self) -> list[str]:
        """Checks of the anchor that nobody has ticked."""
        names = ("root_plate_checked", "decay_checked", "ground_checked")
        return [str(column_of(self, name).verbose_name) for name in names if not getattr(self, name)]
