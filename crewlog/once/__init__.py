"""A thing is recorded once: equal submissions of one form make one record, and each gets the same answer."""

from crewlog.once.views import once

__all__ = ["once"]
