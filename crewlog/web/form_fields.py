"""Small pieces that forms share: tiles, and where a service's refusal is shown."""

from collections.abc import Callable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from crewlog.errors import RuleBroken
from crewlog.stale import StaleEdit
from crewlog.stale.forms import EditedForm
from crewlog.web.form_boxes import Choices
from crewlog.web.widgets import Tiles

PHONE = {"inputmode": "tel", "autocomplete": "off"}


def tiles(label: str, choices: Choices, *, hints: Mapping[str, str] | None = None, **kwargs: Any) -> Any:
    kwargs.setdefault("required", True)
    return forms.ChoiceField(
        label=label,
        choices=list(choices),
        widget=Tiles(hints=hints),
        error_messages={"required": "Choose one."},
        **kwargs,
    )


def add_service_error(form: forms.BaseForm, fault: RuleBroken | ValidationError) -> None:
    """Add a service's refusal to the field it names, else to the head of the form; a stale edit as a comparison."""
    if isinstance(fault, StaleEdit) and isinstance(form, EditedForm):
        form.tell_stale(fault)
        return
    if isinstance(fault, RuleBroken):
        form.add_error(fault.field if fault.field in form.fields else None, fault.message)
        return
    if not hasattr(fault, "error_dict"):
        form.add_error(None, fault)
        return
    for name, errors in fault.error_dict.items():
        form.add_error(name if name in form.fields and name != NON_FIELD_ERRORS else None, errors)


def run_service(form: forms.BaseForm, service: Callable[[], Any]) -> Any:
    """Call a service where the form is valid: what it returns, or None where the form or the service refused.

    Of the service's errors RuleBroken and ValidationError are caught and added to the form.
    """
    if not form.is_valid():
        return None
    try:
        return service()
    except (RuleBroken, ValidationError) as fault:
        add_service_error(form, fault)
        return None


def refused_status(form: forms.BaseForm) -> int:
    """409 where somebody else saved since the form was opened, 422 for one that is refused, else 200."""
    if getattr(form, "stale", None) is not None:
        return 409
    return 422 if form.errors else 200
