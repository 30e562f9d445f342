"""Section 11: the spread of the inputs."""

import math
from dataclasses import replace

import numpy as np
import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.line import Redirect, SitePoint
from jobs.mechanics.pull import max_tension, scan_of
from jobs.mechanics.rotation import Margins
from jobs.mechanics.situation import situation
from jobs.mechanics.tackle import Stage
from jobs.mechanics.uncertainty import (
    average_ranks,
    input_bases,
    rank_correlation,
    sampled_body,
    sampled_tensions,
    uncertainty,
)
from jobs.mechanics.uncertainty_inputs import INPUT_NAMES, SPREADS, Distribution, drawn, drawn_inputs
from tests.mechanics.rig import HINGE, LINE, WIND, hinge, line, tree

STAGES = (Stage(parts=5, rove="to_advantage", sheave_efficiency=0.9),)
FIXED = Distribution(distribution="fixed")
ALL_FIXED = dict.fromkeys(INPUT_NAMES, FIXED)
PLAIN = Margins(adverse_factor=1.0, favourable_factor=1.0)
UNIFORM = (np.arange(20_000) + 0.5) / 20_000


def studied(made_tree=None, made_hinge=HINGE, made_line=LINE, made_wind=WIND, stages=STAGES, **options):
    given = {"samples": 2_000, "seed": 7, **options}
    return uncertainty(made_tree or tree(), made_hinge, made_line, made_wind, stages, **given)


def nominal(made_hinge=HINGE, made_line=LINE):
    scan = scan_of(situation(tree(), made_hinge, made_line, WIND))
    section = scan.situation.section
    moments = section.plastic_section_modulus_m3, section.elastic_section_modulus_m3
    return [max_tension(scan, hinge_moment_n_m=50e6 * modulus, margins=PLAIN) for modulus in moments]


def test_inputs_that_do_not_spread_give_the_plain_calculation():
    result = studied(distributions=ALL_FIXED, samples=3)
    gear, crew = nominal()
    assert (result.required_tension_p50_n, result.required_tension_p95_n) == pytest.approx((gear, gear), rel=1e-4)
    assert (result.crew_tension_p50_n, result.crew_tension_p95_n) == pytest.approx((crew, crew), rel=1e-4)
    assert result.hauling_force_p50_n == pytest.approx(gear / 4.0951, rel=1e-4)
    assert set(result.rank_correlations.values()) == {0.0}


def test_one_input_moves_the_tension_as_the_plain_calculation_does():
    one_up = {**ALL_FIXED, "lean": Distribution(distribution="triangular", low_offset=0.0, high_offset=1e-9)}
    steeper = studied(tree(lean_deg=5.0), distributions=one_up, samples=5)
    scan = scan_of(situation(tree(lean_deg=5.0), HINGE, LINE, WIND))
    plastic = 50e6 * scan.situation.section.plastic_section_modulus_m3
    expected = max_tension(scan, hinge_moment_n_m=plastic, margins=PLAIN)
    assert steeper.required_tension_p95_n == pytest.approx(expected, rel=1e-4)


def test_hinge_cut_thinner_than_5_mm_counts_as_5_mm():
    thin = hinge(thickness_m=0.003)
    scan = scan_of(situation(tree(), thin, LINE, WIND))
    plastic = 50e6 * scan.situation.section.plastic_section_modulus_m3 * (5.0 / 3.0) ** 2
    expected = max_tension(scan, hinge_moment_n_m=plastic, margins=PLAIN)
    result = studied(made_hinge=thin, distributions=ALL_FIXED, samples=2)
    assert result.required_tension_p50_n == pytest.approx(expected, rel=1e-4)


def test_crown_that_sits_further_forward_takes_its_wind_along():
    state = situation(tree(), HINGE, LINE, replace(WIND, stem_drag_coeff=0.0))
    values = drawn_inputs(input_bases(state, STAGES), ALL_FIXED, samples=2, seed=1)
    values["crown_forward"] = np.array([0.0, 0.4])
    body = sampled_body(state, values)
    (gust,) = body.loads
    places, centres = np.asarray(gust.place.x), np.asarray(body.centre.x)
    assert places[1] - places[0] == pytest.approx(0.4)
    assert centres[1] > centres[0]


def test_sample_that_loses_its_lever_counts_as_greatest():
    near = line(anchor=SitePoint(distance_m=6.0, azimuth_deg=90.0, height_m=4.0))
    state = situation(tree(), HINGE, near, WIND)
    values = drawn_inputs(input_bases(state, STAGES), ALL_FIXED, samples=2, seed=1)
    (tensions,), lost = sampled_tensions(sampled_body(state, values), (np.array([1e3, 1e6]),), 70.0)
    assert lost.tolist() == [False, True]
    assert math.isfinite(tensions[0])
    assert math.isinf(tensions[1])


def test_more_than_half_and_less_than_all_stay_below_the_95th_percentile():
    result = studied()
    assert result.required_tension_p50_n < result.required_tension_p95_n
    assert result.crew_tension_p95_n < result.required_tension_p95_n
    assert result.lost_share_ratio == 0.0


def test_same_seed_same_figures_and_another_seed_within_2_percent():
    one, same, other = (studied(samples=20_000, seed=seed) for seed in (1, 1, 2))
    assert one == same
    for name in ("required_tension_p50_n", "required_tension_p95_n", "crew_tension_p95_n", "hauling_force_p95_n"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=0.02)
    for name in INPUT_NAMES:
        assert one.rank_correlations[name] == pytest.approx(other.rank_correlations[name], abs=0.04)


def test_hinge_as_cut_governs_an_ordinary_rig():
    result = studied(samples=5_000)
    assert result.governing_inputs[0] == "hinge_thickness"
    assert len(result.governing_inputs) == 3
    assert result.rank_correlations["hinge_thickness"] > 0.8


def test_better_sheaves_lower_the_hand_force_and_nothing_else():
    result = studied(samples=5_000)
    assert result.rank_correlations["sheave_efficiency"] < 0.0
    quiet = studied(distributions={"sheave_efficiency": FIXED})
    assert quiet.required_tension_p95_n == studied().required_tension_p95_n
    assert quiet.rank_correlations["sheave_efficiency"] == 0.0


def test_sheave_efficiency_is_capped_at_1():
    best = (Stage(parts=5, rove="to_advantage", sheave_efficiency=1.0),)
    up = Distribution(distribution="triangular", low_offset=0.0, high_offset=0.5)
    result = studied(stages=best, distributions={**ALL_FIXED, "sheave_efficiency": up})
    assert result.hauling_force_p50_n == pytest.approx(nominal()[0] / 5.0, rel=1e-4)


def test_advantages_of_all_stages_multiply():
    two = (*STAGES, Stage(parts=3, rove="to_advantage", sheave_efficiency=0.9))
    result = studied(stages=two, distributions=ALL_FIXED, samples=2)
    assert result.hauling_force_p50_n == pytest.approx(nominal()[0] / (4.0951 * 2.71), rel=1e-4)


def test_base_of_unlike_sheaves_is_their_mean():
    unlike = (Stage(parts=3, rove="to_advantage", sheave_efficiency=(0.8, 0.9)),)
    assert input_bases(situation(tree(), HINGE, LINE, WIND), unlike)["sheave_efficiency"] == pytest.approx(0.85)


def test_first_redirect_stands_for_the_anchor():
    block = Redirect(distance_m=20.0, azimuth_deg=90.0, kind="sheave")
    far, near = (line(redirects=(block,), anchor=SitePoint(distance_m=d, azimuth_deg=100.0)) for d in (60.0, 35.0))
    only_distance = {**ALL_FIXED, "anchor_distance": SPREADS["anchor_distance"]}
    spread = [studied(made_line=made, distributions=only_distance) for made in (far, near)]
    assert spread[0].required_tension_p95_n == pytest.approx(spread[1].required_tension_p95_n)
    assert spread[0].required_tension_p95_n > spread[0].required_tension_p50_n


def test_study_is_refused_when_over_1_percent_lose_the_lever():
    near = line(anchor=SitePoint(distance_m=6.0, azimuth_deg=90.0, height_m=4.0))
    with pytest.raises(Refused) as caught:
        studied(made_hinge=hinge(rupture_modulus_mean_pa=400e6), made_line=near)
    assert caught.value.code == "line-loses-lever"
    assert float(caught.value.facts["share_ratio"]) > 0.01


def test_few_lost_samples_count_as_greatest_and_leave_the_figures_finite():
    near = line(anchor=SitePoint(distance_m=6.0, azimuth_deg=90.0, height_m=4.0))
    for strength in np.linspace(40e6, 400e6, 60):
        try:
            result = studied(made_hinge=hinge(rupture_modulus_mean_pa=float(strength)), made_line=near)
        except Refused:
            continue
        if result.lost_share_ratio > 0.0:
            break
    assert 0.0 < result.lost_share_ratio <= 0.01
    figures = [result.required_tension_p95_n, result.crew_tension_p95_n, result.hauling_force_p95_n]
    assert all(math.isfinite(figure) for figure in [*figures, *result.rank_correlations.values()])


def test_refusals_come_in_their_order():
    def refusal(*inputs, **options):
        with pytest.raises(Refused) as caught:
            studied(*inputs, **options)
        return caught.value.code

    nine = (Stage(parts=9, rove="to_advantage"),)
    assert refusal(tree(decay=True), stages=nine) == "decay"
    assert refusal(stages=nine) == "tackle-parts"
    unlike = (Stage(parts=3, rove="to_advantage", sheave_efficiency=(0.9,)),)
    assert refusal(stages=unlike) == "tackle-eta"


def test_normal_samples_have_their_spread_and_stop_at_3_deviations():
    values = drawn(Distribution(distribution="normal", sd=2.0), 10.0, UNIFORM)
    assert values.mean() == pytest.approx(10.0, abs=1e-3)
    # A normal distribution cut off at 3 sd keeps 0.98656 of its standard deviation (textbook).
    assert values.std() == pytest.approx(2.0 * 0.98656, rel=1e-3)
    assert (values.min(), values.max()) == pytest.approx((4.0, 16.0), abs=0.02)


def test_normal_by_cov_spreads_with_its_base():
    by_cov = drawn(Distribution(distribution="normal", cov=0.1), 20.0, UNIFORM)
    assert by_cov == pytest.approx(drawn(Distribution(distribution="normal", sd=2.0), 20.0, UNIFORM))


def test_lognormal_samples_have_the_base_as_their_median():
    values = drawn(Distribution(distribution="lognormal", cov=0.25), 8.0, UNIFORM)
    assert np.median(values) == pytest.approx(8.0, rel=1e-3)
    assert values.std() / values.mean() == pytest.approx(0.25, rel=0.01)
    by_sd = drawn(Distribution(distribution="lognormal", sd=2.0), 8.0, UNIFORM)
    assert by_sd == pytest.approx(values)


def test_triangular_samples_stay_between_their_offsets_with_the_peak_at_the_base():
    values = drawn(Distribution(distribution="triangular", low_offset=-0.05, high_offset=0.04), 0.9, UNIFORM)
    assert (values.min(), values.max()) == pytest.approx((0.85, 0.94), abs=1e-3)
    assert values.mean() == pytest.approx(0.9 + (0.04 - 0.05) / 3.0, abs=1e-5)
    assert (values < 0.9).mean() == pytest.approx(5.0 / 9.0, abs=1e-3)


def test_gust_of_0_stays_0():
    assert (drawn(SPREADS["gust"], 0.0, UNIFORM) == 0.0).all()


def test_another_spread_of_one_input_leaves_the_others_as_they_were():
    bases = input_bases(situation(tree(), HINGE, LINE, WIND), STAGES)
    one = drawn_inputs(bases, {}, samples=50, seed=3)
    other = drawn_inputs(bases, {"lean": FIXED}, samples=50, seed=3)
    assert all((one[name] == other[name]).all() for name in INPUT_NAMES if name != "lean")
    assert (other["lean"] == 3.0).all()


def test_spread_that_reaches_0_where_only_positive_is_possible_is_out_of_range():
    with pytest.raises(OutOfRange, match="green_density"):
        studied(distributions={"green_density": Distribution(distribution="normal", cov=0.5)})


@pytest.mark.parametrize(
    "options",
    [
        {"distribution": "normal"},
        {"distribution": "normal", "cov": 0.1, "sd": 1.0},
        {"distribution": "lognormal", "cov": -0.1},
        {"distribution": "triangular", "low_offset": 0.1, "high_offset": 0.2},
        {"distribution": "triangular", "low_offset": -0.1},
        {"distribution": "uniform"},
        {"distribution": "normal", "sd": math.inf},
    ],
)
def test_spread_that_makes_no_sense_is_out_of_range(options):
    with pytest.raises(OutOfRange):
        Distribution(**options)


@pytest.mark.parametrize("options", [{"samples": 0}, {"samples": 10_000_000}, {"seed": -1}, {"stages": ()}])
def test_study_that_makes_no_sense_is_out_of_range(options):
    with pytest.raises(OutOfRange):
        studied(**options)


def test_equal_values_share_their_rank():
    assert average_ranks(np.array([3.0, 1.0, 3.0, np.inf, np.inf])).tolist() == [2.5, 1.0, 2.5, 4.5, 4.5]


def test_rank_correlation_of_a_rising_pair_is_1_and_of_a_constant_0():
    ranks = average_ranks(np.array([0.1, 5.0, 7.0, 900.0]))
    assert rank_correlation(ranks, average_ranks(np.array([1.0, 2.0, 3.0, 4.0]))) == pytest.approx(1.0)
    assert rank_correlation(ranks, average_ranks(np.ones(4))) == 0.0
