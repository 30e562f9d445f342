"""Inspection schemes as data: which use asks for which inspection how often, and on what basis."""

from django.db import models
from django.db.models import F, Q

from crewlog.models import Company
from crewlog.models.querysets import CompanyQuerySet
from gear.catalogue.classes import BY_CODE, USE_CHOICES, is_named

SCHEME_KINDS = (("interim", "Interim inspection"), ("thorough", "Thorough examination"))


class InspectionScheme(models.Model):
    """A law or standard whose intervals a company keeps."""

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="inspection_schemes")
    name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)

    objects = CompanyQuerySet.as_manager()

    class Meta:
        ordering = ["name", "id"]
        constraints = [models.UniqueConstraint(fields=["company", "name"], name="gear_scheme_once")]

    def __str__(self) -> str:
        return self.name


class SchemeRule(models.Model):
    """One interval. The strictest of an item's uses wins.

    `gear_classes` holds codes of classes, or "accessories" for all that are one; empty means every class.
    """

    scheme = models.ForeignKey(InspectionScheme, on_delete=models.CASCADE, related_name="rules")
    use = models.CharField(max_length=16, choices=USE_CHOICES)
    gear_classes = models.JSONField(default=list, blank=True)
    inspection_kind = models.CharField(max_length=12, choices=SCHEME_KINDS, default="thorough")
    months = models.PositiveSmallIntegerField()
    default_months = models.PositiveSmallIntegerField(null=True, blank=True, editable=False)
    basis = models.CharField(max_length=200)
    how_obtained = models.CharField(max_length=80)

    class Meta:
        ordering = ["scheme", "use", "months", "id"]
        constraints = [
            models.CheckConstraint(
                name="gear_schemerule_known_use", condition=Q(use__in=[code for code, _ in USE_CHOICES])
            ),
            models.CheckConstraint(
                name="gear_schemerule_known_kind",
                condition=Q(inspection_kind__in=[code for code, _ in SCHEME_KINDS]),
            ),
            models.CheckConstraint(
                name="gear_schemerule_months_positive",
                condition=Q(months__gte=1, months__lte=120),
                violation_error_message="An interval is 1 to 120 months.",
            ),
            models.CheckConstraint(
                name="gear_schemerule_not_loosened",
                condition=Q(default_months__isnull=True) | Q(months__lte=F("default_months")),
                violation_error_message="An interval may be shorter than the default, never longer.",
            ),
            models.CheckConstraint(
                name="gear_schemerule_has_basis",
                condition=~Q(basis="") & ~Q(how_obtained=""),
                violation_error_message="Name the law or standard, and its source.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_use_display()}: {self.months} months ({self.basis})"

    def is_for(self, gear_class: str) -> bool:
        return is_named(gear_class, self.gear_classes)

    @property
    def classes(self) -> tuple[str, ...]:
        """Codes of the classes it is for."""
        return tuple(code for code in BY_CODE if self.is_for(code))
