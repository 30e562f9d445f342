"""The figures a reading is set against: worked out when a sheet is issued, read back from its snapshot."""

import dataclasses
from collections.abc import Iterator

from jobs.mechanics.convert import FormatError
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.plan import plan as solve_plan
from jobs.mechanics.plan.result import GaugeBand, PlanResult, PlanWorking
from jobs.mechanics.window import WindowResult
from jobs.models import ReadingKind
from jobs.models.snapshot_json import LimitsJson, SnapshotJson
from jobs.plans.request_json import read_request
from jobs.plans.tolerances import Envelope
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


def limits_as_json(limits: Limits) -> LimitsJson:
    return {kind: dataclasses.asdict(each) for kind, each in limits.items()}


def limits_in(snapshot: SnapshotJson) -> Limits:
    """Limits of an issued sheet. Of one issued before they were kept, they are worked out anew from what was: the plan
    as written, its governing corner, and the band at the stem that every corner allows. Empty for a request that this
    version of the mechanics does not read.
    """
    kept = snapshot.get("reading_limits")
    if kept is not None:
        return {kind: PlaceLimits(**each) for kind, each in kept.items()}
    try:
        results = [solve_plan(read_request(each)) for each in (snapshot["request"], snapshot["as_written"]) if each]
    except (Refused, FormatError, OutOfRange):
        return {}
    worked = limits_from(results[0], tuple(results)) if results else {}
    return narrowed(worked, results, snapshot["band_n"]) if worked and snapshot.get("band_n") else worked


def narrowed(limits: Limits, results: list[PlanResult], band_n: dict[str, float]) -> Limits:
    """Limits no wider than a band at the stem [N], as each place reads its own."""
    workings = [each.working for each in results if each.working is not None]
    read = {
        ReadingKind.LINE.value: [(each.window, each.line_band_n) for each in workings],
        ReadingKind.HAND.value: [(each.window, each.hand_band_n) for each in workings],
    }
    return {
        kind: dataclasses.replace(
            place,
            least_n=max([place.least_n, *(band_n["lowest"] * ratio for ratio in least_ratios(read[kind]))]),
            most_n=min([place.most_n, *(band_n["highest"] * ratio for ratio in most_ratios(read[kind]))]),
        )
        for kind, place in limits.items()
    }


Read = list[tuple[WindowResult, GaugeBand]]


def least_ratios(read: Read) -> Iterator[float]:
    """What a place shows for the least at the stem; a stem that needs no pull to stand tells nothing."""
    return (band.lowest / window.lowest_tension_n for window, band in read if window.lowest_tension_n > 0)


def most_ratios(read: Read) -> Iterator[float]:
    return (band.highest / window.highest_tension_n for window, band in read if window.highest_tension_n > 0)
