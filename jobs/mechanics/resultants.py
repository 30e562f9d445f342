"""Forces where lines meet: on a turned rope's block and in the legs of a hitch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Literal

from jobs.mechanics.checks import require_between, require_not_negative, require_positive
from jobs.mechanics.defaults import HITCH_SPREAD_DEG
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.numeric import Real, cos, max_of, min_of, radians, sqrt
from jobs.mechanics.ratings import bend_efficiency


@dataclass(frozen=True, slots=True)
class ResultantItem:
    """One question; which of the other fields it needs depends on `what`."""

    what: Literal["resultant", "hitch_leg", "bend_efficiency"]
    tension_1_n: float | None = None
    tension_2_n: float | None = None
    included_angle_deg: float | None = None
    tension_n: float | None = None
    spread_deg: float | None = None
    bend_ratio: float | None = None

    def __post_init__(self) -> None:
        needed = _NEEDED[self.what]
        for entry in fields(self)[1:]:
            value = getattr(self, entry.name)
            if (value is None) == (entry.name in needed):
                raise OutOfRange(entry.name, value, *(("a value",) * 2 if value is None else ("nothing",) * 2))


_NEEDED = {
    "resultant": ("tension_1_n", "tension_2_n", "included_angle_deg"),
    "hitch_leg": ("tension_n", "spread_deg"),
    "bend_efficiency": ("bend_ratio",),
}


@dataclass(frozen=True, slots=True)
class ResultantsResult:
    """One value for each question, in order: N, N and a ratio."""

    values: tuple[float, ...]


def two_force_resultant(force_1_n: Real, force_2_n: Real, included_rad: Real) -> Real:
    """Length of the sum of two forces with an angle between them [N].

    sqrt(F1^2 + F2^2 + 2 F1 F2 cos a) = sqrt((F1 - F2)^2 + 4 F1 F2 cos^2(a/2)); in the second form nothing cancels
    Range: forces >= 0 N, any angle.
    Source: STATICS-02
    """
    half = cos(0.5 * included_rad)
    return sqrt((force_1_n - force_2_n) ** 2 + 4.0 * force_1_n * force_2_n * half * half)


def resultant(tension_1_n: Real, tension_2_n: Real, included_angle_deg: Real) -> Real:
    """Force two legs of a line put on the block they leave [N].

    F = sqrt(T1^2 + T2^2 + 2 T1 T2 cos(included angle))
    Range: tensions >= 0, angle 0 (legs parallel) to 180 degrees (line straight).
    Source: STATICS-02
    """
    for bound in (min_of, max_of):
        require_not_negative("tension_1_n", bound(tension_1_n))
        require_not_negative("tension_2_n", bound(tension_2_n))
        require_between("included_angle_deg", bound(included_angle_deg), 0.0, 180.0)
    return two_force_resultant(tension_1_n, tension_2_n, radians(included_angle_deg))


def hitch_leg(tension_n: Real, spread_deg: Real) -> Real:
    """Tension in each of the two legs between a hitch and its connector [N].

    T / (2 cos(spread / 2))
    Range: spread 0 to under 120 degrees; refuses hitch-spread.
    Source: STATICS-02
    """
    for bound in (min_of, max_of):
        require_not_negative("tension_n", bound(tension_n))
        require_not_negative("spread_deg", bound(spread_deg))
    widest = max_of(spread_deg)
    if widest >= HITCH_SPREAD_DEG:
        raise Refused(
            "hitch-spread",
            f"Legs of the hitch {widest:g}° apart; under {HITCH_SPREAD_DEG:g}° is needed.",
            {"angle_deg": widest, "limit_deg": HITCH_SPREAD_DEG},
        )
    return tension_n / (2 * cos(0.5 * radians(spread_deg)))


def resultants(items: Sequence[ResultantItem]) -> ResultantsResult:
    """Answers to questions on forces where lines meet and on bends, in order; the first refusal stops them all.

    Range: as the single functions; refuses hitch-spread, sheave-too-small.
    Source: STATICS-02
    """
    return ResultantsResult(values=tuple(_answer(item) for item in items))


def _answer(item: ResultantItem) -> float:
    # Which fields are there was checked when the item was made; "or 0.0" only tells the type checker so.
    if item.what == "resultant":
        return float(resultant(item.tension_1_n or 0.0, item.tension_2_n or 0.0, item.included_angle_deg or 0.0))
    if item.what == "hitch_leg":
        return float(hitch_leg(item.tension_n or 0.0, item.spread_deg or 0.0))
    require_positive("bend_ratio", item.bend_ratio)
    return float(bend_efficiency(item.bend_ratio or 0.0))
