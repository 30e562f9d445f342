"""The pre-tension band of all corners together, on both sides of each limit; corners made up for the purpose."""

import pytest

from jobs.mechanics.plan.result import GaugeBand
from jobs.plans.pretension_band import band_findings
from jobs.plans.tolerances import Corner, Envelope
from jobs.wording.unit_formatter import UnitFormatter
from tests.given import stand_in


def corner(low_n, high_n, *, steady_n=1000.0, gauge=None):
    band = None if gauge is None else GaugeBand(lowest=gauge[0], highest=gauge[1])
    result = stand_in(lowest_tension_n=low_n, highest_tension_n=high_n, steady_tension_n=steady_n, gauge_band_n=band)
    return Corner({}, None, result, None)


def found(*corners):
    findings = list(band_findings(Envelope(corners), UnitFormatter("metric")))
    assert all(f.is_refusal and "in every corner" in f.text for f in findings)
    return {f.full_code: dict(f.facts) for f in findings}


def test_corners_that_are_all_refused_have_no_band_to_judge():
    assert found(Corner({}, None, None, None)) == {}


def test_band_twice_as_high_as_low_is_held_by_feel():
    assert found(corner(1000.0, 2500.0), corner(1500.0, 3000.0), corner(1200.0, 3000.0)) == {
        "pre-tension-needs-gauge": {"steady_n": 1000.0, "lowest_n": 1500.0, "limit_n": 2500.0}
    }
    assert found(corner(1000.0, 2500.0), corner(1250.0, 3000.0)) == {}


@pytest.mark.parametrize(("steady_n", "asks"), [(4000.0, False), (4000.1, True)])
def test_person_who_pulls_steadily_stays_below_the_band_of_every_corner(steady_n, asks):
    codes = found(corner(1000.0, 5000.0, steady_n=900.0), corner(1000.0, 4000.0, steady_n=steady_n))
    assert ("pre-tension-needs-gauge" in codes) is asks


def test_enough_in_one_corner_that_is_too_much_in_another_leaves_no_band():
    assert found(corner(1000.0, 1900.0), corner(2000.0, 9000.0))["window-empty"] == {
        "lowest_n": 2000.0,
        "limit_n": 1900.0,
    }
    assert "window-empty" not in found(corner(1000.0, 2000.0), corner(2000.0, 9000.0))


def test_gauge_has_to_show_a_band_that_holds_in_every_corner():
    apart = found(corner(1.0, 9000.0, gauge=(1000.0, 2000.0)), corner(1.0, 9000.0, gauge=(2100.0, 3000.0)))
    assert apart == {"gauge-band-empty": {"lowest_n": 2100.0, "limit_n": 2000.0}}
    touching = (corner(1.0, 9000.0, gauge=(1000.0, 2000.0)), corner(1.0, 9000.0, gauge=(2000.0, 3000.0)))
    assert found(*touching) == {}


def test_gauge_takes_the_place_of_feel():
    assert found(corner(1000.0, 1100.0, steady_n=9000.0, gauge=(1000.0, 1100.0))) == {}


def test_band_that_is_empty_is_not_told_twice():
    assert set(found(corner(2000.0, 1000.0, gauge=(2000.0, 1000.0)))) == {"window-empty"}
