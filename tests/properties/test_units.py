"""No text makes the reader fail otherwise than with a typed refusal; conversions and boxes round-trip."""

import math
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewlog.quantities.display import demand_text, limit_text
from crewlog.quantities.kinds import KINDS, kind_named, vocabulary
from crewlog.quantities.parse import QuantityTextError, parse_quantity_text
from crewlog.quantities.typed import Limits, Quantity, input_text, read_quantity
from crewlog.quantities.units import round_down_to, round_up_to
from tests.width import wide

kinds = st.sampled_from(sorted(KINDS))
systems = st.sampled_from(["metric", "us"])
typed_like = st.text(alphabet=string.digits + " .,'\"/-+_eExtnkNlbfimhgT%°½²³٣\u00a0", max_size=24)
any_text = st.one_of(st.text(max_size=60), typed_like)


def read_or_refusal(text, kind, system):
    try:
        return read_quantity(text, kind, system), None
    except QuantityTextError as refusal:
        return None, refusal


@given(text=any_text, kind=kinds, system=systems)
@settings(max_examples=wide(600, 100), deadline=None)
def test_any_text_gives_a_finite_value_within_bounds_or_a_typed_refusal(text, kind, system):
    quantity, refusal = read_or_refusal(text, kind, system)
    if refusal:
        assert refusal.code
        assert refusal.message.endswith(".")
        assert len(refusal.message) < 200
    else:
        assert math.isfinite(quantity.value)
        assert kind_named(kind).min_value <= quantity.value * (1 + 1e-9) + 1e-9
        assert quantity.value <= kind_named(kind).max_value * (1 + 1e-9) + 1e-9
        assert quantity.echo()


@given(text=any_text, kind=kinds, system=systems)
@settings(max_examples=wide(400, 80), deadline=None)
def test_what_is_read_uses_every_character_typed(text, kind, system):
    """A reading made of the digits of only part of the text would be a silent loss."""
    try:
        typed = parse_quantity_text(text, vocabulary(kind, system))
    except QuantityTextError:
        return
    digits = [c for c in text if c in string.digits]
    assert digits
    assert typed.bare == (typed.terms[0].unit == kind_named(kind).shown(system).symbol and not _has_unit(text))


def _has_unit(text):
    return any(not c.isspace() and c not in string.digits + ".-−/" for c in text)


@given(data=st.data(), kind=kinds)
@settings(max_examples=wide(400, 80), deadline=None)
def test_each_unit_converts_there_and_back(data, kind):
    unit = data.draw(st.sampled_from(kind_named(kind).units))
    bound = 80.0 if unit.gradient else 1e6
    value = data.draw(st.floats(min_value=-bound, max_value=bound))
    assert unit.from_stored(unit.to_stored(value)) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(data=st.data(), kind=kinds, system=systems)
@settings(max_examples=wide(600, 100), deadline=None)
def test_a_stored_value_survives_its_box_within_the_digits_shown(data, kind, system):
    declared = kind_named(kind)
    min_value = max(declared.min_value, -1e5)
    value = data.draw(
        st.floats(min_value=min_value, max_value=min(declared.max_value * 0.99, 1e9), allow_subnormal=False)
    )
    text = input_text(value, kind, system)
    back = read_quantity(text, kind, system).value
    unit = declared.shown(system)
    if unit.symbol == "ft":
        assert abs(back - value) <= 0.0254 / 32 * (1 + 1e-6)
    else:
        shown = unit.from_stored(value)
        assert abs(unit.from_stored(back) - shown) <= max(0.51 * 10 ** -(unit.decimals(shown) + 1), 1e-9 * abs(shown))
    assert input_text(back, kind, system) == text


@given(value=st.floats(min_value=0, max_value=1e7), step=st.sampled_from([0.01, 0.1, 1.0, 10.0]))
def test_rounding_to_a_step_brackets_the_value(value, step):
    up, down = round_up_to(value, step), round_down_to(value, step)
    slack = 2e-9 * max(step, value)
    assert down - slack <= value <= up + slack
    assert up - down <= step + slack


@given(force_n=st.floats(min_value=0, max_value=1e7))
def test_a_printed_demand_covers_the_load_and_a_printed_limit_stays_within_the_strength(force_n):
    for system, unit_n in (("metric", 1_000.0), ("us", 4.448_221_615_260_5)):
        demand = float(demand_text(force_n, system).split("\u00a0")[0].replace(",", "")) * unit_n
        limit = float(limit_text(force_n, system).split("\u00a0")[0].replace(",", "")) * unit_n
        assert demand >= force_n * (1 - 2e-9) - 1e-7
        assert limit <= force_n * (1 + 2e-9) + 1e-7


@given(min_value=st.floats(min_value=0.01, max_value=50), text_unit=st.sampled_from(["m", "cm", "mm", "ft", "in"]))
def test_a_stated_lower_limit_is_itself_allowed(min_value, text_unit):
    limits = Limits(min_value=min_value)
    with pytest.raises(QuantityTextError) as refusal:
        read_quantity(f"0.0001 {text_unit}", "length", "metric", limits=limits)
    stated = refusal.value.message.removeprefix("At least ").rstrip(".").replace(",", "")
    assert isinstance(read_quantity(stated, "length", "metric", limits=limits), Quantity)
