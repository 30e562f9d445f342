"""What the spread of the inputs does to the tension: samples through the same relations (section 11)."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from jobs.mechanics import defaults
from jobs.mechanics.axis import Lump, axis_direction, axis_point, centre_of_gravity
from jobs.mechanics.checks import exceeds, require_between, require_positive
from jobs.mechanics.errors import Refused
from jobs.mechanics.hinge import Hinge, thickness_of
from jobs.mechanics.line import Line, site_place
from jobs.mechanics.numeric import FloatArray, radians
from jobs.mechanics.pull import end_angle_deg
from jobs.mechanics.rotation import (
    Body,
    Margins,
    angle_grid,
    body_about,
    loses_lever,
    moment_demand,
    tension_for,
    turned,
)
from jobs.mechanics.situation import Situation, situation
from jobs.mechanics.stem import Tree, crown_lumps, frustums, lean_bearing_deg, stem_lumps, sweep_at
from jobs.mechanics.tackle import Stage, hauling_efficiencies, stage_advantage
from jobs.mechanics.uncertainty_inputs import INPUT_NAMES, Distribution, InputName, drawn_inputs
from jobs.mechanics.wind import Wind, crown_drag_lumps, dynamic_pressure, known_gust, pushes, stem_drag_lumps

SAMPLES_DEFAULT = int(defaults.SAMPLES)
SEED_DEFAULT = int(defaults.SEED)

_MAX_SAMPLES = 1_000_000
# Samples worked on at a time, so that memory does not grow with their number.
_BLOCK = 10_000
_NO_MARGINS = Margins(adverse_factor=1.0, favourable_factor=1.0)
_GOVERNING_COUNT = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class UncertaintyResult:
    """Half and 95 of 100 cases stay at or below these; the inputs that govern are worth measuring better."""

    required_tension_p50_n: float
    required_tension_p95_n: float
    crew_tension_p50_n: float
    crew_tension_p95_n: float
    hauling_force_p50_n: float
    hauling_force_p95_n: float
    lost_share_ratio: float
    rank_correlations: Mapping[InputName, float]
    governing_inputs: tuple[InputName, ...]


def input_bases(state: Situation, stages: Sequence[Stage]) -> dict[InputName, float]:
    """Base of each input [unit of the input]: its value in the plan, 1 for a factor, 0 for an offset.

    One value stands for all sheaves of all stages; its base is that of stage 1, the mean where its sheaves differ.
    Range: at least one stage.
    Source: MODEL-01.
    """
    efficiencies = hauling_efficiencies(stages[0])
    return {
        "green_density": state.tree.green_density_kg_m3 or 0.0,
        "diameter": 1.0,
        "crown_mass": 1.0,
        "crown_forward": 0.0,
        "lean": state.tree.lean_deg,
        "lean_azimuth": 0.0,
        "gust": known_gust(state.wind),
        "attach_height": state.line.attach_height_m,
        "anchor_distance": 1.0,
        "hinge_thickness": thickness_of(state.hinge, state.diameter_m),
        "rupture_modulus": state.hinge.rupture_modulus_mean_pa,
        "sheave_efficiency": sum(efficiencies) / len(efficiencies),
    }


def sampled_body(state: Situation, values: Mapping[InputName, FloatArray]) -> Body:
    """What turns with the stem, for every sample at once; the hinge line is held.

    Stem mass goes with the square of the diameter factor, the gust on the stem with the factor itself.
    Range: samples of one length.
    Source: STATICS-04, MODEL-01.
    """
    tree, pieces = state.tree, frustums(state.tree)
    axis = axis_direction(radians(values["lean"]), radians(lean_bearing_deg(tree) + values["lean_azimuth"]))
    heavier = values["green_density"] / (tree.green_density_kg_m3 or 1.0) * values["diameter"] ** 2
    forward = values["crown_forward"]
    masses = [
        *(_changed(lump, heavier, 0.0) for lump in stem_lumps(tree, pieces)),
        *(_changed(lump, values["crown_mass"], forward) for lump in crown_lumps(tree)),
    ]
    areas = [
        *(
            _changed(lump, values["diameter"], 0.0)
            for lump in stem_drag_lumps(tree, pieces, state.wind.stem_drag_coeff)
        ),
        *(_changed(lump, 1.0, forward) for lump in crown_drag_lumps(tree)),
    ]
    mass, centre = centre_of_gravity(axis, masses)
    height = values["attach_height"]
    first = state.line.redirects[0] if state.line.redirects else state.line.anchor
    return body_about(
        state.section.hinge_line_x_m,
        centre,
        axis_point(axis, height - tree.hinge_height_m, *sweep_at(tree, height)),
        site_place(first, tree, values["anchor_distance"]),
        weight_n=defaults.STANDARD_GRAVITY_M_S2 * mass,
        loads=pushes(axis, areas, dynamic_pressure(state.wind.air_density_kg_m3, values["gust"])),
        end_deg=end_angle_deg(state.hinge),
    )


def _changed(lump: Lump, factor: FloatArray | float, forward_m: FloatArray | float) -> Lump:
    return lump._replace(amount=lump.amount * factor, forward_m=lump.forward_m + forward_m)


def sampled_tensions(
    body: Body, hinge_moments_n_m: Sequence[FloatArray], end_deg: float
) -> tuple[list[FloatArray], FloatArray]:
    """Greatest tension [N] over the rotation for every sample, once a hinge moment, and where the lever is lost.

    All margins 1, steps of half a degree. A lost sample's tension is infinite: it counts as greatest.
    Range: a turn of at most 90 degrees.
    Source: STATICS-01.
    """
    _, cosines, sines = angle_grid(end_deg, defaults.UNCERTAINTY_STEP_DEG)
    greatest = [np.zeros_like(moment) for moment in hinge_moments_n_m]
    lost = [np.zeros(moment.shape, dtype=bool) for moment in hinge_moments_n_m]
    for cosine, sine in zip(cosines.tolist(), sines.tolist(), strict=True):
        turn = turned(body, cosine, sine)
        for number, moment in enumerate(hinge_moments_n_m):
            demand = moment_demand(turn.gravity_moment_n_m, turn.wind_moment_n_m, moment, _NO_MARGINS)
            np.logical_or(lost[number], loses_lever(demand, turn.lever_arm_m, body.reach_m), out=lost[number])
            np.maximum(greatest[number], tension_for(demand, turn.lever_arm_m), out=greatest[number])
    for tensions, gone in zip(greatest, lost, strict=True):
        tensions[gone] = np.inf
    return greatest, np.logical_or.reduce(lost)


def average_ranks(values: FloatArray) -> FloatArray:
    """Ranks from 1; equal values share the mean of theirs [1].

    Range: no NaN.
    Source: STAT-02.
    """
    order = np.argsort(values, kind="stable")
    ordered = values[order]
    starts = np.concatenate(([True], ordered[1:] != ordered[:-1]))
    group = np.cumsum(starts) - 1
    bounds = np.append(np.flatnonzero(starts), len(values))
    ranks = np.empty(len(values))
    ranks[order] = 0.5 * (bounds[group] + bounds[group + 1] + 1)
    return ranks


def rank_correlation(one: FloatArray, other: FloatArray) -> float:
    """Spearman's rank correlation, from average ranks; 0 if either is constant [1].

    Range: arrays of one length.
    Source: STAT-02.
    """
    first, second = one - one.mean(), other - other.mean()
    spread = float(np.sqrt(np.dot(first, first) * np.dot(second, second)))
    return float(np.dot(first, second)) / spread if spread > 0.0 else 0.0


def sampled_hauling_forces(
    tension_n: FloatArray, sheave_ratio: FloatArray, stages: Sequence[Stage], *, line_ratio: float
) -> FloatArray:
    """Force on the tail for every sample [N], one sheave efficiency for all sheaves of all stages.

    T/(eta_line MA_haul), the efficiency capped at 1
    Range: efficiencies above 0.
    Source: TACKLE-01.
    """
    capped = np.minimum(sheave_ratio, 1.0)
    advantage = np.ones_like(capped)
    for stage in stages:
        advantage = advantage * stage_advantage(stage, capped)
    return tension_n / (line_ratio * advantage)


def uncertainty_of(
    state: Situation,
    stages: Sequence[Stage],
    *,
    distributions: Mapping[InputName, Distribution] | None = None,
    samples: int = SAMPLES_DEFAULT,
    seed: int = SEED_DEFAULT,
) -> UncertaintyResult:
    """The study of a situation.

    Errors: Refused tackle-parts, tackle-eta, line-loses-lever; OutOfRange for a spread that makes no sense.
    Range: independent inputs; 1 to 1,000,000 samples.
    Source: STATICS-01, STAT-01, STAT-02, PANEL-01.
    """
    require_between("samples", samples, 1, _MAX_SAMPLES)
    require_between("seed", seed, 0, 2**63 - 1)
    require_positive("stages", len(stages))
    for stage in stages:
        hauling_efficiencies(stage)  # meets its refusals before anything is drawn
    values = drawn_inputs(input_bases(state, stages), distributions or {}, samples=samples, seed=seed)
    gear, crew, lost_share = _study(state, values)
    if exceeds(lost_share, defaults.LOST_SHARE_RATIO):
        raise Refused(
            "line-loses-lever",
            f"{100 * lost_share:.1f} % of the cases need tension where the line no longer pulls over; 1 % may.",
            {"share_ratio": lost_share, "limit_ratio": defaults.LOST_SHARE_RATIO},
        )
    hand = sampled_hauling_forces(gear, values["sheave_efficiency"], stages, line_ratio=state.geometry.line_efficiency)
    hand_ranks = average_ranks(hand)
    correlations = {name: rank_correlation(average_ranks(values[name]), hand_ranks) for name in INPUT_NAMES}
    governing = sorted(INPUT_NAMES, key=lambda name: -abs(correlations[name]))[:_GOVERNING_COUNT]
    (gear_p50, gear_p95), (crew_p50, crew_p95), (hand_p50, hand_p95) = (
        np.quantile(forces, [0.50, 0.95]).tolist() for forces in (gear, crew, hand)
    )
    return UncertaintyResult(
        required_tension_p50_n=gear_p50,
        required_tension_p95_n=gear_p95,
        crew_tension_p50_n=crew_p50,
        crew_tension_p95_n=crew_p95,
        hauling_force_p50_n=hand_p50,
        hauling_force_p95_n=hand_p95,
        lost_share_ratio=lost_share,
        rank_correlations=correlations,
        governing_inputs=tuple(governing),
    )


def _study(state: Situation, values: Mapping[InputName, FloatArray]) -> tuple[FloatArray, FloatArray, float]:
    """Greatest tension of every sample for the gear and for the crew, and the share that loses its lever."""
    thickness = thickness_of(state.hinge, state.diameter_m)
    as_cut = np.maximum(values["hinge_thickness"], defaults.THINNEST_SAMPLE_M) / thickness
    strength = values["rupture_modulus"] * as_cut**2
    count, end_deg = len(strength), end_angle_deg(state.hinge)
    gear, crew, lost = np.empty(count), np.empty(count), 0
    for start in range(0, count, _BLOCK):
        block = slice(start, start + _BLOCK)
        body = sampled_body(state, {name: sample[block] for name, sample in values.items()})
        plastic = state.section.plastic_section_modulus_m3 * strength[block]
        elastic = state.section.elastic_section_modulus_m3 * strength[block]
        (gear[block], crew[block]), gone = sampled_tensions(body, (plastic, elastic), end_deg)
        lost += int(np.count_nonzero(gone))
    return gear, crew, lost / count


def uncertainty(
    tree: Tree,
    hinge: Hinge,
    line: Line,
    wind: Wind,
    stages: Sequence[Stage],
    *,
    distributions: Mapping[InputName, Distribution] | None = None,
    samples: int = SAMPLES_DEFAULT,
    seed: int = SEED_DEFAULT,
) -> UncertaintyResult:
    """Tension and hauling force from the spread of the inputs (section 11).

    Each sample: T = max over theta of (M_w + M_h - W x'_cg)/arm, no margins; gear with mor Z_pl, crew with mor W_el;
    hand = T/(eta_line MA_haul). Percentiles by linear interpolation over all samples, rank correlation with the hand.
    Errors: Refused, in this order: the stem's, the attachment's, the hinge's, line-geometry, unknown:gust,
    tackle-parts, tackle-eta, line-loses-lever (more than 1 % of the samples); OutOfRange for a spread that makes no
    sense.
    Range: independent inputs; 1 to 1,000,000 samples; about 0.5 % scatter from seed to seed at 10,000.
    Source: STATICS-01, STAT-01, STAT-02, PANEL-01.
    """
    state = situation(tree, hinge, line, wind)
    return uncertainty_of(state, stages, distributions=distributions, samples=samples, seed=seed)
