"""The bridge from rows to the mechanics: a plan's request as JSON values, the same that `solve_plan` reads."""

import math
from collections.abc import Iterable
from typing import Any

from gear.classes import BY_CODE
from gear.models import GearItem
from jobs.bundle import Bundle
from jobs.mechanics import uncertainty_inputs as spreads
from jobs.mechanics.defaults import (
    BEST_SHEAVE_EFFICIENCY_RATIO,
    PEAK_FORCE_N,
    STEADY_FORCE_N,
    SUSTAINED_FORCE_N,
)
from jobs.models import Answer, Assignment, CrownState, PullPlan, Redirect
from jobs.models.plan import DistanceMethod, Gauge
from jobs.models.stem import HeightMethod, LeanMethod, Soundness
from jobs.species import Species, find_species

SAMPLES = 10_000
SEED = 1

# Spread by method of measurement, as agreed on paper by practitioners (panel's judgement, mechanics section 11).
ATTACH_SPREAD_M = {
    HeightMethod.CLIMBER: spreads.ATTACH_CLIMBER_M,
    HeightMethod.CLINOMETER: spreads.ATTACH_CLINOMETER_M,
    HeightMethod.STICK: spreads.ATTACH_STICK_M,
}
LEAN_SPREAD_DEG = {LeanMethod.PLUMB: spreads.LEAN_PLUMB_DEG, LeanMethod.PHONE: spreads.LEAN_PHONE_DEG}
ANCHOR_SPREAD_COV = {
    DistanceMethod.TAPE: spreads.ANCHOR_TAPE_COV,
    DistanceMethod.PACING: spreads.ANCHOR_PACING_COV,
}
DENSITY_COV = {"species": spreads.DENSITY_SPECIES_COV, "weighed": spreads.DENSITY_WEIGHED_COV}

# The store's materials as the mechanics names them; what has no rule of its own there is sent without one.
MATERIALS_SENT = {"aramid_polyester": "aramid", "stainless_steel": "steel", "wire": "steel", "natural_fibre": None}

# People's forces, from memory (mechanics section 7): sent with every request, so that the sheet can show them.
PEOPLE = {
    "sustained_force_n": SUSTAINED_FORCE_N,
    "peak_force_n": PEAK_FORCE_N,
    "steady_force_n": STEADY_FORCE_N,
    "best_sheave_efficiency": BEST_SHEAVE_EFFICIENCY_RATIO,
}


def plan_request(bundle: Bundle, *, with_uncertainty: bool = True) -> dict[str, Any]:
    """The `plan` request of a bundle whose form checks found nothing.

    Values are in SI; keys are those of the JSON interface. The same bundle always gives the same request.
    """
    plan = bundle.plan
    request: dict[str, Any] = {
        "tree": tree(bundle),
        "hinge": hinge(bundle),
        "line": line(plan, bundle.pull_redirects),
        "wind": {"gust_m_s": plan.gust_m_s, "working_limit_m_s": bundle.job.company.wind_stop_m_s},
        "stages": stages(plan),
        "window": {"method": plan.cut_method},
        "people": plan.haulers,
        **PEOPLE,
        "best_sheave_efficiency": best_sheave_efficiency(bundle),
        "hitch_spread_deg": plan.hitch_spread_deg,
        "items": items(bundle),
        "not_used": {a.role: a.not_used for a in bundle.in_place().values() if a.not_used},
        "tension_gauge": plan.tension_gauge,
        "backup_anchor": plan.backup_anchor,
        "wedge_planned": plan.wedge_planned,
        "proof_pull_planned": plan.proof_pull_planned,
        "side_target": plan.side_target == Answer.YES,
        "shock_credible": plan.shock_credible == Answer.YES,
        "places": [
            {"place": p.place, "distance_m": p.distance_m, "azimuth_deg": p.azimuth_deg, "exempt": p.is_exempt}
            for p in bundle.places
        ],
        "ground_fall_deg": bundle.stem.ground_fall_deg,
        "bollard": without_none({"hand_force_n": plan.bollard_hand_n, "wraps": plan.bollard_wraps}),
    }
    if plan.side_line:
        request["side_line"] = side_line(plan, bundle.side_redirects)
    add_ropes(request, bundle)
    if with_uncertainty:
        request["uncertainty"] = {"samples": SAMPLES, "seed": SEED, "distributions": distributions(bundle)}
    return request


def best_sheave_efficiency(bundle: Bundle) -> float:
    """For what a crew could put on: the default, or the high end of what was measured where that is better still."""
    measured = bundle.measured
    return max(PEOPLE["best_sheave_efficiency"], measured.sheave_efficiency_high if measured is not None else 0.0)


def without_none(values: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value is not None}


def species_of(bundle: Bundle) -> Species:
    species = find_species(bundle.stem.species)
    if species is None:
        raise LookupError(f"there is no species {bundle.stem.species!r}")
    return species


def tree(bundle: Bundle) -> dict[str, Any]:
    stem, plan = bundle.stem, bundle.plan
    unsound = Soundness.UNSOUND in (stem.hinge_soundness, stem.attachment_soundness)
    described: dict[str, Any] = {
        "sections": [{"height_m": s.height_m, "diameter_m": s.diameter_m} for s in bundle.sections],
        "bark_thickness_m": stem.bark_thickness_m,
        "green_density_kg_m3": stem.green_density_kg_m3 or species_of(bundle).green_density_kg_m3,
        "lean_deg": stem.lean_deg,
        "lean_azimuth_deg": stem.lean_azimuth_deg if stem.lean_azimuth_deg is not None else plan.lay_azimuth_deg,
        "lay_azimuth_deg": plan.lay_azimuth_deg,
        "hinge_height_m": plan.hinge_height_m,
        "tree_height_m": stem.tree_height_m,
        "decay": unsound,
    }
    if stem.crown == CrownState.CROWN:
        described["crown"] = [
            {
                "mass_kg": part.mass_kg,
                "height_m": part.height_m,
                "forward_m": part.forward_m,
                "left_m": part.left_m,
                "frontal_area_m2": part.frontal_area_m2,
            }
            for part in bundle.crown_parts
        ]
    return described


def hinge(bundle: Bundle) -> dict[str, Any]:
    plan, species = bundle.plan, species_of(bundle)
    split_prone = species.split_prone if species.split_prone is not None else bundle.stem.split_prone == Answer.YES
    return without_none(
        {
            "notch_depth_ratio": plan.notch_depth_ratio,
            "thickness_m": plan.hinge_thickness_m,
            "width_m": plan.hinge_width_m,
            "rupture_modulus_mean_pa": species.rupture_modulus_mean_pa,
            "elastic_modulus_mean_pa": species.elastic_modulus_mean_pa,
            "shear_strength_mean_pa": species.shear_strength_mean_pa,
            "notch_opening_deg": plan.notch_opening_deg,
            # split-prone by the species' table or by the answer on the form: either is enough
            "split_prone": split_prone or bundle.stem.split_prone == Answer.YES,
        }
    )


def line(plan: PullPlan, redirects: Iterable[Redirect]) -> dict[str, Any]:
    return {
        "attach_height_m": plan.attach_height_m,
        "sound_wood_height_m": plan.sound_wood_height_m,
        "redirects": [redirect(r) for r in redirects],
        "anchor": {
            "distance_m": plan.anchor_distance_m,
            "azimuth_deg": plan.anchor_azimuth_deg,
            "slope_deg": plan.anchor_slope_deg,
            "height_m": plan.anchor_height_m,
        },
    }


def side_line(plan: PullPlan, redirects: Iterable[Redirect]) -> dict[str, Any]:
    return {
        "attach_height_m": plan.side_attach_height_m,
        "sound_wood_height_m": plan.sound_wood_height_m,
        "redirects": [redirect(r) for r in redirects],
        "anchor": {
            "distance_m": plan.side_anchor_distance_m,
            "azimuth_deg": plan.side_anchor_azimuth_deg,
            "slope_deg": plan.side_anchor_slope_deg,
            "height_m": plan.side_anchor_height_m,
        },
    }


def redirect(row: Redirect) -> dict[str, Any]:
    friction = "efficiency" if row.kind == Redirect.Kind.SHEAVE else "friction_coeff"
    return {
        "distance_m": row.distance_m,
        "azimuth_deg": row.azimuth_deg,
        "slope_deg": row.slope_deg,
        "height_m": row.height_m,
        "kind": row.kind,
        friction: row.friction_ratio,
    }


def stages(plan: PullPlan) -> list[dict[str, Any]]:
    first = {
        "parts": plan.parts,
        "rove": plan.rove,
        "sheave_efficiency": plan.sheave_efficiency_ratio,
        "cleat_on": plan.cleat_on,
        "extended_length_m": plan.extended_length_m,
        "two_blocked_length_m": plan.two_blocked_length_m,
        "setback_m": plan.setback_m,
    }
    if not plan.has_second_tackle:
        return [first]
    return [first, {"parts": plan.second_parts, "rove": plan.rove, "sheave_efficiency": plan.second_efficiency_ratio}]


def rope_stretch(item: GearItem | None) -> dict[str, Any] | None:
    """Strength and stretch of a rope for the travel and the restraint; None while the maker's figures are missing."""
    if item is None or None in (item.breaking_strength_n, item.reference_elongation_ratio, item.reference_load_ratio):
        return None
    return {
        "breaking_strength_n": item.breaking_strength_n,
        "reference_elongation_ratio": item.reference_elongation_ratio,
        "reference_load_ratio": item.reference_load_ratio,
    }


def add_ropes(request: dict[str, Any], bundle: Bundle) -> None:
    """Travel and restraint need a rope's own stretch, so they wait for the rope in the load path."""
    plan = bundle.plan
    main = rope_stretch(bundle.item_in("main_line"))
    if main is not None:
        request["travel"] = {
            "rope": main,
            "slack_m": plan.slack_m,
            "extended_length_m": plan.extended_length_m,
            "two_blocked_length_m": plan.two_blocked_length_m,
            "setback_m": plan.setback_m,
        }
    held = rope_stretch(bundle.item_in("restraint_line"))
    if plan.restraint and held is not None:
        request["restraint"] = {
            "mass_kg": plan.restraint_mass_kg,
            "slope_deg": plan.restraint_slope_deg,
            "attachment": plan.restraint_attachment,
            "rope": held,
            "length_m": plan.restraint_length_m,
            "slack_m": plan.restraint_slack_m,
        }


def items(bundle: Bundle) -> dict[str, dict[str, Any]]:
    """What hangs in each position. Fitness is judged apart, so that an unfit item still shows its load."""
    return {
        role: anchor_item(assignment) if assignment.anchor is not None else gear_item(bundle, assignment)
        for role, assignment in bundle.in_place().items()
        if assignment.anchor is not None or assignment.item is not None
    }


def anchor_item(assignment: Assignment) -> dict[str, Any]:
    anchor = assignment.anchor
    assert anchor is not None  # noqa: S101 - the caller looked
    return {"kind": anchor.kind, "breaking_strength_n": anchor.estimate_n, "anchor_name": anchor.name}


def gear_item(bundle: Bundle, assignment: Assignment) -> dict[str, Any]:
    item = assignment.item
    assert item is not None  # noqa: S101 - the caller looked
    described = {
        "kind": BY_CODE[item.gear_class].kind,
        "working_load_limit_n": item.working_load_limit_n,
        "breaking_strength_n": item.breaking_strength_n,
        "design_factor": item.design_factor,
        "terminations": list(item.terminations) or None,
        "bend_ratios": list(bend_ratios(bundle, assignment.role, item)) or None,
        "vertical_rating_n": item.vertical_rating_n,
        "choker_rating_n": item.choker_rating_n,
        "basket_rating_n": item.basket_rating_n,
        "minor_axis_strength_n": item.minor_axis_strength_n,
        "residual_strength_ratio": item.residual_strength_ratio,
        "material": MATERIALS_SENT.get(item.material, item.material or None),
        "gate": item.gate or None,
        "loaded": assignment.loaded,
        "configuration": assignment.configuration or None,
        "basket_half_angle_deg": assignment.basket_half_angle_deg,
        "choke_angle_deg": assignment.choke_angle_deg,
    }
    return without_none(described)


def bend_ratios(bundle: Bundle, role: str, item: GearItem) -> Iterable[float]:
    """D/d at each sheave or drum the rope runs over in this plan, where both sizes are known."""
    hosts = {
        "tackle_rope": ("moving_block", "fixed_block"),
        "main_line": ("bollard", *(f"redirect_block_{r.number}" for r in bundle.pull_redirects)),
        "side_line": ("side_bollard", *(f"side_redirect_block_{r.number}" for r in bundle.side_redirects)),
        "restraint_line": ("restraint_bollard",),
    }.get(role, ())
    for host_role in hosts:
        host = bundle.item_in(host_role)
        if host is not None and host.sheave_diameter_mm and item.diameter_mm:
            yield host.sheave_diameter_mm / item.diameter_mm


def distributions(bundle: Bundle) -> dict[str, dict[str, Any]]:
    """Spreads by how each figure was obtained; what has no method of its own keeps the model's."""
    stem, plan = bundle.stem, bundle.plan
    weighed = "weighed" if stem.green_density_kg_m3 else "species"
    distance = plan.anchor_distance_m or math.inf
    distance_cov = ANCHOR_SPREAD_COV.get(plan.anchor_distance_method, spreads.ANCHOR_RANGEFINDER_M / distance)  # type: ignore[call-overload]
    return {
        "green_density": {"distribution": "normal", "cov": DENSITY_COV[weighed]},
        "lean": {"distribution": "normal", "sd": LEAN_SPREAD_DEG[LeanMethod(stem.lean_method)]},
        "attach_height": {"distribution": "normal", "sd": ATTACH_SPREAD_M[HeightMethod(plan.attach_method)]},
        "anchor_distance": {"distribution": "normal", "cov": distance_cov},
    }


def has_gauge(plan: PullPlan) -> bool:
    return plan.tension_gauge != Gauge.NONE
