"""Values in SI as the working and the annex print them."""

from crewlog.dates import NBSP
from jobs.mechanics.working.line import power_of_ten
from jobs.plans.presentation import Assumption


def si_text(row: Assumption) -> str:
    """The value in the unit it was declared in."""
    return significant(row.value) + ("" if row.unit == "1" else f"{NBSP}{row.unit}")


def significant(value: float) -> str:
    """Four significant digits with thousands marked; small values in powers of ten."""
    if value == 0:
        return "0"
    if abs(value) < 1e-3:
        return power_of_ten(value)
    if abs(value) >= 1000:
        return f"{value:,.0f}"
    return f"{value:.4g}"
