"""The pre-tension band of all corners together: each corner may have one and the sheet none."""

from collections.abc import Iterator

from jobs.mechanics.checks import exceeds, falls_short
from jobs.mechanics.limits import WINDOW_SPAN_RATIO
from jobs.plans.findings import word_finding
from jobs.plans.tolerances import Envelope
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

WITHIN = "enough in every corner, too much in none"


def band_findings(envelope: Envelope, write: UnitFormatter) -> Iterator[Finding]:
    """window-empty, pre-tension-needs-gauge and gauge-band-empty for the band that holds in every corner."""
    results = tuple(envelope.results())
    if not results:
        return
    low_n, high_n = envelope.lowest_tension_n, envelope.highest_tension_n
    is_empty = exceeds(low_n, high_n)
    if is_empty:
        yield word_finding("window-empty", {"lowest_n": low_n, "limit_n": high_n}, write, within=WITHIN)
    bands = [result.gauge_band_n for result in results if result.gauge_band_n is not None]
    if bands:
        lowest_n, highest_n = max(b.lowest for b in bands), min(b.highest for b in bands)
        if exceeds(lowest_n, highest_n) and not is_empty:
            yield word_finding("gauge-band-empty", {"lowest_n": lowest_n, "limit_n": highest_n}, write, within=WITHIN)
        return
    steady_n = max(result.steady_tension_n for result in results)
    if exceeds(steady_n, high_n) or falls_short(high_n, WINDOW_SPAN_RATIO * low_n):
        facts = {"steady_n": steady_n, "lowest_n": low_n, "limit_n": high_n}
        yield word_finding("pre-tension-needs-gauge", facts, write, within=WITHIN)
