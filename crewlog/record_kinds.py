"""Kinds of record that crewlog appends without a table of their own. One that is no longer written stays listed."""

RECORD_KINDS = (
    "crewlog.calendar-made",
    "crewlog.calendar-revoked",
    "crewlog.company-changed",
    "crewlog.company-started",
    "crewlog.competence-ended",
    "crewlog.competence-entered",
    "crewlog.competence-learning-begun",
    "crewlog.competence-learning-ended",
    "crewlog.competence-session",
    "crewlog.password-link-shown",
    "crewlog.person-added",
    "crewlog.person-back",
    "crewlog.person-changed",
    "crewlog.person-left",
    "crewlog.person-removed",
    "crewlog.restore-noted",
    "crewlog.retention-changed",
    "crewlog.role-changed",
    "crewlog.sign-in-given",
)
