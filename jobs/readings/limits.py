"""The figures a reading is set against: worked out when a sheet is issued, read back from its snapshot."""

import dataclasses
from typing import Any

from jobs.envelope import Envelope, solve
from jobs.mechanics.plan_result import GaugeBand, PlanResult, PlanWorking
from jobs.models import ReadingKind
from jobs.readings.rules import PlaceLimits

Limits = dict[str, PlaceLimits]


def limits_of(result: PlanResult, envelope: Envelope) -> Limits:
    """Limits of both places, in the figures that the sheet prints; empty for a plan without its working."""
    return limits_from(result, tuple(envelope.results()))


def limits_from(result: PlanResult, corners: tuple[PlanResult, ...]) -> Limits:
    workings = [each.working for each in corners if each.working is not None]
    if result.working is None or not workings:
        return {}
    best = result.working.crew.best_advantage
    line = place_limits(
        bands=[each.line_band_n for each in workings],
        proof_n=result.proof_tension_n,
        proof_most_n=result.proof_tension_limit_n,
        full_n=result.tackle_tension_n,
    )
    hand = place_limits(
        bands=[each.hand_band_n for each in workings],
        proof_n=on_the_tail(result.working, result.proof_tension_n),
        proof_most_n=result.proof_tension_limit_n / best,
        full_n=result.hauling_force_n,
    )
    return {ReadingKind.LINE.value: line, ReadingKind.HAND.value: hand}


def on_the_tail(working: PlanWorking, tension_n: float) -> float:
    """Pull on the tail for a tension at the tackle [N], with the sheaves the plan is worked for."""
    return tension_n / working.tackle.hauling_advantage


def place_limits(*, bands: list[GaugeBand], proof_n: float, proof_most_n: float, full_n: float) -> PlaceLimits:
    """The band that every corner allows, and the pulls of the governing one."""
    return PlaceLimits(
        least_n=max(band.lowest for band in bands),
        most_n=min(band.highest for band in bands),
        proof_n=proof_n,
        proof_most_n=proof_most_n,
        full_n=full_n,
    )


def limits_as_json(limits: Limits) -> dict[str, dict[str, float]]:
    return {kind: dataclasses.asdict(each) for kind, each in limits.items()}


def limits_in(snapshot: dict[str, Any]) -> Limits:
    """Limits of an issued sheet. Of one issued before they were kept, they are worked out anew from what was: the plan
    as written and its governing corner, for the other corners are not in the snapshot.
    """
    kept = snapshot.get("reading_limits")
    if kept is not None:
        return {kind: PlaceLimits(**each) for kind, each in kept.items()}
    results = [solve(snapshot[name]) for name in ("request", "as_written") if snapshot.get(name)]
    return limits_from(results[0], tuple(results)) if results else {}
