"""How a member is reminded: a calendar under an address of their own, and a digest by e-mail."""

from django.db import models

from crewlog.models.company import Membership


class CalendarFeed(models.Model):
    """The address of one member's calendar, as the hash of its secret part; the address itself is shown once."""

    membership = models.OneToOneField(Membership, on_delete=models.CASCADE, related_name="calendar")
    token_sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"calendar of {self.membership_id}"


class DigestWish(models.Model):
    """A member who wants the digest by e-mail."""

    membership = models.OneToOneField(Membership, on_delete=models.CASCADE, related_name="digest_wish")

    class Meta:
        verbose_name_plural = "digest wishes"

    def __str__(self) -> str:
        return f"digest for {self.membership_id}"


class DigestSent(models.Model):
    """A digest went out: at most one a person and day."""

    membership = models.ForeignKey(Membership, on_delete=models.CASCADE, related_name="digests_sent")
    day = models.DateField()

    class Meta:
        verbose_name_plural = "digests sent"
        constraints = [models.UniqueConstraint(fields=["membership", "day"], name="crewlog_digest_once_a_day")]

    def __str__(self) -> str:
        return f"digest of {self.day}"
