"""Independent ways to the same figures: a linear system for every tackle, differential equations for drum and rope.

Nothing here uses the closed forms of the mechanics; every expected value is worked out from equilibrium alone.
"""

import math
from fractions import Fraction

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from jobs.mechanics.bollard import bollard, capstan_ratio
from jobs.mechanics.measured import measured_efficiency
from jobs.mechanics.restraint import Restraint, restraint
from jobs.mechanics.tackle import Stage, tackle
from jobs.mechanics.travel import RopeStretch, rope_stretch, travel
from tests.rows import every_row

LOAD = 3000.0
ROVINGS = [(parts, rove) for parts in range(2, 9) for rove in ("to_advantage", "to_disadvantage")]


def segments_of(parts, rove):
    """Where each piece of rope runs, (one end, other end) from the hand to the becket, by reeving piece by piece."""
    block = "moving" if rove == "to_advantage" else "fixed"
    pieces, bearing = [("hand", block)], int(block == "moving")
    while bearing < parts:
        other = "fixed" if block == "moving" else "moving"
        pieces.append((block, other))
        block = other
        bearing += 1
    return pieces


def equilibrium(parts, rove, ratios):
    """Solve every tension, hand force and fixed-block force at once: one equation a sheave, one a block."""
    pieces = segments_of(parts, rove)
    count = len(pieces)
    system, right = np.zeros((count + 1, count + 1)), np.zeros(count + 1)
    for sheave in range(count - 1):  # the rope leaves a sheave with this share of what it entered with
        system[sheave, sheave + 1] = 1.0
        system[sheave, sheave] = -ratios[sheave]
    touching = [sum(end == "moving" for end in piece) for piece in pieces]
    system[count - 1, :count] = touching  # the moving block stands still under the load
    right[count - 1] = LOAD
    fixed = [sum(end == "fixed" for end in piece) for piece in pieces]
    # Pieces between the blocks pull the fixed block towards the load; a hand below it pulls the same way.
    system[count, :count] = fixed
    system[count, count] = -1.0
    solution = np.linalg.solve(system, right)
    return solution[:count], solution[count]


@every_row(("parts", "rove"), ROVINGS)
@every_row("seed", [1, 2])
def test_every_part_and_block_agrees_with_the_linear_system(parts, rove, seed):
    sheaves = parts - (rove == "to_advantage")
    ratios = np.random.default_rng(seed).uniform(0.8, 1.0, sheaves)
    result = tackle([Stage(parts=parts, rove=rove, sheave_efficiency=tuple(ratios.tolist()))], LOAD).stages[0]
    tensions, fixed_n = equilibrium(parts, rove, ratios)
    assert result.hauling_part_tensions_n == pytest.approx(tensions)
    assert result.hauling_force_n == pytest.approx(tensions[0])
    assert result.fixed_block_hauling_load_n == pytest.approx(fixed_n)
    held, held_fixed_n = equilibrium(parts, rove, 1.0 / ratios)
    assert result.holding_part_tensions_n == pytest.approx(held)
    assert result.fixed_block_holding_load_n == pytest.approx(held_fixed_n)


@every_row(("parts", "rove"), ROVINGS)
def test_sheaves_and_becket_sit_where_the_rope_was_reeved(parts, rove):
    pieces = segments_of(parts, rove)
    result = tackle([Stage(parts=parts, rove=rove)], LOAD).stages[0]
    assert list(result.sheave_blocks) == [end for _, end in pieces[:-1]]
    assert result.becket_on == pieces[-1][1]


@every_row(("parts", "rove"), ROVINGS)
def test_advantage_agrees_with_exact_fractions(parts, rove):
    eta = Fraction(9, 10)
    powers = range(parts) if rove == "to_advantage" else range(1, parts + 1)
    haul, hold = sum(eta**k for k in powers), sum(eta**-k for k in powers)
    result = tackle([Stage(parts=parts, rove=rove, sheave_efficiency=0.9)], LOAD)
    assert result.hauling_advantage == pytest.approx(float(haul), rel=1e-14)
    assert result.holding_advantage == pytest.approx(float(hold), rel=1e-14)


@every_row(("parts", "rove"), ROVINGS)
def test_cleat_on_a_block_leaves_that_block_and_the_anchor_in_equilibrium(parts, rove):
    stage = Stage(parts=parts, rove=rove, sheave_efficiency=0.9)
    result = tackle([stage], LOAD).stages[0]
    pieces = segments_of(parts, rove)
    own = pieces[0][1]  # the hauling part ends on the block it leaves: it no longer joins two bodies
    bodies = [(own, own), *pieces[1:]]
    across = [set(piece) == {"moving", "fixed"} for piece in bodies]
    bearing = sum(t for t, joins in zip(result.cleated_part_tensions_n, across, strict=True) if joins)
    assert bearing == pytest.approx(LOAD)
    assert result.fixed_block_cleated_load_n == pytest.approx(bearing)


@every_row(("parts", "rove"), ROVINGS)
def test_haul_per_metre_of_travel_follows_from_the_rope_that_is_freed(parts, rove):
    # Virtual work: each piece between the blocks is a metre shorter when the moving block comes a metre nearer; to
    # advantage the hauling part itself moves with its block, and the hand has that metre more to take in.
    between = sum(set(piece) == {"moving", "fixed"} for piece in segments_of(parts, rove))
    haul = between + (rove == "to_advantage")
    rope = RopeStretch(45000.0, 0.02, 0.1)
    stage = Stage(parts=parts, rove=rove, extended_length_m=50.0, two_blocked_length_m=1.0)
    result = travel(30.0, 0.0, rope, tip_travel_m=1.0, stages=[stage])
    assert result.total_haul_m == pytest.approx(haul)
    assert result.stages[0].rope_needed_m == pytest.approx(between * 50.0 + 3.0)


@pytest.mark.parametrize("friction", [0.12, 0.2, 0.25])
@pytest.mark.parametrize("wraps", [0.5, 1.0, 3.0])
def test_drum_agrees_with_the_equilibrium_of_a_bit_of_rope(friction, wraps):
    # dT = mu T dphi along the drum, integrated numerically.
    angle = 2 * math.pi * wraps
    turned = solve_ivp(lambda _, tension: friction * tension, (0.0, angle), [100.0], rtol=1e-10, atol=1e-10)
    assert 100.0 * capstan_ratio(friction, angle) == pytest.approx(turned.y[0, -1], rel=1e-7)
    result = bollard(2000.0, 100.0, friction_low_coeff=friction, friction_high_coeff=friction, wrap_turns=wraps)
    assert result.slip_tension_n == pytest.approx(turned.y[0, -1], rel=1e-7)


def rolled(line, force_n, take_up):
    """A log rolling from rest until it stops: slack, then a spring, then a bollard that slips at a constant force.

    The rope run out is state of its own: the spring cannot hold more than the slip force.
    """
    mass = 1.5 * line.mass_kg
    slip = math.inf if line.slip_force_n is None else line.slip_force_n

    def tension(x, run_out):
        return min(slip, max(0.0, line.stiffness_n_m * (take_up * (x - line.slack_m) - run_out)))

    def motion(_, state):
        x, v, run_out = state
        slips = line.stiffness_n_m * (take_up * (x - line.slack_m) - run_out) >= slip
        return [v, (force_n - take_up * tension(x, run_out)) / mass, take_up * v if slips and v > 0 else 0.0]

    def stops(_, state):
        return state[1] - 1e-9

    vars(stops).update(terminal=True, direction=-1)
    start = [0.0, 1e-6, 0.0]
    path = solve_ivp(motion, (0.0, 60.0), start, events=stops, max_step=2e-3, rtol=1e-8, atol=1e-10)
    x, _, run_out = path.y
    return x[-1], max(tension(*pair) for pair in zip(x, run_out, strict=True)), run_out[-1]


@pytest.mark.parametrize(
    ("attachment", "slack_m", "slip_n"),
    [
        ("axis", 0.0, None),
        ("axis", 0.4, None),
        ("top_tangent", 0.3, None),
        ("axis", 0.4, 5500.0),
        ("top_tangent", 0.2, 2600.0),
    ],
)
def test_peak_and_stop_agree_with_a_log_rolled_step_by_step(attachment, slack_m, slip_n):
    line = Restraint(
        mass_kg=900.0,
        slope_deg=25.0,
        attachment=attachment,
        stiffness_n_m=13000.0,
        slack_m=slack_m,
        slip_force_n=slip_n,
    )
    slope = math.radians(25.0)
    force = 900.0 * 9.80665 * (math.sin(slope) - 0.05 * math.cos(slope))
    take_up = 2.0 if attachment == "top_tangent" else 1.0
    stop_m, peak_n, run_out_m = rolled(line, force, take_up)
    result = restraint(line)
    assert result.driving_force_n == pytest.approx(force)
    assert result.peak_tension_n == pytest.approx(peak_n, rel=2e-3)
    assert result.stop_distance_m == pytest.approx(stop_m, rel=2e-3)
    assert result.run_out_m == pytest.approx(run_out_m, rel=5e-3, abs=1e-3)
    assert result.slips == (slip_n is not None)


@pytest.mark.parametrize("exponent", [0.6, 1.0, 1.5])
def test_stored_energy_is_the_area_under_the_load_curve(exponent):
    rope = RopeStretch(45000.0, 0.02, 0.1, stiffening_exponent=exponent)
    tensions = np.linspace(0.0, 3000.0, 20001)
    stretches = np.array([rope_stretch(rope, 40.0, float(tension)) for tension in tensions])
    stage = Stage(parts=5, rove="to_advantage", extended_length_m=9.0, two_blocked_length_m=0.5)
    result = travel(40.0, 3000.0, rope, tip_travel_m=0.0, stages=[stage])
    area = float(np.trapezoid(tensions, stretches))
    assert result.stored_energy_j == pytest.approx(area, rel=1e-4)


def test_interval_of_the_efficiency_holds_the_true_one_as_often_as_it_says():
    rng = np.random.default_rng(7)
    advantage = sum(0.9**power for power in range(5))
    held = 0
    for _ in range(300):
        hands = rng.uniform(150.0, 400.0, 8)
        lines = hands * advantage * np.exp(rng.normal(0.0, 0.03, 8))
        result = measured_efficiency(5, "to_advantage", list(zip(hands.tolist(), lines.tolist(), strict=True)))
        held += result.sheave_efficiency_low < 0.9 < result.sheave_efficiency_high
    # Binomial: 285 of 300 on average, four standard deviations are 15.
    assert 270 <= held <= 299
