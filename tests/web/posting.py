"""What a browser would send for a form as the page shows it, and what people may type instead."""

import re

from django import forms

from tests.pages import html_of

NONSENSE = (
    "nan",
    "inf",
    "-inf",
    "1e999",
    "-3",
    "12,5",
    "1.000.000",
    "9**9**9",
    "0x10",
    "twelve",
    "12 furlongs",
    "１２e",
    "12\x00",
    "\x00",
    "<script>alert(1)</script>",
    "'; DROP TABLE jobs_stem; --",
    "7" * 10_000,
    "%s%n",
    "--5",
    "5 5",
)


def as_posted(form):
    """Name to value of every control that is answered."""
    opened = getattr(form, "opened", None)
    data = {"opened": opened.token} if opened is not None else {}
    for bound in form:
        value = bound.value()
        if value in (None, "", []):
            continue
        if isinstance(bound.field, forms.BooleanField):
            if value is True or value == "on":
                data[bound.html_name] = "on"
        elif isinstance(bound.field, forms.ModelMultipleChoiceField):
            data[bound.html_name] = [str(getattr(each, "pk", each)) for each in value]
        else:
            shown = bound.field.prepare_value(value)
            data[bound.html_name] = (
                bound.field.widget.format_value(shown) if hasattr(bound.field.widget, "format_value") else shown
            )
            if isinstance(data[bound.html_name], list):
                data[bound.html_name] = data[bound.html_name][0] if data[bound.html_name] else ""
    return data


def shown_token(page):
    """What a page that was opened says it shows, as its form sends it back."""
    found = re.search(r'name="opened" value="([^"]+)"', html_of(page))
    return {"opened": found[1]}


def errors_at(response, name):
    """Messages at one box of the page's form, rows included."""
    form = response.context["form"]
    for each in getattr(form, "in_order", [form]):
        for bound in each:
            if bound.html_name == name:
                return list(bound.errors)
    raise AssertionError(f"the page has no box {name}")
