"""An item held against what a position carries, in every corner of the tolerances the lead sets."""

from collections.abc import Iterable
from dataclasses import replace

from jobs.mechanics.findings.collected import Findings
from jobs.mechanics.plan.path import check_path
from jobs.mechanics.plan.result import PlanResult, RoleUtilisation
from jobs.models import Assignment
from jobs.plans.calculation import Outcome
from jobs.plans.data import PlanData
from jobs.plans.findings import word_finding
from jobs.plans.gear_to_mechanics import gear_item
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter


def results_of(outcome: Outcome) -> tuple[PlanResult, ...]:
    """The design result first, then every corner's; empty while the plan cannot be worked out."""
    if outcome.result is None:
        return ()
    corners = outcome.envelope.results() if outcome.envelope is not None else ()
    return (outcome.result, *corners)


def rating_of(
    results: Iterable[PlanResult], plan_data: PlanData, assignment: Assignment, write: UnitFormatter
) -> tuple[RoleUtilisation | None, list[Finding]]:
    """The mechanics' own check of one item in one position: its use by the first result, its findings by all."""
    role = assignment.role
    uses: list[RoleUtilisation | None] = []
    found: dict[str, Finding] = {}
    item = gear_item(plan_data, assignment)
    for result in results:
        if result.working is None or role not in result.loads_n:
            continue
        notes, load_n = Findings(), result.loads_n[role]
        plan_input = replace(result.working.plan, items={role: item})
        path = check_path(
            notes,
            plan_input,
            {role: load_n},
            unit_loads_n={role: load_n / result.tackle_tension_n},
            overhaul_n=result.overhaul_tension_n,
            person_n=result.overhaul_tension_n / plan_input.people,
        )
        uses.append(path.utilisations.get(role))
        for noted in notes.gravest_first():
            found.setdefault(noted.code, word_finding(noted.code, noted.facts, write))
    return (uses[0] if uses else None), list(found.values())
