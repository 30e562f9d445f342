"""One box for a quantity: typed text in, stored float out, nothing lost."""

from types import SimpleNamespace

import pytest
from django import forms

from crewlog.quantities.fields import QuantityField, QuantityInput, UnitForm

LBF = 4.448_221_615_260_5  # N, NIST SP 811 appendix B, exact


class LineForm(UnitForm, forms.Form):
    pull_n = QuantityField(kind="force", min_value=0, max_value=50_000, min_exclusive=True, label="Pull")
    lean_deg = QuantityField(kind="angle", min_value=0, max_value=30, noun="lean", required=False)
    height_m = QuantityField(kind="length", min_value=1, required=False)


def line_form(data=None, *, unit_system="metric", **kwargs):
    return LineForm(data, unit_system=unit_system, **kwargs)


def test_typed_text_cleans_to_newtons_and_shows_again_as_typed():
    form = line_form({"pull_n": "2700 lbf", "lean_deg": "3", "height_m": "32 ft 6 in"})
    assert form.is_valid()
    assert form.cleaned_data == {
        "pull_n": pytest.approx(2_700 * LBF),
        "lean_deg": 3.0,
        "height_m": pytest.approx(9.906),
    }
    assert form["pull_n"].value() == "2700 lbf"
    assert 'value="2700 lbf"' in str(form["pull_n"])
    assert form.echo("pull_n") == "2700 lbf = 12.01\u00a0kN"
    assert form.quantity("pull_n").text == "2700 lbf"


def test_a_bare_number_is_in_the_companys_unit():
    assert line_form({"pull_n": "12"}).fields["pull_n"].widget.unit_label == "kN"
    us = line_form({"pull_n": "2700", "height_m": "32.5"}, unit_system="us")
    assert us.fields["pull_n"].widget.unit_label == "lbf"
    assert us.is_valid()
    assert us.cleaned_data["pull_n"] == pytest.approx(2_700 * LBF)
    assert us.cleaned_data["height_m"] == pytest.approx(9.906)


def test_a_page_opened_before_the_company_changed_units_keeps_its_meaning():
    form = line_form({"pull_n": "12", "pull_n-unit": "kN"}, unit_system="us")
    assert form.is_valid()
    assert form.cleaned_data["pull_n"] == 12_000
    assert form["pull_n"].value() == "12 kN"


def test_a_forged_unit_note_is_refused_like_any_other_unit():
    form = line_form({"pull_n": "12", "pull_n-unit": "<script>"})
    assert form.errors.as_data()["pull_n"][0].code == "unknown-unit"
    assert "<script>" not in str(form["pull_n"].errors)


def test_an_untouched_box_keeps_every_digit_and_has_not_changed():
    stored = 12_345.678_912_3
    opened = line_form(initial={"pull_n": stored, "height_m": 12.0}, unit_system="us")
    sent = {"pull_n": opened["pull_n"].value(), "height_m": opened["height_m"].value(), "lean_deg": ""}
    assert sent["pull_n"] == "2775.4"
    form = line_form(sent, initial={"pull_n": stored, "height_m": 12.0}, unit_system="us")
    assert form.is_valid()
    assert form.cleaned_data["pull_n"] == stored
    assert form.cleaned_data["height_m"] == 12.0
    assert form.changed_data == []


def test_a_touched_box_has_changed_and_is_read_anew():
    form = line_form({"pull_n": "12.35"}, initial={"pull_n": 12_345.678_912_3})
    assert form.is_valid()
    assert form.changed_data == ["pull_n"]
    assert form.cleaned_data["pull_n"] == 12_350.0


def test_an_untouched_box_outside_its_limits_is_still_refused():
    form = line_form({"pull_n": "60"}, initial={"pull_n": 60_000.0})
    assert form.errors["pull_n"] == ["At most 50\u00a0kN."]


@pytest.mark.parametrize(
    ("name", "text", "code", "message"),
    [
        ("pull_n", "", "required", "Write a number, such as 12.5 kN."),
        ("pull_n", "   ", "required", "Write a number, such as 12.5 kN."),
        ("pull_n", "12,5", "comma", "Write 12.5 with a point."),
        ("pull_n", "0", "below-minimum", "More than 0\u00a0kN."),
        ("pull_n", "12000 lbf", "above-maximum", "At most 11,240\u00a0lbf."),  # 50 000 N / 4.448 221 615 = 11 240.4
        ("pull_n", "nan", "not-a-number", "Write a number, such as 12.5 kN."),
        ("lean_deg", "31", "above-maximum", "At most 30° of lean."),
        ("height_m", "3 ft", "below-minimum", "At least 3.3\u00a0ft."),
    ],
)
def test_a_refusal_names_the_limit_and_the_cure(name, text, code, message):
    form = line_form({"pull_n": "5", name: text})
    assert not form.is_valid()
    assert form.errors[name] == [message]
    assert form.errors.as_data()[name][0].code == code
    assert form[name].value() == text
    assert form.quantity(name) is None
    assert form.echo(name) == ""


def test_an_empty_optional_box_is_none_and_not_zero():
    form = line_form({"pull_n": "5", "lean_deg": "", "height_m": " "})
    assert form.is_valid()
    assert form.cleaned_data["lean_deg"] is None
    assert form.cleaned_data["height_m"] is None


def test_the_box_asks_for_the_number_pad_and_escapes_what_was_typed():
    html = str(line_form({"pull_n": '"><b>5'})["pull_n"])
    assert 'inputmode="decimal"' in html
    assert "<b>" not in html
    assert 'name="pull_n-unit" value="kN"' in html


def test_a_kind_without_a_unit_has_no_note_of_one():
    field = QuantityField(kind="number", unit_system="metric")
    assert field.widget.unit_label == ""
    assert "-unit" not in field.widget.render("wraps", "3")


def test_the_field_shows_back_any_text_with_its_value():
    field = QuantityField(kind="force")
    assert field.echo("2700 lbf", "metric") == "2700 lbf = 12.01\u00a0kN"
    assert field.echo("1000 kg", "us") == "1,000\u00a0kg = 9.81\u00a0kN"


def test_a_field_without_a_unit_system_refuses_to_guess():
    class BareForm(forms.Form):
        pull_n = QuantityField(kind="force")

    with pytest.raises(ValueError, match="unit_system"):
        BareForm({"pull_n": "5"}).is_valid()


def test_forms_of_two_companies_do_not_share_units():
    us, metric = line_form({"pull_n": "100"}, unit_system="us"), line_form({"pull_n": "10"})
    assert us.is_valid()
    assert metric.is_valid()
    assert us.cleaned_data["pull_n"] == pytest.approx(100 * LBF)
    assert metric.cleaned_data["pull_n"] == 10_000.0
    assert QuantityInput.unit_label == ""


def test_units_come_from_anything_that_states_its_system():
    company = SimpleNamespace(unit_system="us")
    assert line_form({"pull_n": "100"}, unit_system=company.unit_system).is_valid()
    with pytest.raises(ValueError, match="nautical"):
        line_form(unit_system="nautical")


def test_a_formset_hands_the_units_to_each_row():
    rows = forms.formset_factory(LineForm, extra=2)(form_kwargs={"unit_system": "us"})
    assert [row.fields["pull_n"].widget.unit_label for row in rows] == ["lbf", "lbf"]


def test_an_exclusive_bound_needs_a_bound():
    with pytest.raises(ValueError, match="min_value"):
        QuantityField(kind="force", min_exclusive=True)
    with pytest.raises(ValueError, match="no kind"):
        QuantityField(kind="furlongs")
