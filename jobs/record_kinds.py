"""Kinds of record that jobs appends without a table of their own. One that is no longer written stays listed."""

from crewlog.evidence.kinds import RecordKind


def of_row(name: str, model: str) -> RecordKind:
    return RecordKind(name, key="row", model=model)


RECORD_KINDS = (
    of_row("jobs.anchor-added", "jobs.anchor"),
    of_row("jobs.anchor-changed", "jobs.anchor"),
    of_row("jobs.hazard-added", "jobs.hazard"),
    of_row("jobs.hazard-changed", "jobs.hazard"),
    of_row("jobs.job-changed", "jobs.job"),
    of_row("jobs.job-opened", "jobs.job"),
    of_row("jobs.plan-changed", "jobs.pullplan"),
    of_row("jobs.stem-added", "jobs.stem"),
    of_row("jobs.stem-changed", "jobs.stem"),
)
