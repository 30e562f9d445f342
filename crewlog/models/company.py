"""A company, its sign-ins and their roles."""

import datetime as dt
import zoneinfo
from typing import Any

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.crypto import salted_hmac

SESSION_SALT = "django.contrib.auth.models.AbstractBaseUser.get_session_auth_hash"


def check_time_zone(name: str) -> None:
    if name not in zoneinfo.available_timezones():
        raise ValidationError(f"{name} is not a time zone. Write it like Europe/London.")


class UnitSystem(models.TextChoices):
    METRIC = "metric", "Metric (kN, m, kg)"
    US = "us", "US customary (lbf, ft, lb)"


class DecimalMark(models.TextChoices):
    POINT = "point", "A point: 12.5"
    COMMA = "comma", "A comma: 12,5"


class FellingWords(models.TextChoices):
    NORTH_AMERICAN = "north_american", "North American: back cut, notch"
    BRITISH = "british", "British: felling cut, sink"


class Company(models.Model):
    """One firm; nobody in it sees another's rows."""

    name = models.CharField(max_length=120)
    address = models.TextField(blank=True, default="", max_length=300)
    time_zone = models.CharField(max_length=64, default="Europe/London", validators=[check_time_zone])
    unit_system = models.CharField(max_length=8, choices=UnitSystem, default=UnitSystem.METRIC)
    decimal_mark = models.CharField(max_length=5, choices=DecimalMark, default=DecimalMark.POINT)
    felling_words = models.CharField(max_length=14, choices=FellingWords, default=FellingWords.NORTH_AMERICAN)
    emergency_number = models.CharField(max_length=20, default="112")
    wind_stop_m_s = models.FloatField(default=11.0)
    second_step_owners = models.BooleanField("Owners need a second step to sign in", default=False)
    second_step_inspectors = models.BooleanField("Inspectors need a second step to sign in", default=False)
    shared_idle_min = models.PositiveSmallIntegerField("Minutes until a shared device signs out", default=20)

    class Meta:
        verbose_name_plural = "companies"
        constraints = [
            models.CheckConstraint(
                name="crewlog_company_wind_stop_within_default",
                condition=Q(wind_stop_m_s__gt=0, wind_stop_m_s__lte=11.0),
                violation_error_message="The wind limit may be set below 11 m/s, not above.",
            ),
            models.CheckConstraint(
                name="crewlog_company_idle_minutes_sensible",
                condition=Q(shared_idle_min__gte=5, shared_idle_min__lte=240),
                violation_error_message="A shared device signs out after 5 to 240 minutes.",
            ),
            models.CheckConstraint(name="crewlog_company_known_units", condition=Q(unit_system__in=UnitSystem.values)),
            models.CheckConstraint(
                name="crewlog_company_known_decimal_mark", condition=Q(decimal_mark__in=DecimalMark.values)
            ),
            models.CheckConstraint(
                name="crewlog_company_known_felling_words", condition=Q(felling_words__in=FellingWords.values)
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def today(self) -> dt.date:
        """The company's date in its own time zone."""
        return timezone.localdate(timezone=zoneinfo.ZoneInfo(self.time_zone))


class UserManager(BaseUserManager["User"]):
    def create_user(self, email: str, password: str | None = None, **extra: Any) -> "User":
        user = self.model(email=self.normalize_email(email).lower(), **extra)
        user.set_password(password)
        user.save(using=self._db)
        return user


class User(AbstractBaseUser):
    """A sign-in. Who the person is stands in Person and PersonDetails."""

    email = models.EmailField(unique=True)
    is_active = models.BooleanField(default=True)
    date_joined = models.DateTimeField(default=timezone.now)
    session_epoch = models.PositiveIntegerField(default=0)  # raised to end every session at once

    objects = UserManager()
    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"

    def __str__(self) -> str:
        return self.email

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """What every session of theirs carries; it changes with the password and when all sessions are ended."""
        held = f"{self.password}:{self.session_epoch}" if self.session_epoch else self.password
        return salted_hmac(SESSION_SALT, held, secret=secret, algorithm="sha256").hexdigest()


class Role(models.TextChoices):
    OWNER = "owner", "Owner"
    CREW_LEAD = "crew_lead", "Crew lead"
    INSPECTOR = "inspector", "Inspector"
    CREW = "crew", "Crew member"
    AUDITOR = "auditor", "Auditor"


class Membership(models.Model):
    """What one sign-in may do in its company."""

    user = models.OneToOneField(User, on_delete=models.CASCADE, related_name="membership")
    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="memberships")
    person = models.OneToOneField("crewlog.Person", on_delete=models.PROTECT, related_name="membership")
    role = models.CharField(max_length=12, choices=Role)
    ends_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(name="crewlog_membership_known_role", condition=Q(role__in=Role.values)),
            models.CheckConstraint(
                name="crewlog_membership_auditor_access_lapses",
                condition=~Q(role=Role.AUDITOR) | Q(ends_on__isnull=False),
                violation_error_message="An auditor's access needs an end date.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} ({self.get_role_display()})"

    def has_lapsed(self) -> bool:
        return self.ends_on is not None and self.ends_on < self.company.today()
