"""The working of a result as the annex prints it."""

from jobs.mechanics.plan_result import PlanResult
from jobs.reader import Reader
from jobs.sheets.content import WorkingGroup


def working_groups(result: PlanResult, reader: Reader) -> tuple[WorkingGroup, ...]:
    """Each figure with formula, numbers, result, unit and source, by subject."""
    return ()
