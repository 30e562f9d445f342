"""What a plan cannot be asked for: each figure on both sides of what it may be."""

import math
from dataclasses import replace

import pytest

from jobs.mechanics.convert import from_json
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.plan.input import Place, PlanBollard, PlanInput, PlanTravel, filled_stages
from jobs.mechanics.tackle import Stage
from jobs.mechanics.travel import RopeStretch
from tests.mechanics.plans import full_inputs
from tests.rows import every_row

PLAN = from_json(PlanInput, full_inputs(), "inputs")
PLACE = Place(place="haulers", distance_m=30.0, azimuth_deg=60.0)
TRAVEL = PlanTravel(rope=RopeStretch(40000.0, 0.025, 0.1))
BOLLARD = PlanBollard(hand_force_n=200.0)


@every_row(
    ("whole", "changes", "named"),
    [
        (PLAN, {"stages": ()}, "stages"),
        (PLAN, {"people": 0}, "people"),
        (PLAN, {"people": 1_000_001}, "people"),
        (PLAN, {"sustained_force_n": 0.0}, "sustained_force_n"),
        (PLAN, {"peak_force_n": 0.0}, "peak_force_n"),
        (PLAN, {"steady_force_n": 0.0}, "steady_force_n"),
        (PLAN, {"best_sheave_efficiency": 1.01}, "best_sheave_efficiency"),
        (PLAN, {"best_sheave_efficiency": 0.49}, "best_sheave_efficiency"),
        (PLAN, {"hitch_spread_deg": -0.1}, "hitch_spread_deg"),
        (PLAN, {"hitch_spread_deg": 180.1}, "hitch_spread_deg"),
        (PLAN, {"ground_fall_deg": -0.1}, "ground_fall_deg"),
        (PLACE, {"distance_m": -0.1}, "distance_m"),
        (PLACE, {"azimuth_deg": math.nan}, "azimuth_deg"),
        (TRAVEL, {"slack_m": -0.1}, "slack_m"),
        (BOLLARD, {"hand_force_n": 0.0}, "hand_force_n"),
        (BOLLARD, {"wraps": 0.0}, "wraps"),
        (BOLLARD, {"friction_low": 0.0}, "friction_low"),
        (BOLLARD, {"friction_low": 0.26}, "friction_high"),
    ],
)
def test_nonsense_is_out_of_range_by_name(whole, changes, named):
    with pytest.raises(OutOfRange) as caught:
        replace(whole, **changes)
    assert caught.value.name == named


@pytest.mark.parametrize(
    ("whole", "changes"),
    [
        (PLAN, {"people": 1}),
        (PLAN, {"best_sheave_efficiency": 1.0}),
        (PLAN, {"best_sheave_efficiency": 0.5}),
        (PLAN, {"hitch_spread_deg": 180.0}),
        (PLAN, {"ground_fall_deg": 0.0}),
        (PLACE, {"distance_m": 0.0}),
        (TRAVEL, {"slack_m": 0.0}),
        (BOLLARD, {"friction_low": 0.25}),
    ],
)
def test_last_figure_that_makes_sense_is_taken(whole, changes):
    assert replace(whole, **changes) != whole or changes.items() <= {"ground_fall_deg": 0.0, "slack_m": 0.0}.items()


def test_lengths_of_the_travel_fill_in_where_a_stage_has_none():
    bare = Stage(parts=5, rove="to_advantage")
    own = replace(bare, extended_length_m=4.0, two_blocked_length_m=1.0, setback_m=0.2)
    filler = replace(TRAVEL, extended_length_m=3.0, two_blocked_length_m=0.8, setback_m=0.3)
    kept, filled = filled_stages(replace(PLAN, stages=(own, bare), travel=filler))
    assert kept == own
    assert (filled.extended_length_m, filled.two_blocked_length_m, filled.setback_m) == (3.0, 0.8, 0.3)
    assert filled_stages(replace(PLAN, stages=(own, bare), travel=None)) == (own, bare)
