"""Whether the plan's working copy is still what a sheet was issued from, and whether it is refused by now."""

from dataclasses import dataclass

from jobs.mechanics.convert import FormatError
from jobs.models import IssuedSheet, Sheet
from jobs.models.snapshot_json import snapshot_of
from jobs.plans.calculation import calculate
from jobs.plans.completeness import form_findings
from jobs.plans.data import PlanData, load_plan_data
from jobs.plans.inverse import own_refusals
from jobs.plans.request_json import read_request
from jobs.plans.to_mechanics import to_plan_input


@dataclass(frozen=True, slots=True)
class CopyNote:
    """What the page of a sheet in force says of a plan that was changed after its issue."""

    is_refused: bool
    word: str
    why: str

    @property
    def verdict(self) -> str:
        return "refused" if self.is_refused else "caution"


def working_copy_note(sheet: Sheet, issue: IssuedSheet) -> CopyNote | None:
    """None while the saved plan is the one the sheet was issued from. Queries; works the plan out where it differs."""
    plan_data = load_plan_data(sheet.stem, sheet)
    if form_findings(plan_data):
        why = "Answers that the sheet rests on have been taken back or set to not known in the plan."
        return CopyNote(True, "The plan now has open answers", f"{why} {WHAT_TO_DO}")
    if is_as_issued(plan_data, snapshot_of(issue)["as_written"]):
        return None
    outcome = calculate(plan_data)
    refused = own_refusals(outcome)
    if not refused:
        why = "Nothing refuses the plan as it is now, but its figures are not those that this sheet prints."
        return CopyNote(False, "The plan was changed after this sheet was issued", f"{why} {WHAT_TO_DO}")
    first = next(f for f in outcome.refusals if f.full_code in refused)
    more = f", and {len(refused) - 1} more" if len(refused) > 1 else ""
    title = f"{first.title[:1].lower()}{first.title[1:]}"
    return CopyNote(True, f"The plan is now refused: {title}{more}", f"{first.text} {WHAT_TO_DO}")


def is_as_issued(plan_data: PlanData, issued_from: object) -> bool:
    """Whether the saved plan makes the input that stands in a snapshot; not where either cannot be read any more."""
    try:
        now = to_plan_input(plan_data, with_uncertainty=False)
        return now == read_request(issued_from)
    except FormatError:
        return False


WHAT_TO_DO = (
    "The sheet holds what was measured when it was issued. If the change is so on site, stop and issue a new revision."
)
