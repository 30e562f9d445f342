"""Each box of a form has a phone offer the keys that it needs."""

import importlib
import pkgutil

import pytest
from django import forms

import crewlog
import gear
import jobs
from crewlog.quantities.fields import QuantityField
from crewlog.web.answers import WholeField
from tests.rows import every_row


def every_form():
    """Form classes of all three apps, wherever they stand."""
    for package in (crewlog, gear, jobs):
        for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if "form" in info.name and "migrations" not in info.name:
                module = importlib.import_module(info.name)
                for each in vars(module).values():
                    if isinstance(each, type) and issubclass(each, forms.BaseForm) and each.__module__ == info.name:
                        yield each


FIELDS = [
    (form, name, field)
    for form in every_form()
    for name, field in getattr(form, "base_fields", {}).items()
    if not isinstance(field.widget, forms.HiddenInput)
]


def keypad(field):
    if isinstance(field, QuantityField):
        field.unit_system = "metric"
    return field.widget.attrs.get("inputmode", getattr(field.widget, "input_type", None))


def test_the_walk_meets_the_forms():
    names = {form.__name__ for form, _, _ in FIELDS}
    assert {"PlanForm", "ItemForm", "EventForm", "PersonForm", "CompanyForm"} <= names
    assert len(FIELDS) > 150


@every_row(("form", "name", "field"), FIELDS, ids=lambda each: getattr(each, "__name__", str(each))[:40])
def test_a_box_offers_the_keys_it_needs(form, name, field):
    offered = keypad(field)
    if isinstance(field, QuantityField):
        assert offered in ("decimal", "text")
    elif isinstance(field, forms.IntegerField):
        assert isinstance(field, WholeField), f"{form.__name__}.{name} would read 1.000 as 1"
        assert offered == "numeric"
    elif isinstance(field, forms.EmailField):
        assert offered == "email"
    elif name in ("phone", "emergency_number"):
        assert offered == "tel"
    elif isinstance(field, forms.FloatField | forms.DecimalField):
        pytest.fail(f"{form.__name__}.{name} does not go through the strict reader")
    else:
        assert offered not in ("decimal", "numeric")


@pytest.mark.parametrize(
    ("kind", "system", "keys"),
    [
        ("force", "metric", "decimal"),
        ("length", "metric", "decimal"),
        ("length", "us", "text"),  # 12'6" and 5/8 in
        ("diameter_gear", "us", "text"),
        ("slope", "metric", "text"),  # downhill is negative, and a figures pad has no minus
        ("wind", "us", "decimal"),
    ],
)
def test_a_quantity_offers_all_keys_where_marks_are_usual(kind, system, keys):
    field = QuantityField(kind=kind, unit_system=system)
    assert field.widget.attrs["inputmode"] == keys


@pytest.mark.parametrize("text", ["1.000", "1,000", "1.0", "1 000"])
def test_a_count_with_a_separator_is_refused(text):
    with pytest.raises(forms.ValidationError):
        WholeField(min_value=1, max_value=5000).clean(text)
    assert WholeField(min_value=1, max_value=5000).clean(" 1000 ") == 1000
