"""One line of working as a page or the annex prints it: formula, numbers put in, result, unit, source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jobs.mechanics.defaults import DEFAULTS

RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_ROUNDING = 1e-12  # far below any length, force or modulus of a stem


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One number put into a formula, in SI."""

    symbol: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingLine:
    """One figure of a plan.

    `substituted` is the formula's numbers as text in SI, rounded for reading; `terms` are the same unrounded, for a
    page in other units. `default_basis` says what each default in it rests on, "" where it has none. `path` names
    the one result of the interface that a line is about, "" where its symbol is that of a formula; `explains` are the
    results it explains, without the numbers of stages. `result_words` stand for what is no single number.
    """

    group: str
    symbol_name: str
    title: str
    formula: str
    substituted: str
    result: float
    unit: str
    source: str
    default_basis: str
    terms: tuple[Term, ...]
    explains: tuple[str, ...] = ()
    path: str = ""
    result_words: str = ""


def working_line(
    group: str,
    title: str,
    formula: str,
    *,
    symbol_name: str,
    result: float,
    unit: str,
    source: str,
    terms: Sequence[tuple[str, float, str]],
    default_names: Mapping[str, float] | None = None,
) -> WorkingLine:
    """One line of working; `default_names` are the defaults it may rest on, with the values used in their place.

    Range: sources of the source list, names of the register of defaults; raises KeyError for any other default.
    Source: MODEL-01.
    """
    return WorkingLine(
        group=group,
        symbol_name=symbol_name,
        title=title,
        formula=formula,
        substituted=", ".join(f"{symbol} = {shown(value)}{_unit(unit_of)}" for symbol, value, unit_of in terms),
        result=result,
        unit=unit,
        source=source,
        default_basis="; ".join(_basis(name, used) for name, used in (default_names or {}).items()),
        terms=tuple(Term(symbol=symbol, value=value, unit=unit_of) for symbol, value, unit_of in terms),
    )


def shown(value: float) -> str:
    """A number of the working: four significant digits, without a power of ten for the sizes met here.

    What is left of a difference of equal numbers is shown as 0. Range: any finite value, 0 below 1e-12.
    Source: MODEL-01
    """
    if abs(value) < _ROUNDING:
        return "0"
    if 1e-3 <= abs(value) < 1e7:
        digits = f"{value:.4g}"
        return f"{value:.0f}" if "e" in digits else digits
    return power_of_ten(value)


def power_of_ten(value: float) -> str:
    """Four significant digits times a power of ten, in one piece: 1.2e-4 as "1.200 × 10⁻⁴".

    Range: any finite value.
    Source: MODEL-01
    """
    mantissa, _, power = f"{value:.3e}".partition("e")
    return f"{mantissa} × 10{str(int(power)).translate(RAISED)}".replace(" ", "\N{NO-BREAK SPACE}")


def _unit(unit: str) -> str:
    return "" if unit in ("", "1") else f"\N{NO-BREAK SPACE}{unit}".replace(" ", "\N{NO-BREAK SPACE}")


def _basis(name: str, used: float) -> str:
    default = DEFAULTS[name]
    words = name.replace("_", " ")
    if abs(used - default.value) <= 1e-12 * max(1.0, abs(default.value)):
        return f"{words} {used:g}: {default.basis}"
    return f"{words} {used:g}: entered in place of {default.value:g}"
