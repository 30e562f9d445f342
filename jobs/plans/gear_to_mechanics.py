"""From what hangs in the load path to the items the mechanics takes."""

from collections.abc import Iterator
from dataclasses import replace

from gear.catalogue.classes import BY_CODE
from gear.models import GearItem
from jobs.mechanics import ratings
from jobs.mechanics.convert import FormatError, from_json
from jobs.mechanics.roles import find_role
from jobs.mechanics.travel import RopeStretch
from jobs.models import Anchor, Assignment
from jobs.plans.data import PlanData
from jobs.plans.inputs_at import InputsAt

# The store's materials as the mechanics names them; what has no rule of its own there goes without one.
MATERIALS_SENT = {"aramid_polyester": "aramid", "stainless_steel": "steel", "wire": "steel", "natural_fibre": None}


def items(plan_data: PlanData, at: InputsAt) -> dict[str, ratings.Item]:
    """What hangs in each position. Fitness is judged apart, so that an unfit item still shows its load."""
    hung: dict[str, ratings.Item] = {}
    for role, assignment in plan_data.in_place().items():
        if assignment.anchor is not None:
            hung[known(role, at)] = anchor_item(assignment.anchor, at.part(role))
        elif assignment.item is not None:
            hung[known(role, at)] = gear_item(plan_data, assignment)
    return hung


def not_used(plan_data: PlanData, at: InputsAt) -> dict[str, str]:
    """Why a position stays empty, by its role."""
    return {known(a.role, at): a.not_used for a in plan_data.in_place().values() if a.not_used}


def known(role: str, at: InputsAt) -> str:
    if find_role(role) is None:
        raise FormatError("unknown key", f"{at.path}.{role}")
    return role


def anchor_item(anchor: Anchor, at: InputsAt) -> ratings.Item:
    with at.made():
        return ratings.Item(kind=anchor.kind, breaking_strength_n=anchor.estimate_n, anchor_name=anchor.name)


def gear_item(plan_data: PlanData, assignment: Assignment) -> ratings.Item:
    """The item of an assignment as it is used there.

    Raises FormatError for figures that the mechanics does not take, LookupError where no item hangs.
    """
    item = assignment.item
    if item is None:
        raise LookupError(f"no item hangs at {assignment.role}")
    at = InputsAt(f"inputs.items.{assignment.role}")
    terminations = list(item.terminations)
    with at.made():
        used = ratings.Item(
            kind=BY_CODE[item.gear_class].kind,
            working_load_limit_n=item.working_load_limit_n,
            breaking_strength_n=item.breaking_strength_n,
            design_factor=item.design_factor,
            terminations=from_json(tuple[ratings.TerminationName, ...], terminations, f"{at.path}.terminations"),
            bend_ratios=tuple(bend_ratios(plan_data, assignment.role, item)),
            vertical_rating_n=item.vertical_rating_n,
            choker_rating_n=item.choker_rating_n,
            basket_rating_n=item.basket_rating_n,
            minor_axis_strength_n=item.minor_axis_strength_n,
            material=at.word(
                ratings.Material | None, "material", MATERIALS_SENT.get(item.material, item.material or None)
            ),
            gate=at.word(ratings.Gate | None, "gate", item.gate or None),
            loaded=at.word(ratings.Loaded, "loaded", assignment.loaded),
            basket_half_angle_deg=assignment.basket_half_angle_deg,
        )
        if item.residual_strength_ratio is not None:
            used = replace(used, residual_strength_ratio=item.residual_strength_ratio)
        if assignment.configuration:
            how = at.word(ratings.Configuration, "configuration", assignment.configuration)
            used = replace(used, configuration=how)
        if assignment.choke_angle_deg is not None:
            used = replace(used, choke_angle_deg=assignment.choke_angle_deg)
    return used


def bend_ratios(plan_data: PlanData, role: str, item: GearItem) -> Iterator[float]:
    """D/d at each sheave or drum the rope runs over in this plan, where both sizes are known."""
    hosts = {
        "tackle_rope": ("moving_block", "fixed_block"),
        "main_line": ("bollard", *(f"redirect_block_{r.number}" for r in plan_data.pull_redirects)),
        "side_line": ("side_bollard", *(f"side_redirect_block_{r.number}" for r in plan_data.side_redirects)),
        "restraint_line": ("restraint_bollard",),
    }.get(role, ())
    for host_role in hosts:
        host = plan_data.item_in(host_role)
        if host is not None and host.sheave_diameter_mm and item.diameter_mm:
            yield host.sheave_diameter_mm / item.diameter_mm


def knows_stretch(item: GearItem) -> bool:
    """Whether the maker's figures that a rope's stretch follows from are entered."""
    return None not in (item.breaking_strength_n, item.reference_elongation_ratio, item.reference_load_ratio)


def rope_stretch(item: GearItem | None, at: InputsAt) -> RopeStretch | None:
    """Strength and stretch of a rope for the travel and the restraint; None while the maker's figures are missing."""
    if (
        item is None
        or item.breaking_strength_n is None
        or item.reference_elongation_ratio is None
        or item.reference_load_ratio is None
    ):
        return None
    with at.made():
        return RopeStretch(
            breaking_strength_n=item.breaking_strength_n,
            reference_elongation_ratio=item.reference_elongation_ratio,
            reference_load_ratio=item.reference_load_ratio,
        )
