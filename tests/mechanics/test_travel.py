"""Travel of the line, resets of the tackle, rope needed."""

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.tackle import Stage
from jobs.mechanics.travel import RopeStretch, resets_for, rope_stretch, travel

ROPE = RopeStretch(breaking_strength_n=48000.0, reference_elongation_ratio=0.02, reference_load_ratio=0.1)


def stage(parts=5, rove="to_advantage", **more):
    lengths = {"extended_length_m": 2.2, "two_blocked_length_m": 0.5, "setback_m": 0.2}
    return Stage(parts=parts, rove=rove, **(lengths | more))


def taken_in(stages, tip_travel_m=2.9, **more):
    return travel(32.0, 2800.0, ROPE, tip_travel_m=tip_travel_m, stages=stages, **more)


def test_stretch_at_the_reference_load_is_the_reference_elongation():
    assert rope_stretch(ROPE, 50.0, 4800.0) == pytest.approx(1.0)


def test_stiffening_rope_stretches_more_below_and_stores_more():
    stiffening = RopeStretch(48000.0, 0.02, 0.1, stiffening_exponent=0.5)
    assert rope_stretch(stiffening, 32.0, 1200.0) == pytest.approx(2 * rope_stretch(ROPE, 32.0, 1200.0))
    result = travel(32.0, 2800.0, stiffening, tip_travel_m=1.0, stages=[stage()])
    assert result.stored_energy_j == pytest.approx(2800.0 * result.stretch_m / 3)


@pytest.mark.parametrize(
    ("need_m", "resets"), [(1.7, 0), (1.7 + 1e-12, 0), (1.71, 1), (3.2, 1), (3.2 + 1e-12, 1), (3.21, 2), (4.7, 2)]
)
def test_a_reset_is_counted_as_soon_as_the_throw_is_short(need_m, resets):
    assert resets_for(need_m, 1.7, 0.2) == resets


def test_second_stage_travels_the_parts_of_the_first_as_far():
    result = taken_in([stage(), stage(3, extended_length_m=20.0)])
    assert result.stages[1].needed_travel_m == pytest.approx(5 * result.stages[0].needed_travel_m)
    assert result.total_haul_m == pytest.approx(15 * result.total_travel_m)


def test_rope_needed_counts_the_legs_and_the_tail():
    assert taken_in([stage()]).stages[0].rope_needed_m == pytest.approx(4 * 2.2 + 3.0)
    assert taken_in([stage(rove="to_disadvantage", tail_m=5.0)]).stages[0].rope_needed_m == pytest.approx(5 * 2.2 + 5)


def test_reset_while_the_stem_tips_is_told():
    assert not taken_in([stage()]).stages[0].tips_in_one_throw
    assert taken_in([stage()], tip_travel_m=1.7).stages[0].tips_in_one_throw


@pytest.mark.parametrize("lengths", [{"extended_length_m": 0.5}, {"setback_m": 1.7}, {"extended_length_m": 0.4}])
def test_no_throw_left_is_refused(lengths):
    with pytest.raises(Refused) as refusal:
        taken_in([stage(**lengths)])
    assert refusal.value.code == "no-throw"


def test_setback_over_the_throw_passes_where_no_reset_is_needed():
    assert taken_in([stage(extended_length_m=9.0, setback_m=9.0)]).stages[0].resets == 0


@pytest.mark.parametrize("field", ["extended_length_m", "two_blocked_length_m"])
def test_a_stage_without_its_lengths_is_refused_as_unknown(field):
    with pytest.raises(Refused) as refusal:
        taken_in([stage(**{field: None})])
    assert refusal.value.code == f"unknown:{field}"


def test_rope_data_and_lengths_below_zero_are_nonsense():
    with pytest.raises(OutOfRange):
        RopeStretch(48000.0, 0.0, 0.1)
    with pytest.raises(OutOfRange):
        taken_in([stage()], slack_m=-0.1)
