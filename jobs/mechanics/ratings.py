"""What an item carries where it stands, and how much of that a load uses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from jobs.mechanics.checks import LARGEST, exceeds, falls_short, require_between, require_not_negative, require_positive
from jobs.mechanics.defaults import (
    BASKET_HALF_ANGLE_DEG,
    CHOKE_ANGLE_DEG,
    CHOKER_RATIO,
    SHOCK_DESIGN_FACTOR,
    SHOCK_LIMIT_SHARE_RATIO,
    SMALL_BEND_RATIO,
    SMALLEST_BEND_RATIO,
    WET_NYLON_RATIO,
)
from jobs.mechanics.errors import Refused
from jobs.mechanics.numeric import Real, min_of, sqrt
from jobs.mechanics.rating_data import CHOKE_STEPS, TERMINATIONS, design_factor
from jobs.mechanics.roles import ITEM_KINDS, ROPE_KINDS

TerminationName = Literal[
    "spliced_eye",
    "sewn_eye",
    "bowline",
    "running_bowline",
    "figure_eight",
    "double_fisherman",
    "timber_hitch",
    "friction_hitch_on_line",
    "none",
]
Configuration = Literal["straight", "basket", "choker"]
Material = Literal["polyester", "nylon", "polypropylene", "polyethylene", "aramid", "steel", "aluminium"]
Gate = Literal["plain", "screw", "auto", "bolt"]
Loaded = Literal["major", "three_way", "across"]

LOCKING_GATES = ("screw", "auto", "bolt")
OMIT = {"omit_none": True}


@dataclass(frozen=True, slots=True)
class Item:
    """A piece of gear or an anchor as it is used in one place.

    Ratings are None where the item has none of that kind. For an anchor the breaking strength is a person's
    estimate of what it bears at most. Bend ratios (D/d) are running bends only.
    """

    kind: str
    working_load_limit_n: float | None = None
    breaking_strength_n: float | None = None
    design_factor: float | None = None
    terminations: tuple[TerminationName, ...] = ()
    bend_ratios: tuple[float, ...] = ()
    vertical_rating_n: float | None = None
    choker_rating_n: float | None = None
    basket_rating_n: float | None = None
    minor_axis_strength_n: float | None = None
    residual_strength_ratio: float = 1.0
    material: Material | None = None
    gate: Gate | None = None
    loaded: Loaded = "major"
    anchor_name: str | None = None
    configuration: Configuration = "straight"
    basket_half_angle_deg: float | None = None
    choke_angle_deg: float = CHOKE_ANGLE_DEG
    inspection_overdue: bool = False
    retired: bool = False

    def __post_init__(self) -> None:
        for name in _RATING_FIELDS:
            require_not_negative(name, getattr(self, name))
        require_between("design_factor", self.design_factor, 1.0, LARGEST)
        require_between("basket_half_angle_deg", self.basket_half_angle_deg, 0.0, 90.0)
        require_between("choke_angle_deg", self.choke_angle_deg, 0.0, 180.0)
        for ratio in self.bend_ratios:
            require_positive("bend_ratios", ratio)


_RATING_FIELDS = (
    "working_load_limit_n",
    "breaking_strength_n",
    "vertical_rating_n",
    "choker_rating_n",
    "basket_rating_n",
    "minor_axis_strength_n",
)


@dataclass(frozen=True, slots=True)
class LoadedItem:
    """An item and the load it carries."""

    item: Item
    load_n: float

    def __post_init__(self) -> None:
        require_not_negative("load_n", self.load_n)


@dataclass(frozen=True, slots=True)
class Capacity:
    """What an item carries: capacity = base x reduction x sling factor."""

    capacity_n: float
    base_capacity_n: float
    reduction_ratio: float
    sling_factor: float


@dataclass(frozen=True, slots=True)
class ItemUtilisation:
    """Load against capacity, or the code it is refused by and nothing else."""

    load_n: float | None = field(default=None, metadata=OMIT)
    capacity_n: float | None = field(default=None, metadata=OMIT)
    base_capacity_n: float | None = field(default=None, metadata=OMIT)
    reduction_ratio: float | None = field(default=None, metadata=OMIT)
    sling_factor: float | None = field(default=None, metadata=OMIT)
    utilisation_ratio: float | None = field(default=None, metadata=OMIT)
    within_capacity: bool | None = field(default=None, metadata=OMIT)
    refused: str | None = field(default=None, metadata=OMIT)


@dataclass(frozen=True, slots=True)
class UtilisationsResult:
    """One entry for each item, in order."""

    items: tuple[ItemUtilisation, ...]


def utilisations(items: Sequence[LoadedItem]) -> UtilisationsResult:
    """Load against capacity of each item; a refused item says so and does not stop the others.

    utilisation = load / capacity
    Range: loads >= 0.
    Source: PRACTICE-02
    """
    return UtilisationsResult(items=tuple(_utilisation(entry) for entry in items))


def _utilisation(entry: LoadedItem) -> ItemUtilisation:
    try:
        rated = capacity(entry.item)
    except Refused as refusal:
        return ItemUtilisation(refused=refusal.code)
    return ItemUtilisation(
        load_n=entry.load_n,
        capacity_n=rated.capacity_n,
        base_capacity_n=rated.base_capacity_n,
        reduction_ratio=rated.reduction_ratio,
        sling_factor=rated.sling_factor,
        utilisation_ratio=entry.load_n / rated.capacity_n,
        within_capacity=not exceeds(entry.load_n, rated.capacity_n),
    )


def capacity(item: Item, *, shock_credible: bool = False) -> Capacity:
    """What an item carries as it is used [N].

    capacity = base x reduction x sling factor; where shock is credible a rope's base is taken down
    Range: a kind of the role list, fit, rated, with a termination where it is a rope. Refuses, in this order:
    item-kind, overdue, retired, connector-gate, connector-cross-loaded, unrated, residual-ratio,
    termination-missing, sheave-too-small, sling-angle.
    Source: PRACTICE-02
    """
    _refuse_unfit(item)
    _refuse_connector(item)
    base_n = _base_capacity(item, shock_credible=shock_credible)
    if not 0 < item.residual_strength_ratio <= 1:
        raise Refused(
            "residual-ratio",
            f"Remaining strength of {item.residual_strength_ratio:g} is not above 0 and at most 1.",
            {"residual_strength_ratio": item.residual_strength_ratio},
        )
    if item.kind in ROPE_KINDS and not any(TERMINATIONS[name].ends_the_rope for name in item.terminations):
        raise Refused("termination-missing", "No knot, splice or sewn eye is entered for the rope's end.")
    reduction = _reduction_ratio(item)
    factor = _sling_factor(item)
    return Capacity(
        capacity_n=base_n * reduction * factor,
        base_capacity_n=base_n,
        reduction_ratio=reduction,
        sling_factor=factor,
    )


def has_small_sheave(item: Item) -> bool:
    """Whether the rope runs over a bend that is allowed but tighter than good practice.

    D/d < 4
    Range: bends of 3 and more; a tighter one is refused by `capacity`.
    Source: PANEL-01
    """
    return any(falls_short(ratio, SMALL_BEND_RATIO) for ratio in item.bend_ratios)


def bend_efficiency(bend_ratio: Real) -> Real:
    """What a running bend leaves of a rope's strength [1].

    1 - 0.5 / sqrt(D/d)
    Range: D/d >= 3; refuses sheave-too-small. From wire-rope practice, conservative for fibre.
    Source: PRACTICE-02
    """
    tightest = min_of(bend_ratio)
    if falls_short(tightest, SMALLEST_BEND_RATIO):
        raise Refused(
            "sheave-too-small",
            f"Bend of {tightest:g} rope diameters; at least {SMALLEST_BEND_RATIO:g} are needed.",
            {"bend_ratio": tightest, "limit_bend_ratio": SMALLEST_BEND_RATIO},
        )
    return 1.0 - 0.5 / sqrt(bend_ratio)


def choke_ratio(choke_angle_deg: float) -> float:
    """Share of a choker's rating left at a choke angle [1].

    1, 0.87, 0.74, 0.62, 0.49 from 120, 90, 60, 30 degrees and below
    Range: 0 to 180 degrees.
    Source: STANDARD-01
    """
    for step in CHOKE_STEPS:
        if not falls_short(choke_angle_deg, step.min_angle_deg):
            return step.remaining_ratio
    return CHOKE_STEPS[-1].remaining_ratio


def _refuse_unfit(item: Item) -> None:
    if item.kind not in ITEM_KINDS:
        raise Refused("item-kind", f"{item.kind!r} is no kind of item.")
    if item.inspection_overdue:
        raise Refused("overdue", "Its inspection is overdue.")
    if item.retired:
        raise Refused("retired", "It was taken out of service.")


def _refuse_connector(item: Item) -> None:
    if item.kind != "connector":
        return
    if item.gate not in LOCKING_GATES:
        gate = "not stated" if item.gate is None else item.gate
        raise Refused("connector-gate", f"Gate: {gate}. Screw, auto-locking or bolted is needed.", {"gate": gate})
    if item.loaded != "major" and item.minor_axis_strength_n is None:
        raise Refused("connector-cross-loaded", "Loaded across, and its strength across is not known.")


def _base_capacity(item: Item, *, shock_credible: bool) -> float:
    printed_n = printed_rating(item)
    limit_n = item.working_load_limit_n
    strength_n = item.breaking_strength_n
    if item.kind == "connector" and item.loaded != "major":
        strength_n = item.minor_axis_strength_n
    factor = item.design_factor or design_factor(item.kind)
    if shock_credible and item.kind in ROPE_KINDS:
        factor = max(factor, SHOCK_DESIGN_FACTOR)
        limit_n = None if limit_n is None else limit_n * SHOCK_LIMIT_SHARE_RATIO
    if printed_n is not None:
        bases = [printed_n]
    else:
        bases = [value for value in (limit_n, None if strength_n is None else strength_n / factor) if value is not None]
    # A rating of nought is no rating; the other one must not stand in for it.
    if not bases or min(bases) <= 0:
        raise Refused("unrated", "Neither working load limit nor breaking strength is known.")
    return min(bases)


def printed_rating(item: Item) -> float | None:
    """Rating printed on a sling's tag for the way it is used [N], or None.

    Range: slings; None for every other kind.
    Source: STANDARD-01
    """
    if item.kind != "sling":
        return None
    if item.configuration == "choker":
        return item.choker_rating_n
    return item.basket_rating_n if item.configuration == "basket" else item.vertical_rating_n


def _reduction_ratio(item: Item) -> float:
    # Knots and bends sit at different points of a rope, so the weakest counts and they are not multiplied.
    points = [TERMINATIONS[name].remaining_ratio for name in item.terminations]
    points += [float(bend_efficiency(ratio)) for ratio in item.bend_ratios]
    wet = WET_NYLON_RATIO if item.material == "nylon" else 1.0
    return min(points, default=1.0) * item.residual_strength_ratio * wet


def _sling_factor(item: Item) -> float:
    if item.kind != "sling" or item.configuration == "straight":
        return 1.0
    is_printed = printed_rating(item) is not None
    if item.configuration == "choker":
        return choke_ratio(item.choke_angle_deg) * (1.0 if is_printed else CHOKER_RATIO)
    half_angle_deg = item.basket_half_angle_deg
    if half_angle_deg is None:
        raise Refused("sling-angle", "The angle of the basket's legs is not given.")
    if exceeds(half_angle_deg, BASKET_HALF_ANGLE_DEG):
        raise Refused(
            "sling-angle",
            f"Basket legs {half_angle_deg:g}° off the line of pull; at most {BASKET_HALF_ANGLE_DEG:g}°.",
            {"angle_deg": half_angle_deg, "limit_deg": BASKET_HALF_ANGLE_DEG},
        )
    return math.cos(math.radians(half_angle_deg)) * (1.0 if is_printed else 2.0)
