"""Forms that were sent: one row for each key, so that a thing is recorded once."""

from django.conf import settings
from django.db import models


class SentForm(models.Model):
    """A submission that recorded something, and the address its answer led to. No evidence: it is swept.

    `digest` is over everything that was sent; a form sent again with other contents is another submission.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)
    location = models.TextField(default="")
    created_at = models.DateTimeField(auto_now_add=True, db_index=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "key", "digest"], name="crewlog_sentform_once")]

    def __str__(self) -> str:
        return f"form {self.key}"
