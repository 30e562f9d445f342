"""From the rows of a plan to what the mechanics takes. Values are in SI; the same rows always give the same input."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from jobs.mechanics import hinge, line, restraint, stem, tackle, wind, window
from jobs.mechanics import uncertainty_inputs as spreads
from jobs.mechanics.defaults import (
    BEST_SHEAVE_EFFICIENCY_RATIO,
    PEAK_FORCE_N,
    STEADY_FORCE_N,
    SUSTAINED_FORCE_N,
)
from jobs.mechanics.plan import input as plan_input
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.uncertainty_inputs import Distribution, InputName
from jobs.models import Answer, CrownState, PullPlan, Redirect
from jobs.models.plan import DistanceMethod
from jobs.models.stem import HeightMethod, LeanMethod, Soundness
from jobs.plans.data import Bundle
from jobs.plans.gear_to_mechanics import items, not_used, rope_stretch
from jobs.plans.inputs_at import InputsAt
from jobs.stems.species import Species, find_species

SAMPLES = 10_000
SEED = 1

# Spread by method of measurement, as agreed on paper by practitioners (panel's judgement, mechanics section 11).
ATTACH_SPREAD_M = {
    HeightMethod.CLIMBER: spreads.ATTACH_CLIMBER_M,
    HeightMethod.CLINOMETER: spreads.ATTACH_CLINOMETER_M,
    HeightMethod.STICK: spreads.ATTACH_STICK_M,
}
LEAN_SPREAD_DEG = {LeanMethod.PLUMB: spreads.LEAN_PLUMB_DEG, LeanMethod.PHONE: spreads.LEAN_PHONE_DEG}
ANCHOR_SPREAD_COV: dict[str, float] = {
    DistanceMethod.TAPE: spreads.ANCHOR_TAPE_COV,
    DistanceMethod.PACING: spreads.ANCHOR_PACING_COV,
}
DENSITY_COV = {"species": spreads.DENSITY_SPECIES_COV, "weighed": spreads.DENSITY_WEIGHED_COV}


def to_plan_input(bundle: Bundle, *, with_uncertainty: bool = True) -> PlanInput:
    """What a bundle whose form checks found nothing is worked out from.

    Raises FormatError with the path of the input for an answer that is missing or out of its range all the same.
    """
    plan, at = bundle.plan, InputsAt()
    with at.made():
        return PlanInput(
            tree=tree_of(bundle, at.part("tree")),
            hinge=hinge_of(bundle, at.part("hinge")),
            line=pull_line(bundle, at.part("line")),
            wind=wind_of(bundle, at.part("wind")),
            stages=tuple(stages(plan, at)),
            window=window.WindowOptions(method=at.part("window").word(window.Method, "method", plan.cut_method)),
            people=at.whole("people", plan.haulers),
            sustained_force_n=SUSTAINED_FORCE_N,
            peak_force_n=PEAK_FORCE_N,
            steady_force_n=STEADY_FORCE_N,
            best_sheave_efficiency=best_sheave_efficiency(bundle),
            hitch_spread_deg=at.number("hitch_spread_deg", plan.hitch_spread_deg),
            items=items(bundle, at.part("items")),
            not_used=not_used(bundle, at.part("not_used")),
            tension_gauge=at.word(plan_input.TensionGauge, "tension_gauge", plan.tension_gauge),
            backup_anchor=at.word(plan_input.BackupAnchor, "backup_anchor", plan.backup_anchor),
            wedge_planned=plan.wedge_planned,
            proof_pull_planned=plan.proof_pull_planned,
            side_target=plan.side_target == Answer.YES,
            shock_credible=plan.shock_credible == Answer.YES,
            side_line=side_line(bundle, at.part("side_line")) if plan.side_line else None,
            places=tuple(places(bundle, at)),
            ground_fall_deg=at.number("ground_fall_deg", bundle.stem.ground_fall_deg),
            uncertainty=uncertainty(bundle) if with_uncertainty else None,
            travel=travel_of(bundle, at.part("travel")),
            bollard=bollard(plan, at.part("bollard")),
            restraint=restraint_of(bundle, at.part("restraint")),
        )


def best_sheave_efficiency(bundle: Bundle) -> float:
    """For what a crew could put on: the default, or the high end of what was measured where that is better still."""
    measured = bundle.measured
    return max(BEST_SHEAVE_EFFICIENCY_RATIO, measured.sheave_efficiency_high if measured is not None else 0.0)


def species_of(bundle: Bundle) -> Species:
    species = find_species(bundle.stem.species)
    if species is None:
        raise LookupError(f"there is no species {bundle.stem.species!r}")
    return species


def tree_of(bundle: Bundle, at: InputsAt) -> stem.Tree:
    row, plan = bundle.stem, bundle.plan
    lay_azimuth_deg = at.number("lay_azimuth_deg", plan.lay_azimuth_deg)
    lean_azimuth_deg = row.lean_azimuth_deg if row.lean_azimuth_deg is not None else lay_azimuth_deg
    density_kg_m3 = row.green_density_kg_m3 or species_of(bundle).green_density_kg_m3
    with at.made():
        return stem.Tree(
            sections=tuple(sections(bundle, at)),
            bark_thickness_m=at.number("bark_thickness_m", row.bark_thickness_m),
            green_density_kg_m3=at.number_or_none("green_density_kg_m3", density_kg_m3),
            lean_deg=at.number("lean_deg", row.lean_deg),
            lean_azimuth_deg=at.number("lean_azimuth_deg", lean_azimuth_deg),
            lay_azimuth_deg=lay_azimuth_deg,
            hinge_height_m=at.number("hinge_height_m", plan.hinge_height_m),
            tree_height_m=at.number_or_none("tree_height_m", row.tree_height_m),
            decay=Soundness.UNSOUND in (row.hinge_soundness, row.attachment_soundness),
            crown=tuple(crown(bundle, at)) if row.crown == CrownState.CROWN else (),
        )


def sections(bundle: Bundle, at: InputsAt) -> Iterator[stem.Section]:
    for index, row in enumerate(bundle.sections):
        with at.part(f"sections[{index}]").made():
            yield stem.Section(height_m=row.height_m, diameter_m=row.diameter_m)


def crown(bundle: Bundle, at: InputsAt) -> Iterator[stem.CrownLump]:
    for index, part in enumerate(bundle.crown_parts):
        with at.part(f"crown[{index}]").made():
            yield stem.CrownLump(
                mass_kg=part.mass_kg,
                height_m=part.height_m,
                forward_m=part.forward_m,
                left_m=part.left_m,
                frontal_area_m2=part.frontal_area_m2,
            )


def hinge_of(bundle: Bundle, at: InputsAt) -> hinge.Hinge:
    plan, species = bundle.plan, species_of(bundle)
    with at.made():
        return hinge.Hinge(
            notch_depth_ratio=at.number("notch_depth_ratio", plan.notch_depth_ratio),
            thickness_m=at.number_or_none("thickness_m", plan.hinge_thickness_m),
            width_m=at.number_or_none("width_m", plan.hinge_width_m),
            rupture_modulus_mean_pa=at.number("rupture_modulus_mean_pa", species.rupture_modulus_mean_pa),
            elastic_modulus_mean_pa=species.elastic_modulus_mean_pa,
            shear_strength_mean_pa=species.shear_strength_mean_pa,
            notch_opening_deg=at.number("notch_opening_deg", plan.notch_opening_deg),
            # split-prone by the species' table or by the answer on the form: either is enough
            split_prone=bool(species.split_prone) or bundle.stem.split_prone == Answer.YES,
        )


def wind_of(bundle: Bundle, at: InputsAt) -> wind.Wind:
    gust_m_s = at.number_or_none("gust_m_s", bundle.plan.gust_m_s)
    with at.made():
        return wind.Wind(gust_m_s=gust_m_s, working_limit_m_s=bundle.job.company.wind_stop_m_s)


def pull_line(bundle: Bundle, at: InputsAt) -> line.Line:
    plan, anchor = bundle.plan, at.part("anchor")
    with anchor.made():
        end = line.SitePoint(
            distance_m=anchor.number("distance_m", plan.anchor_distance_m),
            azimuth_deg=anchor.number("azimuth_deg", plan.anchor_azimuth_deg),
            slope_deg=anchor.number("slope_deg", plan.anchor_slope_deg),
            height_m=anchor.number("height_m", plan.anchor_height_m),
        )
    return line.Line(
        attach_height_m=at.number("attach_height_m", plan.attach_height_m),
        sound_wood_height_m=at.number_or_none("sound_wood_height_m", plan.sound_wood_height_m),
        redirects=tuple(redirects(bundle.pull_redirects, at)),
        anchor=end,
    )


def side_line(bundle: Bundle, at: InputsAt) -> line.Line:
    plan, anchor = bundle.plan, at.part("anchor")
    with anchor.made():
        end = line.SitePoint(
            distance_m=anchor.number("distance_m", plan.side_anchor_distance_m),
            azimuth_deg=anchor.number("azimuth_deg", plan.side_anchor_azimuth_deg),
            slope_deg=anchor.number("slope_deg", plan.side_anchor_slope_deg),
            height_m=anchor.number("height_m", plan.side_anchor_height_m),
        )
    return line.Line(
        attach_height_m=at.number("attach_height_m", plan.side_attach_height_m),
        sound_wood_height_m=at.number_or_none("sound_wood_height_m", plan.sound_wood_height_m),
        redirects=tuple(redirects(bundle.side_redirects, at)),
        anchor=end,
    )


def redirects(rows: Iterable[Redirect], at: InputsAt) -> Iterator[line.Redirect]:
    """A block keeps a share of the tension, a ring takes it by friction: one ratio of the row, two of the mechanics."""
    for index, row in enumerate(rows):
        here = at.part(f"redirects[{index}]")
        with here.made():
            turned = line.Redirect(
                distance_m=here.number("distance_m", row.distance_m),
                azimuth_deg=here.number("azimuth_deg", row.azimuth_deg),
                slope_deg=here.number("slope_deg", row.slope_deg),
                height_m=here.number("height_m", row.height_m),
                kind=here.word(line.RedirectKind, "kind", row.kind),
            )
            if row.kind == Redirect.Kind.SHEAVE:
                turned = replace(turned, efficiency=here.number("efficiency", row.friction_ratio))
            else:
                turned = replace(turned, friction_coeff=here.number("friction_coeff", row.friction_ratio))
        yield turned


def stages(plan: PullPlan, at: InputsAt) -> Iterator[tackle.Stage]:
    first = at.part("stages[0]")
    with first.made():
        yield tackle.Stage(
            parts=plan.parts,
            rove=first.word(tackle.Rove, "rove", plan.rove),
            sheave_efficiency=first.number("sheave_efficiency", plan.sheave_efficiency_ratio),
            cleat_on=first.word(tackle.CleatPlace, "cleat_on", plan.cleat_on),
            extended_length_m=first.number_or_none("extended_length_m", plan.extended_length_m),
            two_blocked_length_m=first.number_or_none("two_blocked_length_m", plan.two_blocked_length_m),
            setback_m=first.number_or_none("setback_m", plan.setback_m),
        )
    if plan.has_second_tackle:
        second = at.part("stages[1]")
        yield tackle.Stage(
            parts=second.whole("parts", plan.second_parts),
            rove=second.word(tackle.Rove, "rove", plan.rove),
            sheave_efficiency=second.number("sheave_efficiency", plan.second_efficiency_ratio),
        )


def places(bundle: Bundle, at: InputsAt) -> Iterator[plan_input.Place]:
    for index, row in enumerate(bundle.places):
        here = at.part(f"places[{index}]")
        with here.made():
            yield plan_input.Place(
                place=row.place,
                distance_m=here.number("distance_m", row.distance_m),
                azimuth_deg=here.number("azimuth_deg", row.azimuth_deg),
                exempt=row.is_exempt,
            )


def bollard(plan: PullPlan, at: InputsAt) -> plan_input.PlanBollard:
    with at.made():
        return plan_input.PlanBollard(
            hand_force_n=at.number("hand_force_n", plan.bollard_hand_n),
            wraps=at.number_or_none("wraps", plan.bollard_wraps),
        )


def travel_of(bundle: Bundle, at: InputsAt) -> plan_input.PlanTravel | None:
    """None until the main line hangs in the load path with its own stretch."""
    plan, rope = bundle.plan, rope_stretch(bundle.item_in("main_line"), at.part("rope"))
    if rope is None:
        return None
    with at.made():
        return plan_input.PlanTravel(
            rope=rope,
            slack_m=at.number("slack_m", plan.slack_m),
            extended_length_m=at.number_or_none("extended_length_m", plan.extended_length_m),
            two_blocked_length_m=at.number_or_none("two_blocked_length_m", plan.two_blocked_length_m),
            setback_m=at.number_or_none("setback_m", plan.setback_m),
        )


def restraint_of(bundle: Bundle, at: InputsAt) -> restraint.Restraint | None:
    """None without a restraint in the plan, and until its rope hangs in place with its own stretch."""
    plan = bundle.plan
    rope = rope_stretch(bundle.item_in("restraint_line"), at.part("rope")) if plan.restraint else None
    if rope is None:
        return None
    with at.made():
        return restraint.Restraint(
            mass_kg=at.number("mass_kg", plan.restraint_mass_kg),
            slope_deg=at.number("slope_deg", plan.restraint_slope_deg),
            attachment=at.word(restraint.Attachment, "attachment", plan.restraint_attachment),
            rope=rope,
            length_m=at.number_or_none("length_m", plan.restraint_length_m),
            slack_m=at.number("slack_m", plan.restraint_slack_m),
        )


def uncertainty(bundle: Bundle) -> plan_input.PlanUncertainty:
    return plan_input.PlanUncertainty(samples=SAMPLES, seed=SEED, distributions=distributions(bundle))


def distributions(bundle: Bundle) -> dict[InputName, Distribution]:
    """Spreads by how each figure was obtained; what has no method of its own keeps the model's."""
    row, plan = bundle.stem, bundle.plan
    weighed = "weighed" if row.green_density_kg_m3 else "species"
    distance = plan.anchor_distance_m or math.inf
    distance_cov = ANCHOR_SPREAD_COV.get(plan.anchor_distance_method, spreads.ANCHOR_RANGEFINDER_M / distance)
    return {
        "green_density": Distribution(distribution="normal", cov=DENSITY_COV[weighed]),
        "lean": Distribution(distribution="normal", sd=LEAN_SPREAD_DEG[LeanMethod(row.lean_method)]),
        "attach_height": Distribution(distribution="normal", sd=ATTACH_SPREAD_M[HeightMethod(plan.attach_method)]),
        "anchor_distance": Distribution(distribution="normal", cov=distance_cov),
    }
