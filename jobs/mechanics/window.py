"""The pre-tension window: enough to stop the stem from sitting back, too little to split it (section 6)."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

from jobs.mechanics import defaults
from jobs.mechanics.checks import exceeds, given, require_between, require_not_negative, require_positive, require_word
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.hinge import Hinge, low_value
from jobs.mechanics.line import Line
from jobs.mechanics.rotation import Margins
from jobs.mechanics.situation import Situation, situation
from jobs.mechanics.split_risk import Risk, forward_lean_deg, needs_bore_cut, risk_class, risk_score
from jobs.mechanics.stem import Tree
from jobs.mechanics.strip import Strip, half_chord, strip
from jobs.mechanics.wind import Wind
from jobs.mechanics.window_bounds import (
    back_fibre_tension,
    front_fibre_tension,
    gravity_moment_about,
    lever_arm_about,
    shear_moment,
    sit_back_tension,
    split_moment,
    strap_moment,
    tension_from,
)

# A back cut or a strap thinner than this share is no cut.
_MIN_CUT_RATIO = 0.001

Method = Literal["conventional", "bore_with_strap"]
Bound = Literal["bend", "split", "shear", "strap"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowOptions:
    """Factors and fractions of the window, and how the back cut is made."""

    sit_back_factor: float = defaults.SIT_BACK_FACTOR
    favourable_factor: float = defaults.FAVOURABLE_FACTOR
    bending_fraction: float = defaults.BENDING_FRACTION
    split_fraction: float = defaults.SPLIT_FRACTION
    shear_fraction: float = defaults.SHEAR_FRACTION
    fracture_energy_j_m2: float = defaults.FRACTURE_ENERGY_J_M2
    back_cut_progress_ratio: float = defaults.BACK_CUT_PROGRESS_RATIO
    method: Method = "conventional"
    strap_thickness_ratio: float = defaults.STRAP_THICKNESS_RATIO
    planned_pre_tension_n: float | None = None

    def __post_init__(self) -> None:
        require_positive("sit_back_factor", self.sit_back_factor)
        require_not_negative("favourable_factor", self.favourable_factor)
        require_positive("bending_fraction", self.bending_fraction)
        require_positive("split_fraction", self.split_fraction)
        require_positive("shear_fraction", self.shear_fraction)
        require_positive("fracture_energy_j_m2", self.fracture_energy_j_m2)
        require_between("back_cut_progress_ratio", self.back_cut_progress_ratio, _MIN_CUT_RATIO, 1.0)
        require_word("method", self.method, ("conventional", "bore_with_strap"))
        require_between("strap_thickness_ratio", self.strap_thickness_ratio, _MIN_CUT_RATIO, 1.0)
        require_not_negative("planned_pre_tension_n", self.planned_pre_tension_n)


@dataclass(frozen=True, slots=True, kw_only=True)
class UpperBounds:
    """Upper bounds of the pre-tension by what would fail; which there are depends on the back cut."""

    bend: float
    split: float | None = field(default=None, metadata={"omit_none": True})
    shear: float | None = field(default=None, metadata={"omit_none": True})
    strap: float | None = field(default=None, metadata={"omit_none": True})

    def lowest(self) -> tuple[Bound, float]:
        """Name and value of the smallest bound; the first named where two are equal."""
        named: list[tuple[Bound, float | None]] = [
            ("bend", self.bend),
            ("split", self.split),
            ("shear", self.shear),
            ("strap", self.strap),
        ]
        present = [(name, bound) for name, bound in named if bound is not None]
        return min(present, key=lambda pair: pair[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowChange:
    """One change tried alone on an empty window."""

    code: str
    gap_n: float
    opens: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowResult:
    """Bounds of the pre-tension at the stem, and the class of the danger that the stem splits."""

    sit_back_tension_n: float
    pinch_tension_n: float
    lowest_tension_n: float
    upper_bounds_n: UpperBounds
    highest_tension_n: float
    governing_bound: Bound
    is_empty: bool
    recommended_tension_n: float | None
    forward_lean_deg: float
    bore_cut_needed: bool
    risk_score: int
    split_risk: Risk
    pre_tension_ratio: float | None
    gap_n: float
    split_moment_n_m: float | None = field(default=None, metadata={"omit_none": True})
    shear_moment_n_m: float | None = field(default=None, metadata={"omit_none": True})
    back_cut_x_m: float | None = field(default=None, metadata={"omit_none": True})
    strap_area_m2: float | None = field(default=None, metadata={"omit_none": True})
    strap_lever_m: float | None = field(default=None, metadata={"omit_none": True})
    changes: tuple[WindowChange, ...] | None = field(default=None, metadata={"omit_none": True})


@dataclass(frozen=True, slots=True)
class BackCut:
    """What the way of cutting adds to the window: its own upper bounds and the figures behind them."""

    split: float | None = None
    shear: float | None = None
    strap: float | None = None
    split_moment_n_m: float | None = None
    shear_moment_n_m: float | None = None
    back_cut_x_m: float | None = None
    strap_area_m2: float | None = None
    strap_lever_m: float | None = None


def section_behind_notch(state: Situation) -> Strip:
    """The stem behind the finished notch, before the back cut: the strip from -R to the notch apex.

    Range: notch depth 0.10 to 0.50 of D.
    Source: GEOMETRY-02.
    """
    return strip(-state.radius_m, state.section.notch_apex_x_m, state.radius_m)


def lower_bounds(state: Situation, options: WindowOptions, whole: Strip) -> tuple[float, float]:
    """Sit-back and pinch tensions [N], the gust backward.

    Errors: Refused pull-closes-cut, line-loses-lever.
    Range: stem at rest.
    Source: STATICS-01, BEAM-01.
    """
    x_0 = float(whole.centroid_x_m)
    pinch = back_fibre_tension(
        0.0,
        whole,
        lever_arm_about(state, x_0),
        weight_n=state.stem.weight_n,
        moment_n_m=gravity_moment_about(state, x_0) - state.wind_moment_n_m,
        rise_ratio=-state.geometry.compression_ratio,
    )
    return sit_back_about(state, options, state.section.hinge_line_x_m), max(0.0, float(pinch))


def sit_back_about(state: Situation, options: WindowOptions, hinge_line_x_m: float) -> float:
    """Sit-back tension [N] about a hinge line at x, the gust backward.

    Of the lower bounds only this one changes with the hinge's thickness; the pinch tension does not.
    Errors: Refused line-loses-lever.
    Range: arm above 0 where tension is needed.
    Source: STATICS-01.
    """
    return sit_back_tension(
        gravity_moment_about(state, hinge_line_x_m),
        state.wind_moment_n_m,
        lever_arm_about(state, hinge_line_x_m),
        margins=Margins(adverse_factor=options.sit_back_factor, favourable_factor=options.favourable_factor),
    )


def bend_bound(state: Situation, options: WindowOptions, whole: Strip) -> float:
    """Tension at which front or back fibre of the section reaches its share of the strength, the gust forward [N].

    Errors: Refused pull-closes-cut, line-loses-lever.
    Range: elastic section, stem at rest.
    Source: BEAM-01.
    """
    return max(0.0, stress_limit_tension(state, whole, options.bending_fraction * state.section.rupture_modulus_low_pa))


def stress_limit_tension(state: Situation, section: Strip, stress_pa: float) -> float:
    """Lesser of the tensions at which front or back fibre of a section at hinge height reaches a stress [N].

    The gust is forward, M_0 = W (x_cg - x_0) + M_w. May be negative.
    Errors: Refused pull-closes-cut, line-loses-lever.
    Range: elastic section.
    Source: BEAM-01.
    """
    x_0 = float(section.centroid_x_m)
    arm, moment = lever_arm_about(state, x_0), gravity_moment_about(state, x_0) + state.wind_moment_n_m
    rise, weight = -state.geometry.compression_ratio, state.stem.weight_n
    back = back_fibre_tension(stress_pa, section, arm, weight_n=weight, moment_n_m=moment, rise_ratio=rise)
    front = front_fibre_tension(stress_pa, section, arm, weight_n=weight, moment_n_m=moment, rise_ratio=rise)
    return min(float(front), float(back))


def conventional_cut(state: Situation, options: WindowOptions, whole: Strip) -> BackCut:
    """Split and shear bounds with the back cut at its checked progress, the gust forward.

    Errors: Refused line-loses-lever; OutOfRange when the wood's elastic modulus or shear strength is not given.
    Range: straight grain, stem at rest.
    Source: SPLIT-01, BEAM-03.
    """
    radius, hinge, section = state.radius_m, state.hinge, state.section
    elastic_modulus = given("elastic_modulus_mean_pa", hinge.elastic_modulus_mean_pa)
    shear_mean = given("shear_strength_mean_pa", hinge.shear_strength_mean_pa)
    x_cut = -radius + options.back_cut_progress_ratio * (section.hinge_back_x_m + radius)
    left, cut = strip(x_cut, section.notch_apex_x_m, radius), strip(-radius, x_cut, radius)
    chord, x_left = 2.0 * float(half_chord(x_cut, radius)), float(left.centroid_x_m)
    splitting = float(split_moment(chord, elastic_modulus, options.fracture_energy_j_m2, left=left, whole=whole))
    shear_low = low_value(shear_mean, hinge.shear_strength_cov)
    shearing = float(shear_moment(shear_low, chord, state.diameter_m, cut=cut, whole=whole))
    arm = lever_arm_about(state, x_left)
    moment = gravity_moment_about(state, x_left) + state.wind_moment_n_m
    return BackCut(
        split=float(tension_from(options.split_fraction * splitting - moment, arm)),
        shear=float(tension_from(options.shear_fraction * shearing - moment, arm)),
        split_moment_n_m=splitting,
        shear_moment_n_m=shearing,
        back_cut_x_m=x_cut,
    )


def strap_cut(state: Situation, options: WindowOptions) -> BackCut:
    """Strap bound of a bore cut with a holding strap, the gust forward.

    Errors: Refused line-loses-lever; OutOfRange when the strap would reach the hinge.
    Range: strap behind the hinge, stem at rest.
    Source: STATICS-01.
    """
    radius, section = state.radius_m, state.section
    strap_front = -radius + options.strap_thickness_ratio * state.diameter_m
    if strap_front > section.hinge_back_x_m:
        highest = (section.hinge_back_x_m + radius) / state.diameter_m
        raise OutOfRange("strap_thickness_ratio", options.strap_thickness_ratio, 0.0, highest)
    holding, x_hinge = strip(-radius, strap_front, radius), section.hinge_line_x_m
    lever = x_hinge - float(holding.centroid_x_m)
    stress = options.bending_fraction * section.rupture_modulus_low_pa
    moment = float(strap_moment(stress, float(holding.area_m2), lever))
    against = gravity_moment_about(state, x_hinge) + state.wind_moment_n_m
    return BackCut(
        strap=float(tension_from(moment - against, lever_arm_about(state, x_hinge))),
        strap_area_m2=float(holding.area_m2),
        strap_lever_m=lever,
    )


def window_of(state: Situation, options: WindowOptions) -> WindowResult:
    """The window of a situation, without the changes that are tried on an empty one.

    Errors: Refused pull-closes-cut, line-loses-lever.
    Range: straight grain, moment dominates (arm/D over 5).
    Source: STATICS-01, BEAM-01, BEAM-03, SPLIT-01.
    """
    whole = section_behind_notch(state)
    sit_back, pinch = lower_bounds(state, options, whole)
    bend = bend_bound(state, options, whole)
    conventional = options.method == "conventional"
    back_cut = conventional_cut(state, options, whole) if conventional else strap_cut(state, options)
    upper = UpperBounds(bend=bend, split=back_cut.split, shear=back_cut.shear, strap=back_cut.strap)
    governing, highest = upper.lowest()
    lowest = max(sit_back, pinch)
    is_empty = exceeds(lowest, highest)
    recommended = None if is_empty else lowest + (highest - lowest) / 3.0
    planned = options.planned_pre_tension_n if options.planned_pre_tension_n is not None else recommended
    ratio = planned / highest if planned is not None and highest > 0.0 else None
    lean = forward_lean_deg(state)
    bore_cut = needs_bore_cut(lean, conventional=conventional, split_prone=state.hinge.split_prone)
    score = risk_score(lean, state.hinge.notch_depth_ratio, ratio, split_prone=state.hinge.split_prone)
    return WindowResult(
        sit_back_tension_n=sit_back,
        pinch_tension_n=pinch,
        lowest_tension_n=lowest,
        upper_bounds_n=upper,
        highest_tension_n=highest,
        governing_bound=governing,
        is_empty=is_empty,
        recommended_tension_n=recommended,
        forward_lean_deg=lean,
        bore_cut_needed=bore_cut,
        risk_score=score,
        split_risk=risk_class(score, ratio, bore_cut_needed=bore_cut, is_empty=is_empty),
        pre_tension_ratio=ratio,
        gap_n=highest - lowest,
        split_moment_n_m=back_cut.split_moment_n_m,
        shear_moment_n_m=back_cut.shear_moment_n_m,
        back_cut_x_m=back_cut.back_cut_x_m,
        strap_area_m2=back_cut.strap_area_m2,
        strap_lever_m=back_cut.strap_lever_m,
    )


Case = tuple[Tree, Hinge, Line, Wind, WindowOptions]


def proposals(state: Situation, options: WindowOptions) -> Iterator[tuple[str, Case]]:
    """Each change worth trying on an empty window, with the inputs it makes.

    Range: any.
    Source: MODEL-01.
    """
    tree, hinge, line, wind = state.tree, state.hinge, state.line, state.wind
    top = tree.sections[-1].height_m
    sound = top if line.sound_wood_height_m is None else min(top, line.sound_wood_height_m)
    raised = replace(line, attach_height_m=min(defaults.RAISED_ATTACHMENT_FACTOR * line.attach_height_m, sound))
    yield "raise-attachment", (tree, hinge, raised, wind, options)
    if exceeds(hinge.notch_depth_ratio, defaults.SHALLOWER_NOTCH_RATIO):
        yield (
            "shallower-notch",
            (tree, replace(hinge, notch_depth_ratio=defaults.SHALLOWER_NOTCH_RATIO), line, wind, options),
        )
    if wind.gust_m_s is not None:
        yield (
            "wait-for-less-wind",
            (tree, hinge, line, replace(wind, gust_m_s=defaults.LESS_WIND_FACTOR * wind.gust_m_s), options),
        )
    if tree.crown:
        crown = tuple(
            replace(
                part,
                mass_kg=defaults.LESS_CROWN_FACTOR * part.mass_kg,
                frontal_area_m2=defaults.LESS_CROWN_FACTOR * part.frontal_area_m2,
            )
            for part in tree.crown
        )
        yield "reduce-crown", (replace(tree, crown=crown), hinge, line, wind, options)
    if options.method == "conventional":
        yield "bore-cut-with-strap", (tree, hinge, line, wind, replace(options, method="bore_with_strap"))


def changes_of(state: Situation, options: WindowOptions, gap_n: float) -> tuple[WindowChange, ...]:
    """Changes that enlarge the gap, each tried alone, best first; one that makes a refusal is skipped.

    Range: an empty window.
    Source: MODEL-01.
    """
    found = []
    for code, (tree, hinge, line, wind, changed) in proposals(state, options):
        try:
            tried = window_of(situation(tree, hinge, line, wind), changed)
        except (Refused, OutOfRange):
            continue
        if exceeds(tried.gap_n, gap_n):
            found.append(WindowChange(code=code, gap_n=tried.gap_n, opens=not tried.is_empty))
    return tuple(sorted(found, key=lambda change: -change.gap_n))


def full_window_of(state: Situation, options: WindowOptions) -> WindowResult:
    """The window of a situation, with the changes when it is empty.

    Errors: Refused pull-closes-cut, line-loses-lever.
    Range: straight grain, moment dominates (arm/D over 5).
    Source: STATICS-01, BEAM-01, BEAM-03, SPLIT-01.
    """
    result = window_of(state, options)
    return replace(result, changes=changes_of(state, options, result.gap_n)) if result.is_empty else result


def window(tree: Tree, hinge: Hinge, line: Line, wind: Wind, options: WindowOptions | None = None) -> WindowResult:
    """Pre-tension that is enough to stop a sit-back and too little to split the stem (section 6).

    T_lo = max(T_sit, T_pinch); T_hi = the smallest of bend and split, shear or strap; empty when T_lo > T_hi
    Errors: Refused, in this order: the stem's, the attachment's, the hinge's, line-geometry, unknown:gust,
    pull-closes-cut, line-loses-lever (a bound would divide by an arm that is not above 0).
    Range: straight grain, moment dominates (arm/D over 5). Not covered: natural defects, growth stresses, a heavy
    crown swinging forward, a back cut above or below the notch apex.
    Source: STATICS-01, BEAM-01, BEAM-03, SPLIT-01, MODEL-01.
    """
    return full_window_of(situation(tree, hinge, line, wind), options if options is not None else WindowOptions())
