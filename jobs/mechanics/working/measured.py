"""Working of a measured efficiency, and of a question asked backwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from jobs.mechanics.defaults import CONFIDENCE
from jobs.mechanics.inverse import LeastResult, Tried
from jobs.mechanics.measured import MeasuredResult, measured_efficiency
from jobs.mechanics.tackle import Rove
from jobs.mechanics.working.line import WorkingLine
from jobs.mechanics.working.rows import Put, Rests, Row, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Pairs of readings and what they came to."""

    result: MeasuredResult
    parts: int
    pairs: int
    confidence_ratio: float


COUNT: Final = (Put[Measured]("n", "1", lambda m: m.parts), Put[Measured]("N", "1", lambda m: m.pairs))
SPREAD: Final = (
    *COUNT,
    Put[Measured]("s", "1", lambda m: m.result.log_sd),
    Put[Measured]("confidence", "1", lambda m: m.confidence_ratio),
)
CHOSEN: Final = (Rests[Measured]("confidence", lambda m: m.confidence_ratio),)

MEASURED: Final = Table[Measured]("Measured efficiency", (
    Row("MA", "Advantage as measured", "exp(mean of ln(line / hand))", "1",
        source="STAT-03", result=lambda m: m.result.advantage, terms=COUNT,
        explains=("measured_efficiency.advantage",)),
    Row("s", "Spread of the readings", "standard deviation of ln(line / hand)", "1",
        source="STAT-03", result=lambda m: m.result.log_sd, terms=COUNT, explains=("measured_efficiency.log_sd",)),
    Row("eta", "Efficiency of a sheave", "eta such that MA_haul(eta) = MA, the same for all sheaves", "1",
        source="TACKLE-01", result=lambda m: m.result.sheave_efficiency,
        terms=(*COUNT, Put("MA", "1", lambda m: m.result.advantage)),
        explains=("measured_efficiency.sheave_efficiency",)),
    Row("eta_lo", "Low end", "eta such that MA_haul(eta) = MA exp(-t s / sqrt(N)), the same for all sheaves", "1",
        source="STAT-03", result=lambda m: m.result.sheave_efficiency_low, terms=SPREAD, rests=CHOSEN,
        explains=("measured_efficiency.sheave_efficiency_low",)),
    Row("eta_hi", "High end, at most 1",
        "eta such that MA_haul(eta) = MA exp(t s / sqrt(N)), the same for all sheaves", "1",
        source="STAT-03", result=lambda m: m.result.sheave_efficiency_high, terms=SPREAD, rests=CHOSEN,
        explains=("measured_efficiency.sheave_efficiency_high",)),
    Row("eta_hi capped", "High end cut off at 1", "1 if MA exp(t s / sqrt(N)) > n, else 0", "1",
        source="STAT-03", result=lambda m: float(m.result.high_is_capped), terms=SPREAD, rests=CHOSEN,
        explains=("measured_efficiency.high_is_capped",)),
))  # fmt: skip


def measured_lines(
    parts: int, rove: Rove, readings_n: Sequence[tuple[float, float]], *, confidence_ratio: float = CONFIDENCE
) -> tuple[WorkingLine, ...]:
    """How pairs of readings come to an advantage, an efficiency and its interval.

    Range: as measured_efficiency.
    Source: STAT-03
    """
    result = measured_efficiency(parts, rove, readings_n, confidence_ratio=confidence_ratio)
    about = Measured(result=result, parts=parts, pairs=len(readings_n), confidence_ratio=confidence_ratio)
    return tuple(MEASURED.lines(about))


def least_lines(result: LeastResult) -> tuple[WorkingLine, ...]:
    """How the answer of a question asked backwards was found; none where there is no answer.

    Range: results of least.
    Source: MODEL-01
    """
    if result.value is None:
        return ()
    row = Row[LeastResult](
        "value",
        "First value of the grid with which the plan passes",
        "value = first of the grid with no fail code; a refusal counts as not passing",
        "1",
        source="MODEL-01",
        result=lambda found: found.value,
        terms=tuple(_passes(tried) for tried in result.neighbours),
        explains=("least.value",),
    )
    return tuple(Table("Find limits", (row,)).lines(result))


def _passes(tried: Tried) -> Put[LeastResult]:
    return Put(f"passes({tried.value:g})", "1", lambda _: float(tried.passes))
