"""The hidden key of a form that records: `{% form_key %}` beside `{% csrf_token %}`."""

from django.template import Library
from django.utils.html import format_html
from django.utils.safestring import SafeString

from crewlog.once.keys import BOX, new_key

register = Library()


@register.simple_tag
def form_key() -> SafeString:
    """A key of its own for each form on the page; two equal submissions of it make one record."""
    return format_html('<input type="hidden" name="{}" value="{}">', BOX, new_key())
