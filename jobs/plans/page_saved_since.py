"""Whether somebody saved a plan, or what its figures rest on, while another person types."""

from crewlog.stale import Change, Opened, changes_since
from jobs.plans.data import PlanData
from jobs.plans.forms import shown_beside


def saved_since(opened: Opened | None, plan_data: PlanData) -> str:
    """One line for the live results; empty where what is stored is what the form was opened with. One query at most."""
    if opened is None or opened.values is None:
        return ""
    stored = Opened.now(opened.about, shown_beside(plan_data)).values or {}
    if stored == opened.values:
        return ""
    kinds = ("jobs.plan-changed", "jobs.stem-changed")
    found: dict[str, Change] = {}
    for kind, row in zip(kinds, (plan_data.plan, plan_data.stem), strict=True):
        found |= changes_since(plan_data.job.company, [kind], row, opened.at)
    names = " and ".join(dict.fromkeys(f"{change.by} at {change.when}" for change in found.values())) or "Somebody else"
    return f"Saved since you opened this page: {names}. When you save, both are shown and you choose."
