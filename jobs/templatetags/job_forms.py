"""Tags of the job pages' forms."""

from collections.abc import Iterable, Mapping
from typing import TypeVar

from django.forms import BaseForm
from django.template import Library

from crewlog.templatetags.ui import error_summary, form_faults

register = Library()

Held = TypeVar("Held")


@register.filter
def of(rows: Mapping[str, Held], key: str) -> Held | None:
    """What a mapping holds for a key, or nothing: `{{ page.cures|of:row.role }}`."""
    return rows.get(key)


@register.inclusion_tag("parts/errors.html")
def all_errors(forms_in_order: Iterable[BaseForm], before: str = "") -> dict[str, object]:
    """The error summary of a form with rows: `{% all_errors form.in_order %}`."""
    return error_summary(*forms_in_order, before=before)


@register.filter
def faults(forms_in_order: Iterable[BaseForm]) -> list[tuple[str, str, str]]:
    """Control, label and message of every fault, without the summary that takes the focus."""
    return [fault for form in forms_in_order for fault in form_faults(form)]
