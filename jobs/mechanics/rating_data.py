"""Figures of gear that differ between sources: kept as data with their basis, never inside a formula."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.mechanics.defaults import (
    ANCHOR_DESIGN_FACTOR,
    MEMORY,
    PRACTICE,
    ROPE_DESIGN_FACTOR,
    SLING_DESIGN_FACTOR,
    STANDARD,
    Basis,
    record,
)
from jobs.mechanics.roles import ANCHOR_KINDS, GEAR_KINDS


@dataclass(frozen=True, slots=True)
class Termination:
    """What a knot, splice, sewn eye or hitch leaves of a rope's strength, and whether it ends the rope."""

    title: str
    remaining_ratio: float
    ends_the_rope: bool
    basis: Basis
    source: str


@dataclass(frozen=True, slots=True)
class ChokeStep:
    """Share of a choker's rating that is left from this choke angle up."""

    min_angle_deg: float
    remaining_ratio: float
    basis: Basis
    source: str


def _termination(title: str, remaining_ratio: float, ends_the_rope: bool = True) -> Termination:
    return Termination(title, remaining_ratio, ends_the_rope, MEMORY, "PRACTICE-02")


TERMINATIONS: dict[str, Termination] = {
    "spliced_eye": _termination("spliced eye", 0.90),
    "sewn_eye": _termination("sewn eye", 0.90),
    "bowline": _termination("bowline", 0.60),
    "running_bowline": _termination("running bowline", 0.60),
    "figure_eight": _termination("figure of eight", 0.70),
    "double_fisherman": _termination("double fisherman's knot", 0.65),
    "timber_hitch": _termination("timber hitch", 0.65),
    "friction_hitch_on_line": _termination("friction hitch on the line", 0.80, ends_the_rope=False),
    "none": _termination("none", 1.0, ends_the_rope=False),
}

CHOKE_STEPS: tuple[ChokeStep, ...] = (
    ChokeStep(120.0, 1.0, STANDARD, "STANDARD-01"),
    ChokeStep(90.0, 0.87, STANDARD, "STANDARD-01"),
    ChokeStep(60.0, 0.74, STANDARD, "STANDARD-01"),
    ChokeStep(30.0, 0.62, STANDARD, "STANDARD-01"),
    ChokeStep(0.0, 0.49, STANDARD, "STANDARD-01"),
)

for _name, _knot in TERMINATIONS.items():
    if _knot.remaining_ratio < 1.0:
        record(f"knot_{_name}", _knot.remaining_ratio, "of strength", _knot.basis, _knot.title, _knot.source)
for _step in CHOKE_STEPS[1:]:
    _words = f"of a choker's rating, choke angle from {_step.min_angle_deg:g} degrees"
    record(f"choke_from_{_step.min_angle_deg:g}", _step.remaining_ratio, "1", _step.basis, _words, _step.source)

DESIGN_FACTOR_BASIS: Basis = PRACTICE


def design_factor(kind: str) -> float:
    """Breaking strength over working load for a kind of item, where nothing stricter is given [1].

    Range: the kinds of the role list; raises KeyError for any other.
    Source: PRACTICE-02
    """
    return DESIGN_FACTORS[kind]


DESIGN_FACTORS: dict[str, float] = (
    dict.fromkeys(GEAR_KINDS, ROPE_DESIGN_FACTOR)
    | {"sling": SLING_DESIGN_FACTOR}
    | dict.fromkeys(ANCHOR_KINDS, ANCHOR_DESIGN_FACTOR)
)
