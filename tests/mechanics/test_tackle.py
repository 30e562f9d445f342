"""Tackles: advantage with friction, forces in every part, refusals."""

import math

import numpy as np
import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.tackle import (
    Stage,
    best_advantage,
    lowest_advantage,
    rule_of_thumb_advantage,
    sheave_blocks,
    sheave_count,
    stage_advantage,
    tackle,
)

ADVANTAGE, DISADVANTAGE = "to_advantage", "to_disadvantage"


def advantage_of(one):
    return tackle([one], 1.0).hauling_advantage


def stage(parts=5, rove=ADVANTAGE, **more):
    return Stage(parts=parts, rove=rove, **more)


def first(load_n=3000.0, **more):
    return tackle([stage(**more)], load_n).stages[0]


def test_five_to_one_without_friction_carries_a_fifth_in_every_part():
    result = first(sheave_efficiency=1.0)
    assert result.hauling_part_tensions_n == pytest.approx([600.0] * 5)
    assert result.fixed_block_hauling_load_n == pytest.approx(2400.0)


def test_sheaves_alternate_from_the_block_the_hauling_part_leaves():
    assert sheave_blocks(stage(4)) == ("moving", "fixed", "moving")
    assert sheave_blocks(stage(4, DISADVANTAGE)) == ("fixed", "moving", "fixed", "moving")


@pytest.mark.parametrize(("parts", "rove", "becket"), [(5, ADVANTAGE, "moving"), (4, ADVANTAGE, "fixed")])
def test_becket_sits_on_the_block_without_the_last_sheave(parts, rove, becket):
    assert first(parts=parts, rove=rove).becket_on == becket


def test_disadvantage_has_one_sheave_more_and_less_advantage():
    assert (sheave_count(stage()), sheave_count(stage(rove=DISADVANTAGE))) == (4, 5)
    assert advantage_of(stage(rove=DISADVANTAGE)) == pytest.approx(0.9 * advantage_of(stage()))


def test_hand_pulling_away_from_the_load_adds_to_the_fixed_block():
    towards = first(rove=DISADVANTAGE, lead_angle_deg=0.0).fixed_block_hauling_load_n
    across = first(rove=DISADVANTAGE, lead_angle_deg=90.0).fixed_block_hauling_load_n
    hand = first(rove=DISADVANTAGE).hauling_force_n
    assert towards == pytest.approx(3000.0 + hand)
    assert across == pytest.approx(math.hypot(3000.0, hand))


def test_cleat_on_the_hauling_block_takes_the_hauling_part_out_of_the_sum():
    own, separate = first(), first(cleat_on="separate")
    assert own.cleat_advantage == pytest.approx(own.holding_advantage - 1.0)
    assert separate.cleat_advantage == separate.holding_advantage
    assert own.cleat_design_force_n == pytest.approx(3000.0 / 4)
    assert own.fixed_block_cleated_load_n == 3000.0


def test_cleat_on_a_block_to_disadvantage_keeps_all_parts():
    result = first(rove=DISADVANTAGE)
    assert result.cleat_advantage == result.holding_advantage
    assert result.cleat_design_force_n == pytest.approx(max(result.hauling_force_n, 600.0))


def test_fixed_block_design_and_greatest_part_are_the_worst_of_all_states():
    result = first(holding_sheave_efficiency=0.8)
    assert result.fixed_block_design_load_n == 3000.0
    every = result.hauling_part_tensions_n + result.holding_part_tensions_n + result.cleated_part_tensions_n
    assert result.greatest_part_tension_n == max(every)


def test_each_sheave_may_have_its_own_efficiency_from_the_hauling_end():
    result = first(parts=3, sheave_efficiency=(0.9, 0.8))
    assert result.hauling_advantage == pytest.approx(1 + 0.9 + 0.9 * 0.8)


def test_second_stage_is_loaded_with_the_hauling_part_of_the_first():
    result = tackle([stage(), stage(3)], 6000.0)
    assert result.stages[1].moving_block_load_n == result.stages[0].hauling_force_n
    assert result.hauling_force_n == pytest.approx(result.stages[1].hauling_force_n)


def test_seamanship_rule_gives_its_own_figure_for_five_parts():
    # The rule is common practice: (W + n W/10) / P with four sheaves and five parts; ours compounds the loss.
    assert rule_of_thumb_advantage(5, 4) == pytest.approx(3.571, abs=5e-4)
    assert advantage_of(stage(sheave_efficiency=0.9)) == pytest.approx(4.095, abs=5e-4)


def test_best_and_lowest_advantage_bracket_the_stated_one():
    rig = [stage(sheave_efficiency=0.92)]
    assert lowest_advantage(rig, 0.05) == pytest.approx(advantage_of(stage(sheave_efficiency=0.87)))
    assert best_advantage(rig, 0.98) == pytest.approx(advantage_of(stage(sheave_efficiency=0.98)))


def test_best_advantage_keeps_a_sheave_that_is_better_still():
    assert best_advantage([stage(parts=2, sheave_efficiency=0.99)], 0.98) == pytest.approx(1.99)


def test_an_array_of_efficiencies_gives_an_array_of_advantages():
    etas = np.array([0.8, 0.9, 1.0])
    expected = [stage_advantage(stage(), float(eta)) for eta in etas]
    assert stage_advantage(stage(), etas) == pytest.approx(expected)


@pytest.mark.parametrize("parts", [1, 9, 0, -3])
def test_parts_outside_two_to_eight_are_refused(parts):
    with pytest.raises(Refused) as refusal:
        tackle([stage(parts)], 1000.0)
    assert refusal.value.code == "tackle-parts"


@pytest.mark.parametrize("eta", [0.49, 1.01, (0.9, 0.9), (0.9, 0.9, 0.9, 1.2)])
def test_efficiencies_wrong_in_number_or_size_are_refused(eta):
    with pytest.raises(Refused) as refusal:
        tackle([stage(sheave_efficiency=eta)], 1000.0)
    assert refusal.value.code == "tackle-eta"


def test_holding_efficiencies_are_checked_as_well():
    with pytest.raises(Refused) as refusal:
        tackle([stage(holding_sheave_efficiency=0.2)], 1000.0)
    assert refusal.value.code == "tackle-eta"


@pytest.mark.parametrize("eta", [0.5, 1.0])
def test_efficiencies_at_the_limits_pass(eta):
    assert tackle([stage(sheave_efficiency=eta)], 1000.0).hauling_force_n > 0


def test_no_stage_and_a_negative_load_are_nonsense():
    with pytest.raises(OutOfRange):
        tackle([], 1000.0)
    with pytest.raises(OutOfRange):
        tackle([stage()], -1.0)


@pytest.mark.parametrize("field", ["setback_m", "tail_m", "extended_length_m", "two_blocked_length_m"])
def test_lengths_below_nought_are_nonsense(field):
    with pytest.raises(OutOfRange):
        stage(**{field: -0.1})
