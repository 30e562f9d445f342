"""A company that writes 12,5: boxes are read and filled so, and nothing is a thousand times too much or too little."""

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from crewlog.models import Company
from crewlog.quantities.display import limit_text, quantity_text
from crewlog.quantities.fields import QuantityField
from crewlog.quantities.number_style import decimal_mark, numbers_with
from crewlog.quantities.parse import QuantityTextError
from crewlog.quantities.typed import input_text, read_quantity
from tests.pages import html_of
from tests.rows import every_row


def read(text, kind="force", system="metric"):
    return read_quantity(text, kind, system, mark="comma").value


@pytest.mark.parametrize(
    ("text", "newtons"),
    [
        ("12,5", 12_500.0),
        ("12.5", 12_500.0),  # all that some keypads offer; no thousands have one digit
        ("12,5 kN", 12_500.0),
        ("0,125", 125.0),
        ("0.125", 125.0),
        (",5", 500.0),
        ("1,250", 1_250.0),  # the company's decimal comma, three places after it
        ("1250 N", 1_250.0),
    ],
)
def test_a_decimal_comma_is_read(text, newtons):
    assert read(text) == pytest.approx(newtons, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1.250", "Write 1250 without the separator, or 1,250 with a comma."),
        ("12.500 N", "Write 12500 without the separator, or 12,500 with a comma."),
        ("1.250,5", "Write 1250,5 without a separator."),
        ("1,250.5", "Write 1250,5 without a separator."),
        ("1.250.000", "Write 1250000 without a separator."),
        ("1,250,000", "Write 1250000 without a separator."),
        ("12,", "Write a digit after the comma, or no comma."),
        ("1 250", "Write 1250 without the separator."),
    ],
)
def test_what_could_be_a_thousand_times_wrong_is_asked_back(text, words):
    with pytest.raises(QuantityTextError) as refused:
        read(text)
    assert refused.value.message == words


def test_feet_and_inches_take_a_comma():
    assert read("12' 6,5\"", "length", "us") == pytest.approx((12 * 12 + 6.5) * 0.0254)


def test_messages_write_their_example_as_the_company_does():
    with pytest.raises(QuantityTextError) as refused:
        read_quantity("", "force", "metric", mark="comma")
    assert "." not in refused.value.message.removesuffix(".")


@every_row("mark", ["point", "comma"])
@every_row("stored", [12_500.0, 1_250.0, 1_250_000.0, 125.0, 1_234.0, 987_700.0])
def test_what_a_box_shows_is_read_back_as_the_same_figure(mark, stored):
    field = QuantityField(kind="force", unit_system="metric", max_value=1e9)
    with numbers_with(mark):
        text = input_text(stored, "force", "metric")
        assert field.clean(text) == pytest.approx(stored, rel=1e-9)
        assert ("," in text) == (mark == "comma" and stored % 1000 != 0)


def test_lists_keep_the_point_whatever_the_company_writes():
    with numbers_with("comma"), pytest.raises(QuantityTextError):
        read_quantity("12,5", "force", "metric")


def test_figures_are_shown_as_they_would_be_typed_with_thousands_set_off_by_a_space():
    with numbers_with("comma"):
        assert limit_text(1_234_560.0, "metric") == "1\u00a0234,56\u00a0kN"
        assert quantity_text(12.34, "length", "metric") == "12,3\u00a0m"
    assert limit_text(1_234_560.0, "metric") == "1,234.56\u00a0kN"
    assert decimal_mark() == "point"


def test_a_style_that_is_neither_is_refused():
    with pytest.raises(ValueError, match="point or a comma"), numbers_with("dot"):
        pass


@pytest.mark.django_db
def test_the_company_chooses_and_its_pages_follow_until_the_request_ends(owner, signed_in):
    client = signed_in(owner)
    page = html_of(client.get(reverse("company")))
    assert "How numbers are typed and shown" in page
    company = owner.company
    Company.objects.filter(pk=company.pk).update(decimal_mark="comma")
    refused = html_of(client.post(reverse("item_new"), {"length_m": "1.250", "length_m-unit": "m"}))
    assert "Write 1250 without the separator, or 1,250 with a comma." in refused
    taken = html_of(client.post(reverse("item_new"), {"length_m": "12,5", "length_m-unit": "ft"}))
    assert "Write 12" not in taken
    assert 'value="12,5 ft"' in taken  # typed while the page showed feet
    assert decimal_mark() == "point"


@pytest.mark.django_db
def test_the_database_knows_two_ways_of_writing_numbers(company):
    with pytest.raises(IntegrityError, match="crewlog_company_known_decimal_mark"), transaction.atomic():
        Company.objects.filter(pk=company.pk).update(decimal_mark="dot")
