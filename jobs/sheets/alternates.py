"""An alternate is checked as if it hung in its place: it may swap in on the day without a new sheet."""

import dataclasses
from collections.abc import Iterator

from gear.models import GearItem
from jobs.models import Assignment
from jobs.plans.calculation import Outcome, calculate
from jobs.plans.data import PlanData
from jobs.sheets.gear_fit import HOSTS, diameter_findings, host_roles, lengths_needed, rope_length_findings
from jobs.sheets.position_rating import rating_of, results_of
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter


def alternate_findings(plan_data: PlanData, outcome: Outcome, write: UnitFormatter) -> Iterator[Finding]:
    """Refusals of alternates by load, length and what runs over them; class and fitness are judged for every rank."""
    for alternate in plan_data.assignments:
        item = alternate.item
        if alternate.rank > 0 and item is not None:
            for finding in swap_findings(plan_data, outcome, alternate, item, write=write):
                if finding.is_refusal:
                    yield about_alternate(finding, alternate, item)


def swap_findings(
    plan_data: PlanData, outcome: Outcome, alternate: Assignment, item: GearItem, *, write: UnitFormatter
) -> Iterator[Finding]:
    """What would be refused once the alternate hangs in its position."""
    role = alternate.role
    tried = plan_data.with_item(role, item, alternate)
    hung, results = tried.in_place()[role], results_of(outcome)
    yield from rating_of(results, tried, hung, write)[1]
    if outcome.result is not None:
        yield from rope_length_findings(hung, lengths_needed(tried, outcome.result).get(role), write)
    for rope_role in HOSTS:
        rope = tried.in_place().get(rope_role)
        if rope is not None and rope.item is not None and role in host_roles(rope_role, tried):
            yield from (f for f in diameter_findings(rope, rope.item, tried, write) if item.tag in f.title)
            yield from rating_of(results, tried, rope, write)[1]
    if role == "restraint_line" and outcome.result is not None:
        # another rope stretches otherwise, so the log brings another peak on every restraint position
        yield from (f for f in calculate(tried).refusals if f.subject.startswith("restraint"))


def about_alternate(finding: Finding, alternate: Assignment, item: GearItem) -> Finding:
    return dataclasses.replace(
        finding,
        subject=alternate.role,
        item=item.tag,
        title=f"Alternate {item.tag}, {finding.title[:1].lower()}{finding.title[1:]}",
        cure="Take the alternate off, or name another.",
    )
