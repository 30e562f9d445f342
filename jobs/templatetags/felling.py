"""The words of felling in templates."""

from django.template import Library

from jobs.wording import felling as words

register = Library()


@register.filter
def felling(text: str) -> str:
    """The page's own words as the company says them: {{ "Hinge and notch"|felling }}."""
    return words.felling(text)
