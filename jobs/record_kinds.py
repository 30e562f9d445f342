"""Kinds of record that jobs appends without a table of their own. One that is no longer written stays listed."""

RECORD_KINDS = (
    "jobs.anchor-added",
    "jobs.anchor-changed",
    "jobs.hazard-added",
    "jobs.hazard-changed",
    "jobs.job-changed",
    "jobs.job-opened",
    "jobs.plan-changed",
    "jobs.stem-added",
    "jobs.stem-changed",
)
