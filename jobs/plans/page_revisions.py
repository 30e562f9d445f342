"""The revisions a plan was kept as."""

import json
from dataclasses import dataclass

from jobs.models import Stem
from jobs.plans.data import PlanData
from jobs.wording.counted import counted
from jobs.wording.date_words import moment_words
from jobs.wording.unit_formatter import UnitFormatter


@dataclass(frozen=True, slots=True)
class RevisionRow:
    """One revision as a list shows it."""

    title: str
    line: str


def head_line(plan_data: PlanData, latest: int) -> str:
    """The line under the heading of a plan: revision, who measured and when."""
    stem, company = plan_data.stem, plan_data.job.company
    kept = f"Revision {latest} is kept; this is the working copy." if latest else "Working copy, no revision kept yet."
    if stem.measured_by is None:
        return kept
    when = f" on {moment_words(stem.measured_at, company)}" if stem.measured_at else ""
    return f"{kept} Measured by {stem.measured_by}{when}."


def revision_rows(stem: Stem) -> tuple[RevisionRow, ...]:
    """Kept revisions, newest first, with what each came to. One query."""
    write = UnitFormatter(stem.job.company.unit_system)
    rows = stem.revisions.select_related("record", "kept_by__details").order_by("-revision")
    return tuple(
        RevisionRow(
            title=f"Revision {row.revision}",
            line=(
                f"Kept by {row.kept_by} on {moment_words(row.record.happened_at, stem.job.company)}. "
                f"{came_to(json.loads(row.results), write)}"
            ),
        )
        for row in rows
    )


def came_to(stored: dict[str, object], write: UnitFormatter) -> str:
    results, findings = stored.get("results"), stored.get("findings")
    refused = sum(1 for f in findings if f.get("severity") == "refusal") if isinstance(findings, list) else 0
    verdict = f"Refused for {counted(refused, 'reason')}." if refused else "Nothing refused."
    if isinstance(results, dict) and results:
        return f"{write.force(results['stem_tension_n'])} needed in the line. {verdict}"
    return verdict
