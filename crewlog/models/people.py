"""People by opaque id; what is personal stands apart and can be removed."""

import datetime as dt
import hashlib
import secrets
import uuid
from typing import Self

from django.db import models
from django.db.models import Q

from crewlog.models.company import Company
from crewlog.models.querysets import CompanyQuerySet, Row


class PersonQuerySet(CompanyQuerySet[Row]):
    def with_details(self) -> Self:
        return self.select_related("details")

    def working(self) -> Self:
        return self.filter(left_on__isnull=True).order_by("details__name", "id")


class Person(models.Model):
    """An opaque id that evidence may name for ever."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="people")
    # As it was entered before skills were learned one by one; no rule reads it. See crewlog/training.
    is_trainee = models.BooleanField(default=False)
    left_on = models.DateField(null=True, blank=True)

    objects = PersonQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "people"

    def __str__(self) -> str:
        """The name, or what is left of it. Queries unless details were fetched with it."""
        details = getattr(self, "details", None)
        return details.name if details else f"removed person {str(self.id)[:8]}"


def new_salt() -> str:
    return secrets.token_hex(16)


class PersonDetails(models.Model):
    """Name, contact and health facts: apart from evidence, gone when the person is removed."""

    person = models.OneToOneField(Person, on_delete=models.CASCADE, related_name="details")
    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40, blank=True, default="")
    emergency_contact = models.CharField(max_length=160, blank=True, default="")
    health_notes = models.CharField(max_length=400, blank=True, default="")
    salt = models.CharField(max_length=32, default=new_salt, editable=False)

    class Meta:
        verbose_name_plural = "people's details"
        constraints = [
            models.CheckConstraint(
                name="crewlog_persondetails_has_name", condition=~Q(name=""), violation_error_message="Give a name."
            )
        ]

    def __str__(self) -> str:
        return self.name

    def digest(self) -> str:
        """Salted digest of the name as printed: proves who was named while the salt exists, nothing after."""
        return hashlib.sha256(f"{self.salt}:{self.name}".encode()).hexdigest()


class ExaminerDetails(models.Model):
    """What a report says of the person who makes it. It goes when the person's details go."""

    class Employment(models.TextChoices):
        COMPANY = "company", "Employed by this company"
        SELF = "self", "Self-employed"
        OTHER = "other", "Employed by another firm"

    details = models.OneToOneField(PersonDetails, on_delete=models.CASCADE, related_name="examiner")
    qualifications = models.CharField(max_length=300)
    address = models.TextField(max_length=300)
    employment = models.CharField(max_length=8, choices=Employment, default=Employment.COMPANY)
    employer_name = models.CharField(max_length=120, blank=True, default="")
    employer_address = models.TextField(blank=True, default="", max_length=300)

    class Meta:
        verbose_name_plural = "examiners' details"
        constraints = [
            models.CheckConstraint(
                name="crewlog_examinerdetails_complete",
                condition=~Q(qualifications="") & ~Q(address=""),
                violation_error_message="A report names the examiner's qualifications and address.",
            ),
            models.CheckConstraint(
                name="crewlog_examinerdetails_employer_named",
                condition=Q(employment__in=["company", "self"])
                | (Q(employment="other") & ~Q(employer_name="") & ~Q(employer_address="")),
                violation_error_message="Give the name and address of the firm.",
            ),
        ]

    def __str__(self) -> str:
        return str(self.details)


class Skill(models.TextChoices):
    """What a person can be competent in: the duties of a sheet, and examining gear."""

    CUTTER = "cutter", "Cutting under tension"
    HAULER = "hauler", "Hauling on the tackle"
    BOLLARD = "bollard", "Tending the bollard"
    HITCH = "hitch", "Tending the friction hitch"
    LOOKOUT = "lookout", "Lookout and signaller"
    LINE_TENDER = "line_tender", "Tending side and restraint lines"
    FIRST_AID = "first_aid", "First aid"
    RESCUE = "rescue", "Rescue from height"
    RIGGING_LEAD = "rigging_lead", "Planning and leading a pull"
    EXAMINE_GEAR = "examine_gear", "Examining gear"


class CompetenceQuerySet(models.QuerySet[Row]):
    def standing(self, on: dt.date) -> Self:
        """Those in force on a day: granted by then and not run out."""
        return self.filter(Q(expires_on__isnull=True) | Q(expires_on__gte=on), granted_on__lte=on)


class Competence(models.Model):
    """A skill a person holds, on what evidence and until when."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="competences")
    skill = models.CharField(max_length=16, choices=Skill)
    gear_class = models.CharField(max_length=24, blank=True, default="")
    max_diameter_m = models.FloatField(null=True, blank=True)
    evidence = models.CharField(max_length=200)
    granted_on = models.DateField()
    expires_on = models.DateField(null=True, blank=True)

    objects = CompetenceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(name="crewlog_competence_known_skill", condition=Q(skill__in=Skill.values)),
            models.CheckConstraint(
                name="crewlog_competence_has_evidence",
                condition=~Q(evidence=""),
                violation_error_message="Give the basis of the qualification: a certificate, or who assessed it.",
            ),
            models.UniqueConstraint(fields=["person", "skill", "gear_class"], name="crewlog_competence_once"),
        ]

    def __str__(self) -> str:
        return self.get_skill_display()
