"""Measures of wear and the limits past which an item is refused. Standard library only."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class WearMeasure:
    """One thing an examiner measures.

    `name` ends in its unit (`_mm`, `_m`, `_ratio`). The item is refused below `least_ratio` times the item's own
    figure named by `of`, or above `most`. Where the maker's limit is stricter, the examiner's verdict is.
    """

    name: str
    label: str
    unit: str
    of: str = ""
    least_ratio: float | None = None
    most: float | None = None
    source: str = ""

    @property
    def has_limit(self) -> bool:
        """Whether a value can be refused."""
        return self.least_ratio is not None or self.most is not None

    def least(self, when_new: float | None) -> float | None:
        """Smallest value that passes, in the measure's own unit; None where there is none or the new one is unknown."""
        if self.least_ratio is None or when_new is None:
            return None
        return self.least_ratio * when_new

    def passes(self, value: float, when_new: float | None = None) -> bool:
        """Whether a value passes; a value equal to its limit does.

        Range: value finite and not negative.
        """
        least = self.least(when_new)
        tolerance = 1e-9
        below = least is not None and value < least - tolerance
        above = self.most is not None and value > self.most + tolerance
        return not (below or above)
