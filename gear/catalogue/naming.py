"""The length of a rope in its name. Standard library only."""

import math
import re

LENGTH_IN_NAME = re.compile(r"(?<![\w.,/])(\d+(?:[.,]\d+)?)(\s?)(m|ft)\b")
METRES = {"m": 1.0, "ft": 0.3048}


def renamed(name: str, before_m: float | None, after_m: float | None) -> str:
    """The name with the length in it changed: "Bull rope 60 m" cut to 42 m is "Bull rope 42 m".

    Only a number with m or ft that is the length before, to half its last digit; any other name stays as it is. The
    new figure keeps the decimal mark and is rounded down, so that a name never says more rope than there is.
    """
    if before_m is None or after_m is None:
        return name

    def change(found: re.Match[str]) -> str:
        figure, gap, unit = found.groups()
        mark = "," if "," in figure else "."
        decimals = len(figure.partition(mark)[2])
        if abs(float(figure.replace(mark, ".")) * METRES[unit] - before_m) > 0.5 * 10**-decimals * METRES[unit] + 1e-9:
            return found[0]
        return f"{shortened_figure(after_m / METRES[unit], decimals).replace('.', mark)}{gap}{unit}"

    return LENGTH_IN_NAME.sub(change, name)


def shortened_figure(value: float, decimals: int) -> str:
    """A length with the decimals of the old one, one more where that would drop something; never rounded up."""
    for places in (decimals, decimals + 1):
        step = 10**places
        floored = math.floor(value * step + 1e-6) / step
        if math.isclose(floored, value, abs_tol=1e-6):
            return f"{floored:.{places}f}"
    return f"{floored:.{places}f}"
