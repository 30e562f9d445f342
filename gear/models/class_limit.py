"""What a company allows a class of gear beyond its makers: how many uses, and how much of its limit as a peak."""

from django.db import models
from django.db.models import Q

from crewlog.models import Company
from crewlog.models.querysets import CompanyQuerySet
from gear.catalogue.classes import class_choices


class ClassLimit(models.Model):
    """A company's own limits for one class; None leaves the class's default. Stricter than the default, never looser.

    `most_uses` counts days of work; `peak_share_ratio` is the part of an item's limit above which a recorded peak is an
    overload.
    """

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="class_limits")
    gear_class = models.CharField(max_length=20, choices=class_choices)
    most_uses = models.PositiveIntegerField(null=True, blank=True)
    peak_share_ratio = models.FloatField(null=True, blank=True)

    objects = CompanyQuerySet.as_manager()

    class Meta:
        ordering = ["gear_class", "id"]
        constraints = [
            models.UniqueConstraint(fields=["company", "gear_class"], name="gear_classlimit_once"),
            models.CheckConstraint(
                name="gear_classlimit_uses_positive",
                condition=Q(most_uses__isnull=True) | Q(most_uses__gte=1),
                violation_error_message="At least one use, or none set.",
            ),
            models.CheckConstraint(
                name="gear_classlimit_share_not_loosened",
                condition=Q(peak_share_ratio__isnull=True) | Q(peak_share_ratio__gt=0, peak_share_ratio__lte=1),
                violation_error_message="A share is above 0 and at most all of the limit.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_gear_class_display()}: {self.most_uses} uses, {self.peak_share_ratio} of the limit"
