"""Working of a measured efficiency, and of a question asked backwards."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.mechanics.defaults import CONFIDENCE
from jobs.mechanics.inverse import LeastResult
from jobs.mechanics.measured import measured_efficiency
from jobs.mechanics.tackle import Rove
from jobs.mechanics.working.line import WorkingLine, working_line

MEASURED, ASKED = "Measured efficiency", "Asked backwards"


def measured_lines(
    parts: int, rove: Rove, readings_n: Sequence[tuple[float, float]], *, confidence_ratio: float = CONFIDENCE
) -> tuple[WorkingLine, ...]:
    """How pairs of readings come to an advantage, an efficiency and its interval.

    Range: as measured_efficiency.
    Source: STAT-03
    """
    result = measured_efficiency(parts, rove, readings_n, confidence_ratio=confidence_ratio)
    count = [("n", float(parts), "1"), ("N", float(len(readings_n)), "1")]
    spread = [("s", result.log_sd, "1"), ("confidence", confidence_ratio, "1")]
    basis = {"confidence": confidence_ratio}
    low, high = result.sheave_efficiency_low, result.sheave_efficiency_high
    solved = "eta such that MA_haul(eta) = {}, the same for all sheaves"
    rows: list[tuple[str, str, str, float, list[tuple[str, float, str]], str]] = [
        ("MA", "Advantage as measured", "exp(mean of ln(line / hand))", result.advantage, count, "STAT-03"),
        ("s", "Spread of the readings", "standard deviation of ln(line / hand)", result.log_sd, count, "STAT-03"),
        (
            "eta",
            "Efficiency of a sheave",
            solved.format("MA"),
            result.sheave_efficiency,
            [*count, ("MA", result.advantage, "1")],
            "TACKLE-01",
        ),
        ("eta_lo", "Low end", solved.format("MA exp(-t s / sqrt(N))"), low, [*count, *spread], "STAT-03"),
        ("eta_hi", "High end, at most 1", solved.format("MA exp(t s / sqrt(N))"), high, [*count, *spread], "STAT-03"),
        (
            "eta_hi capped",
            "High end cut off at 1",
            "1 if MA exp(t s / sqrt(N)) > n, else 0",
            float(result.high_is_capped),
            [*count, *spread],
            "STAT-03",
        ),
    ]
    return tuple(
        working_line(
            MEASURED,
            title,
            formula,
            symbol_name=symbol,
            result=value,
            unit="1",
            source=source,
            terms=terms,
            default_names=basis if ("confidence", confidence_ratio, "1") in terms else None,
        )
        for symbol, title, formula, value, terms, source in rows
    )


def least_lines(result: LeastResult) -> tuple[WorkingLine, ...]:
    """How the answer of a question asked backwards was found; none where there is no answer.

    Range: results of least.
    Source: MODEL-01
    """
    if result.value is None:
        return ()
    return (
        working_line(
            ASKED,
            "First value of the grid with which the plan passes",
            "value = first of the grid with no fail code; a refusal counts as not passing",
            symbol_name="value",
            result=result.value,
            unit="1",
            source="MODEL-01",
            terms=[(f"passes({trial.value:g})", float(trial.passes), "1") for trial in result.neighbours],
        ),
    )
