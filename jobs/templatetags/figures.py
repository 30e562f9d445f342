"""Figures in templates."""

from django.template import Library

from jobs.wording.figure import Part
from jobs.wording.unit_formatter import UnitFormatter

register = Library()


@register.filter
def printed(part: Part, write: UnitFormatter) -> str:
    """A figure, or words that hold figures, in the units of who reads: {{ row.travel|printed:write }}."""
    return write.text(part)
