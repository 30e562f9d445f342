"""One reading against the figures of an issued sheet. Standard library only."""

from dataclasses import dataclass
from typing import Literal

JudgementKey = Literal["above", "below", "in", "none"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceLimits:
    """What a cell in one place may show [N]: before the cut from `least_n` to `most_n`, at the proof pull from
    `proof_n` to `proof_most_n`, while the stem is pulled over up to `full_n`.
    """

    least_n: float
    most_n: float
    proof_n: float
    proof_most_n: float
    full_n: float


@dataclass(frozen=True, slots=True)
class Judgement:
    """Where a reading lies, the limit it is set against [N], and what to do, in words without figures."""

    key: JudgementKey
    limit_n: float | None
    against: str
    action: str


SLACK_OFF = "Slack off. Nobody cuts."
HAUL_ON = "Haul on. Nobody cuts."


def judge(moment: str, force_n: float, limits: PlaceLimits) -> Judgement:
    """Judge a reading of one place by the moment of the work it was taken at; a value on its limit is within.

    What is read at another time is held against the maximum before the cut alone: the saw may not have begun.
    """
    if moment == "proof":
        return between(
            force_n,
            (limits.proof_n, "the proof pull", "The rig is not proved yet. Haul on, nobody near the line."),
            (limits.proof_most_n, "the most a proof pull may be", "Slack off and look over stem, anchors and gear."),
        )
    if moment == "full_pull":
        above = (limits.full_n, "the full pull the gear was checked for", "Stop hauling. Hold on the bollard.")
        return between(force_n, None, above)
    above = (limits.most_n, "the maximum before the cut", SLACK_OFF)
    if moment == "pre_tension":
        return between(force_n, (limits.least_n, "the least before the cut", HAUL_ON), above)
    return between(force_n, None, above)


Bound = tuple[float, str, str]  # limit [N], what it is, what to do past it


def between(force_n: float, low: Bound | None, high: Bound) -> Judgement:
    if force_n > high[0]:
        return Judgement("above", *high)
    if low is not None and force_n < low[0]:
        return Judgement("below", *low)
    return Judgement("in", high[0], high[1], "")
