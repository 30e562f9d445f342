"""Marks a form whose typed answers are kept on the device until the server has accepted them (decision 20)."""

from django.forms import BaseForm
from django.template import Library
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = Library()


@register.simple_tag
def draft(name: str, form: BaseForm | None = None) -> SafeString:
    """Attributes of the form's tag: `<form method="post" {% draft "stem" form %}>`.

    A form that was sent and came back holds what was typed already; the script must not take that for what is saved.
    """
    refused = " data-draft-refused" if form is not None and form.is_bound else ""
    return format_html('data-draft="{}"{}', name, refused)
