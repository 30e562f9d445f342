"""Questions asked backwards of a plan: the least of one figure with which nothing of the plan itself is refused.

The grid is that of the mechanics, searched at every corner of the tolerances. A value that passes there is worked
again with the study of its spread, so that an answer is one that holds. Gear on the load path is judged apart.
"""

from collections import Counter
from dataclasses import dataclass

from jobs.bundle import Bundle
from jobs.calculation import Outcome, calculate
from jobs.cures import WORKED_IN_FULL, first_fails, own_refusals, with_value
from jobs.form_checks import form_findings
from jobs.mechanics.convert import FormatError
from jobs.mechanics.errors import MechanicsError
from jobs.mechanics.least import LeastWhat, variants
from jobs.plans.to_mechanics import to_plan_input

# Each question with the column of the plan that its answer sets.
FIELDS: dict[LeastWhat, str] = {
    "attach_height": "attach_height_m",
    "anchor_distance": "anchor_distance_m",
    "parts": "parts",
    "people": "haulers",
    "hinge_thickness": "hinge_thickness_m",
}


@dataclass(frozen=True, slots=True)
class Tried:
    """One value of the grid: what of the plan itself fails with it; nothing where it passes."""

    value: float
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The answer, or None with what stood against every value, the most frequent first."""

    what: LeastWhat
    field: str
    value: float | None = None
    outcome: Outcome | None = None
    before: Tried | None = None
    after: Tried | None = None
    against: tuple[str, ...] = ()
    tried: int = 0
    is_open: bool = False  # the plan has open answers and cannot be worked out at all
    given_up_at: float | None = None  # first value that passes at every corner and was not worked in full any more


def ask(bundle: Bundle, what: LeastWhat) -> Asked:
    """Ask a plan backwards. Never raises for what a person typed."""
    name = FIELDS[what]
    if form_findings(bundle):
        return Asked(what=what, field=name, is_open=True)
    try:
        start = to_plan_input(bundle, with_uncertainty=False)
    except (FormatError, MechanicsError):
        return Asked(what=what, field=name, is_open=True)
    against: Counter[str] = Counter()
    before: Tried | None = None
    given_up_at: float | None = None
    worked = tried = 0
    values = (int(v) if name in ("parts", "haulers") else float(v) for v, _ in variants(start, what))
    for value in values:
        tried += 1
        now = try_value(bundle, name, value)
        if not now.codes and worked == WORKED_IN_FULL:
            given_up_at = value
            break
        if not now.codes:
            worked += 1
            outcome = calculate(with_value(bundle, name, value))
            now = Tried(value, own_refusals(outcome))
            if not now.codes:
                beyond = next(values, None)
                after = None if beyond is None else try_value(bundle, name, beyond)
                return Asked(
                    what=what, field=name, value=value, outcome=outcome, before=before, after=after, tried=tried
                )
        against.update(now.codes)
        before = now
    common = tuple(code for code, _ in against.most_common(3))
    return Asked(what=what, field=name, against=common, tried=tried, given_up_at=given_up_at)


def try_value(bundle: Bundle, name: str, value: float) -> Tried:
    """What fails of the plan itself with one value, the spread left out."""
    return Tried(value, first_fails(with_value(bundle, name, value)))
