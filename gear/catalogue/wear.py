"""Measures of wear and the limits past which an item is refused. Standard library only."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class WearMeasure:
    """One thing an examiner measures.

    `name` ends in its unit (`_mm`, `_m`, `_ratio`). The item is refused below `min_ratio` times the item's own
    figure named by `of`, or above `max_value`. Where the maker's limit is stricter, the examiner's verdict is.
    """

    name: str
    label: str
    unit: str
    of: str = ""
    min_ratio: float | None = None
    max_value: float | None = None
    source: str = ""

    @property
    def has_limit(self) -> bool:
        """Whether a value can be refused."""
        return self.min_ratio is not None or self.max_value is not None

    def min_value(self, when_new: float | None) -> float | None:
        """Smallest value that passes, in the measure's own unit; None where there is none or the new one is unknown."""
        if self.min_ratio is None or when_new is None:
            return None
        return self.min_ratio * when_new

    def passes(self, value: float, when_new: float | None = None) -> bool:
        """Whether a value passes; a value equal to its limit does.

        Range: value finite and not negative.
        """
        min_value = self.min_value(when_new)
        tolerance = 1e-9
        below = min_value is not None and value < min_value - tolerance
        above = self.max_value is not None and value > self.max_value + tolerance
        return not (below or above)
