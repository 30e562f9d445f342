"""What must hold for every tackle, rope, item and plan, not only for the ones worked out by hand."""

import math

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jobs.mechanics.bollard import bollard
from jobs.mechanics.convert import from_json, to_json
from jobs.mechanics.crew import crew, group_factor
from jobs.mechanics.errors import Refused
from jobs.mechanics.exchange import solve
from jobs.mechanics.findings.codes import fails, find_code
from jobs.mechanics.plan import plan
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.ratings import Item, LoadedItem, capacity, utilisations
from jobs.mechanics.restraint import Restraint, restraint
from jobs.mechanics.resultants import resultant
from jobs.mechanics.roles import find_role
from jobs.mechanics.tackle import Stage, best_advantage, lowest_advantage, tackle
from jobs.mechanics.travel import RopeStretch, resets_for
from tests.given import Given
from tests.mechanics.plans import changed, full_inputs, passing_inputs
from tests.width import wide

few = settings(max_examples=wide(50, 12), deadline=None)
roves = st.sampled_from(["to_advantage", "to_disadvantage"])
loads = st.floats(1.0, 1e5)
etas = st.floats(0.5, 1.0)


@st.composite
def stages(draw):
    parts, rove = draw(st.integers(2, 8)), draw(roves)
    sheaves = parts - (rove == "to_advantage")
    each = st.lists(etas, min_size=sheaves, max_size=sheaves).map(tuple)
    return Stage(
        parts=parts,
        rove=rove,
        sheave_efficiency=draw(etas | each),
        holding_sheave_efficiency=draw(st.none() | etas | each),
        cleat_on=draw(st.sampled_from(["hauling_block", "separate"])),
        lead_angle_deg=draw(st.floats(0.0, 180.0)),
    )


@few
@given(stages(), loads)
def test_moving_block_is_in_equilibrium_in_every_state(stage, load_n):
    result = tackle([stage], load_n).stages[0]
    for tensions in (result.hauling_part_tensions_n, result.holding_part_tensions_n):
        bearing = tensions[: stage.parts] if stage.rove == "to_advantage" else tensions[1:]
        assert math.isclose(math.fsum(bearing), load_n, rel_tol=1e-9)
    own = stage.rove == "to_advantage" and stage.cleat_on == "separate"
    bearing = result.cleated_part_tensions_n[: stage.parts] if own else result.cleated_part_tensions_n[1:]
    assert math.isclose(math.fsum(bearing[: stage.parts]), load_n, rel_tol=1e-9)


@few
@given(st.lists(stages(), min_size=1, max_size=3), loads)
def test_hand_load_and_advantage_close_over_all_stages(rig, load_n):
    result = tackle(rig, load_n)
    assert math.isclose(result.hauling_force_n * result.hauling_advantage, load_n, rel_tol=1e-9)
    assert math.isclose(result.stages[-1].hauling_force_n, result.hauling_force_n, rel_tol=1e-9)
    assert 0 < result.efficiency <= 1 + 1e-12


@few
@given(st.integers(2, 8), roves, etas, etas)
def test_more_friction_never_helps_hauling_and_never_hurts_holding(parts, rove, one, other):
    worse, better = sorted((one, other))
    bad, good = (tackle([Stage(parts, rove, eta)], 1000.0) for eta in (worse, better))
    assert bad.hauling_force_n >= good.hauling_force_n - 1e-9
    assert bad.holding_force_n <= good.holding_force_n + 1e-9


@few
@given(st.lists(stages(), min_size=1, max_size=2), st.floats(0.5, 1.0))
def test_stated_advantage_lies_between_lowest_and_best(rig, best):
    stated = tackle(rig, 1.0).hauling_advantage
    assert lowest_advantage(rig, 0.05) <= stated <= best_advantage(rig, best) * (1 + 1e-12)


@few
@given(stages(), loads)
def test_no_state_is_worse_than_the_design_figures(stage, load_n):
    result = tackle([stage], load_n).stages[0]
    every = (*result.hauling_part_tensions_n, *result.holding_part_tensions_n, *result.cleated_part_tensions_n)
    assert all(0 <= tension <= result.greatest_part_tension_n for tension in every)
    assert result.fixed_block_design_load_n >= result.fixed_block_hauling_load_n
    assert result.cleat_design_force_n >= result.hauling_force_n


@few
@given(stages(), loads, st.integers(1, 20))
def test_one_more_hauler_never_does_less(stage, load_n, people):
    fewer, more = (crew([stage], load_n, count) for count in (people, people + 1))
    assert group_factor(people + 1) > group_factor(people)
    assert more.sustained_tension_n > fewer.sustained_tension_n
    assert more.overhaul_tension_n > fewer.overhaul_tension_n
    assert not (fewer.enough_people and not more.enough_people)


@few
@given(st.floats(0.0, 1e3), st.floats(0.01, 10.0), st.floats(0.0, 0.99))
def test_resets_cover_the_travel_and_one_fewer_does_not(need_m, throw_m, share):
    setback_m = share * throw_m
    assume(need_m < 50 * (throw_m - setback_m))
    resets = resets_for(need_m, throw_m, setback_m)
    gained = throw_m + resets * (throw_m - setback_m)
    assert gained >= need_m - 1e-6
    assert resets == 0 or gained - (throw_m - setback_m) < need_m + 1e-6


@few
@given(st.floats(1.0, 1e5), st.floats(1.0, 1e3), st.floats(0.01, 0.5), st.floats(1.0, 3.0), st.floats(0.5, 8.0))
def test_more_wraps_never_need_more_hand(tension_n, hand_n, friction, wider, wraps):
    one, two = (
        bollard(tension_n, hand_n, friction_low_coeff=friction, friction_high_coeff=friction * wider, wrap_turns=turns)
        for turns in (wraps, wraps + 1)
    )
    assert two.holding_hand_force_worst_n <= one.holding_hand_force_worst_n
    assert one.holding_hand_force_best_n <= one.holding_hand_force_worst_n
    assert one.least_wraps <= one.whole_wraps


@few
@given(st.floats(0, 1e5), st.floats(0, 1e5), st.floats(0, 180))
def test_a_resultant_keeps_within_sum_and_difference(one_n, other_n, angle_deg):
    force = resultant(one_n, other_n, angle_deg)
    slack = 1e-6 * max(1.0, one_n + other_n)
    assert abs(one_n - other_n) - slack <= force <= one_n + other_n + slack
    assert math.isclose(force, resultant(other_n, one_n, angle_deg), rel_tol=1e-9, abs_tol=1e-9)


ropes = st.builds(
    Item,
    kind=st.sampled_from(["rope", "tackle_rope", "hitch_cord"]),
    working_load_limit_n=st.none() | st.floats(100, 1e5),
    breaking_strength_n=st.floats(1000, 1e5),
    terminations=st.lists(st.sampled_from(["bowline", "sewn_eye", "figure_eight"]), min_size=1).map(tuple),
    bend_ratios=st.lists(st.floats(3.0, 20.0)).map(tuple),
    residual_strength_ratio=st.floats(0.1, 1.0),
    material=st.sampled_from([None, "nylon", "polyester"]),
)


@few
@given(ropes, loads, loads)
def test_more_load_never_turns_a_fail_into_a_pass(rope, one_n, other_n):
    less, more = sorted((one_n, other_n))
    lighter, heavier = utilisations([LoadedItem(rope, less), LoadedItem(rope, more)]).items
    assert lighter.within_capacity or not heavier.within_capacity


@few
@given(ropes)
def test_no_rope_carries_more_than_its_base_and_shock_never_helps(rope):
    calm, shocked = capacity(rope), capacity(rope, shock_credible=True)
    assert 0 < calm.capacity_n <= calm.base_capacity_n
    assert shocked.capacity_n <= calm.capacity_n / 2 + 1e-9


@few
@given(
    st.floats(10, 5000),
    st.floats(0, 60),
    st.sampled_from(["axis", "top_tangent"]),
    st.floats(1e3, 1e6),
    st.floats(0, 3),
    st.floats(0, 3),
)
def test_more_slack_never_lowers_the_peak_of_a_restraint(mass_kg, slope_deg, attachment, stiffness, one_m, other_m):
    less, more = (
        restraint(
            Restraint(
                mass_kg=mass_kg, slope_deg=slope_deg, attachment=attachment, stiffness_n_m=stiffness, slack_m=slack
            )
        )
        for slack in sorted((one_m, other_m))
    )
    assert more.peak_tension_n >= less.peak_tension_n - 1e-9
    assert less.peak_tension_n >= less.static_tension_n
    assert more.stop_distance_m >= less.stop_distance_m - 1e-9


plan_changes = st.fixed_dictionaries(
    {},
    optional={
        "people": st.integers(1, 12),
        "tree.lean_deg": st.floats(0, 29),
        "tree.lean_azimuth_deg": st.floats(0, 360),
        "hinge.thickness_m": st.floats(0.012, 0.09),
        "hinge.notch_depth_ratio": st.floats(0.12, 0.48),
        "hinge.notch_opening_deg": st.floats(30, 120),
        "hinge.width_m": st.floats(0.1, 0.44),
        "hinge.split_prone": st.booleans(),
        "wind.gust_m_s": st.floats(0, 15),
        "line.attach_height_m": st.floats(2, 11.5),
        "line.anchor.distance_m": st.floats(4, 60),
        "line.anchor.azimuth_deg": st.floats(60, 120),
        "line.anchor.slope_deg": st.floats(-20, 20),
        "tension_gauge": st.sampled_from(["none", "in_line", "on_hauling_part"]),
        "window.method": st.sampled_from(["conventional", "bore_with_strap"]),
        "stages.0.parts": st.integers(2, 8),
        "stages.0.rove": roves,
        "ground_fall_deg": st.floats(0, 20),
        "shock_credible": st.booleans(),
        "side_target": st.booleans(),
        "backup_anchor": st.sampled_from(["own", "shared"]),
        "items.main_line.material": st.sampled_from(["polyester", "nylon", "polypropylene"]),
        "items.bollard_anchor.anchor_name": st.sampled_from(["oak 1", "oak 2"]),
        "hitch_spread_deg": st.floats(0, 110),
    },
)
bases = st.sampled_from([passing_inputs(), full_inputs()])


def planned(inputs):
    """The plan, or None where the model refuses: then with a refusal of the list."""
    try:
        return plan(from_json(PlanInput, inputs, "inputs"))
    except Refused as refusal:
        code = find_code(refusal.code)
        assert code is not None
        assert code.kind == "refusal"
        return None


def numbers(value):
    if isinstance(value, dict):
        return [number for item in value.values() for number in numbers(item)]
    if isinstance(value, list):
        return [number for item in value for number in numbers(item)]
    return [value] if isinstance(value, float) else []


@settings(max_examples=wide(120, 30), deadline=None)
@given(bases, plan_changes)
def test_every_plan_gives_finite_figures_and_listed_codes(base, changes):
    result = planned(changed(base, changes))
    assume(result is not None)
    shown = to_json(result)
    assert all(math.isfinite(number) for number in numbers(shown))
    for text in result.codes:
        code = find_code(text)
        assert code is not None
        assert code.kind in ("fail", "caution")
        subject = text.partition(":")[2]
        assert bool(subject) == bool(code.subject)
        if code.subject == "role":
            assert find_role(subject) is not None
    assert list(result.codes) == sorted(set(result.codes))
    assert {finding.code for finding in result.findings} == set(result.codes)
    assert result.passes == (not fails(result.codes))


@few
@given(bases, plan_changes)
def test_every_plan_answers_or_refuses_through_json(base, changes):
    answer = solve({"topic": "plan", "inputs": changed(base, changes)})
    assert "error" not in answer, answer
    assert ("results" in answer) != ("refused" in answer)


@few
@given(bases, plan_changes)
def test_capacity_and_load_of_every_role_tell_what_is_under_rated(base, changes):
    result = planned(changed(base, changes))
    assume(result is not None)
    for name, used in result.utilisations.items():
        assert (f"under-rated:{name}" in result.codes) == (used.load_n > used.capacity_n + 1e-6)
        assert used.load_n >= result.loads_n[name] - 1e-6 or used.load_n >= 0
        assert set(result.utilisations) <= set(result.loads_n)


GEAR_CODES = ("under-rated", "over-tension-no-gauge")


@few
@given(bases, plan_changes, st.floats(1.01, 3.0))
def test_weaker_gear_never_takes_a_fail_away(base, changes, weaker):
    inputs = changed(base, changes)
    strong = planned(inputs)
    assume(strong is not None)
    halved = {
        name: {
            key: value / weaker if key.endswith(("_limit_n", "_strength_n", "_rating_n")) else value
            for key, value in item.items()
        }
        for name, item in inputs["items"].items()
    }
    weak = planned(inputs | {"items": halved})
    gear = {text.partition(":")[2] for text in strong.codes if text.startswith(GEAR_CODES)}
    assert gear <= {text.partition(":")[2] for text in weak.codes if text.startswith(GEAR_CODES)}


@few
@given(bases, plan_changes)
def test_one_more_hauler_never_makes_the_crew_too_few(base, changes):
    inputs = changed(base, changes)
    fewer, more = planned(inputs), planned(inputs | {"people": inputs["people"] + 1})
    assume(fewer is not None)
    assert ("too-few-people" in fewer.codes) or ("too-few-people" not in more.codes)
    assert more.overhaul_tension_n > fewer.overhaul_tension_n


@few
@given(bases, plan_changes, st.floats(0.5, 0.95))
def test_worse_sheaves_never_lower_the_force_on_the_tail(base, changes, worse):
    inputs = changed(base, changes)
    good, bad = planned(inputs), planned(changed(inputs, {"stages.0.sheave_efficiency": 0.92 * worse}))
    assume(good is not None)
    assume(bad is not None)
    assert bad.hauling_force_n >= good.hauling_force_n - 1e-9
    assert bad.crew_hauling_force_n >= good.crew_hauling_force_n - 1e-9


@few
@given(bases, plan_changes, st.floats(0, 360))
def test_a_site_turned_as_a_whole_gives_the_same_plan(base, changes, turn_deg):
    def turned(value):
        if isinstance(value, dict):
            return {key: item + turn_deg if key in TURNING else turned(item) for key, item in value.items()}
        return [turned(item) for item in value] if isinstance(value, list) else value

    inputs = changed(base, changes)
    here, there = planned(inputs), planned(turned(inputs))
    assume(here is not None)
    assert math.isclose(here.stem_tension_n, there.stem_tension_n, rel_tol=1e-6, abs_tol=1e-3)
    assert here.loads_n.keys() == there.loads_n.keys()
    for name, load in here.loads_n.items():
        assert math.isclose(load, there.loads_n[name], rel_tol=1e-6, abs_tol=1e-3)


TURNING = ("azimuth_deg", "lean_azimuth_deg", "lay_azimuth_deg")
ropes_stretching = st.builds(RopeStretch, st.floats(1e4, 1e5), st.floats(0.005, 0.1), st.floats(0.05, 0.5))


@few
@given(ropes_stretching, st.floats(0.5, 50))
def test_restraint_by_rope_and_by_its_stiffness_are_the_same(rope, length_m):
    common: Given = {"mass_kg": 500.0, "slope_deg": 20.0, "attachment": "axis", "slack_m": 0.2}
    by_rope = restraint(Restraint(**common, rope=rope, length_m=length_m))
    by_stiffness = restraint(Restraint(**common, stiffness_n_m=by_rope.stiffness_n_m))
    assert by_rope == by_stiffness
