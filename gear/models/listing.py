"""A list on its way into the register, and how a company's own lists are to be read."""

import datetime as dt
import uuid
from typing import Self

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from crewlog.models import Company, Membership
from crewlog.models.querysets import CompanyQuerySet, Row
from gear.lists.days import ORDERS
from gear.lists.limits import KEPT_HOURS


class ColumnMapping(models.Model):
    """What a company takes the columns of its lists for; remembered from one list to the next."""

    company = models.OneToOneField(Company, on_delete=models.CASCADE, related_name="column_mapping")
    columns = models.JSONField(default=dict, blank=True)  # plain heading -> {"column": name or "", "unit": symbol}
    date_order = models.CharField(max_length=3, choices=ORDERS, blank=True, default="")
    uses = models.JSONField(default=list, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="gear_columnmapping_known_order", condition=Q(date_order__in=["", *(code for code, _ in ORDERS)])
            )
        ]

    def __str__(self) -> str:
        return f"columns of {self.company}"


class ListUploadQuerySet(CompanyQuerySet[Row]):
    def waiting_for(self, member: Membership) -> Self:
        """What a member brought in and has neither confirmed nor let lapse. Nobody else sees it."""
        since = timezone.now() - dt.timedelta(hours=KEPT_HOURS)
        return self.filter(company=member.company, member=member, kept_at__gt=since)

    def lapsed(self) -> Self:
        return self.filter(kept_at__lte=timezone.now() - dt.timedelta(hours=KEPT_HOURS))


class ListUpload(models.Model):
    """A file between preview and confirmation: seen by the member who brought it in, gone after a day.

    `seal` is the hash of the file and of how it is read; what is confirmed must carry the same one.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="list_uploads")
    member = models.ForeignKey(Membership, on_delete=models.CASCADE, related_name="list_uploads")
    name = models.CharField(max_length=120)
    data = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    choices = models.JSONField(default=dict, blank=True)
    report = models.JSONField(null=True, blank=True)
    seal = models.CharField(max_length=64, blank=True, default="")
    kept_at = models.DateTimeField(default=timezone.now)

    objects = ListUploadQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["member", "-kept_at"], name="gear_listupload_by_member")]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("list_check", args=[self.pk])

    @property
    def columns_url(self) -> str:
        """Where it is said what its columns are."""
        return reverse("list_columns", args=[self.pk])
