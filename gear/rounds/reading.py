"""From the answers of a draft, as typed, to what would be signed for each item."""

import datetime as dt
import zoneinfo
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from django.utils import timezone

from gear.examinations.examination import Examination
from gear.examinations.services import Verdict
from gear.failures.finding import fails_in
from gear.models import RoundDraftItem
from gear.models.round import NOT_PRESENTED
from gear.rounds.completeness import NOT_LOOKED_AT, completeness_of, is_begun
from gear.rounds.forms import AS_ANSWERED, RoundItemForm

FAILING = ("out_of_use", "retire")
TOO_MILD = "Something fails, so the verdict must be out of use or retired."


@dataclass(frozen=True, slots=True)
class Reading:
    """What the answers of one item amount to. `outcome` is empty while nothing or nothing readable is answered."""

    outcome: str = ""
    examination: Examination | None = None
    verdict: Verdict | None = None
    fault: str = ""
    fault_at: str = ""

    @property
    def fails(self) -> bool:
        return self.outcome in FAILING


def values_of(row: RoundDraftItem) -> dict[str, str]:
    """Typed text by box. Queries unless the answers were fetched with the row."""
    return {answer.name: answer.value for answer in row.answers.all()}


def first_and_last(row: RoundDraftItem) -> tuple[dt.datetime | None, dt.datetime | None]:
    """When the item was first and last answered, by the server's clock."""
    moments = [answer.answered_at for answer in row.answers.all()]
    return min(moments, default=None), max(moments, default=None)


def day_of(row: RoundDraftItem) -> dt.date:
    """The day the item was looked at, in the company's zone."""
    _, last = first_and_last(row)
    return (last or timezone.now()).astimezone(zoneinfo.ZoneInfo(row.item.company.time_zone)).date()


def read_row(row: RoundDraftItem, values: Mapping[str, str] | None = None) -> Reading:
    """What would be signed for one item."""
    values = values_of(row) if values is None else values
    if not is_begun(values):
        return Reading()
    form = RoundItemForm(values, row=row)
    if not form.is_valid():
        name, messages = next(iter(form.errors.items()))
        return Reading(fault=f"{form.fields[name].label}: {messages[0]}", fault_at=name)
    chosen = form.cleaned_data["verdict"]
    if chosen in (*NOT_LOOKED_AT, "remark") and any(fails_in(row.item, values)):
        return Reading(fault=TOO_MILD, fault_at="verdict")
    if chosen == NOT_PRESENTED:
        return Reading(NOT_PRESENTED)
    examination = form.examination_on(day_of(row))
    outcome = examination.best_verdict(row.item) if chosen == AS_ANSWERED else chosen
    verdict = replace(form.signed(), verdict=outcome)
    if outcome != "remark":
        verdict = replace(verdict, remark_due_on=None)
    return Reading(outcome, examination, verdict)


def quick_state(row: RoundDraftItem, values: Mapping[str, str], *, is_held: bool = False) -> str:
    """The state of an item for a list, from the text alone; signing reads it again with every rule.

    `is_held`: a failure answered in this round holds it.
    """
    if row.signed_in_id is not None:
        return "signed"
    if row.failed_by_id is not None:
        return "failed"
    complete = completeness_of(row, values)
    if complete.fails:
        return "fails" if complete.is_complete else "unsaid"
    if is_held:
        return "held"
    if not complete.is_begun:
        return "open"
    chosen = values.get("verdict", "")
    if chosen in NOT_LOOKED_AT:
        return chosen
    if not complete.is_complete:
        return "begun"
    given = {value for name, value in values.items() if name.startswith("answer_")}
    return "remark" if chosen == "remark" or "remark" in given else "done"


def count_states(states: Iterable[str]) -> dict[str, int]:
    """How many items stand in each state."""
    counts: dict[str, int] = {}
    for state in states:
        counts[state] = counts.get(state, 0) + 1
    return counts
