"""The outbox: one row a mail, written with the fact it tells of."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone


class QueuedMail(models.Model):
    """A mail that waits, went out, or was given up. The text goes when it is done: links in it let somebody in."""

    kind = models.CharField(max_length=32)
    key = models.CharField(max_length=96, unique=True)
    to = models.EmailField()
    user = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.CASCADE, related_name="queued_mails")
    subject = models.CharField(max_length=200)
    body = models.TextField()
    made_at = models.DateTimeField(default=timezone.now)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_try = models.DateTimeField(null=True, default=timezone.now, db_index=True)
    sent_at = models.DateTimeField(null=True)
    last_error = models.CharField(max_length=300, blank=True, default="")

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="crewlog_queuedmail_done_keeps_no_text",
                condition=Q(next_try__isnull=False) | Q(body=""),
                violation_error_message="A mail that is done keeps no text.",
            ),
            models.CheckConstraint(
                name="crewlog_queuedmail_sent_waits_no_more",
                condition=Q(sent_at__isnull=True) | Q(next_try__isnull=True),
                violation_error_message="A mail that went out is not tried again.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}"

    @property
    def waits(self) -> bool:
        return self.next_try is not None


class MailStop(models.Model):
    """A member who does without a kind of mail that goes out unless it is stopped."""

    WITHDRAWAL = "withdrawal"

    membership = models.ForeignKey("crewlog.Membership", on_delete=models.CASCADE, related_name="mail_stops")
    kind = models.CharField(max_length=32)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["membership", "kind"], name="crewlog_mailstop_once")]

    def __str__(self) -> str:
        return f"no {self.kind} for {self.membership_id}"
