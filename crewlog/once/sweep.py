"""Letting old keys go."""

import datetime as dt

from django.utils import timezone

from crewlog.models import SentForm

KEPT = dt.timedelta(days=30)  # longer than a page is left open and sent again


def sweep_sent_forms() -> int:
    """Remove the keys of forms sent longer ago than KEPT; returns how many."""
    gone, _ = SentForm.objects.filter(created_at__lt=timezone.now() - KEPT).delete()
    return gone
