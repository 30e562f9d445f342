"""Kinds of record that crewlog appends without a table of their own. One that is no longer written stays listed."""

from crewlog.evidence.kinds import RecordKind

PERSON = "crewlog.person"


def of_person(name: str) -> RecordKind:
    return RecordKind(name, key="person", model=PERSON)


RECORD_KINDS = (
    RecordKind("crewlog.calendar-made", about_no_row="the calendar of whoever entered it"),
    RecordKind("crewlog.calendar-revoked", about_no_row="the calendar of whoever entered it"),
    RecordKind("crewlog.company-changed", about_no_row="the company itself"),
    RecordKind("crewlog.company-started", key="owner", model=PERSON),
    of_person("crewlog.competence-ended"),
    of_person("crewlog.competence-entered"),
    of_person("crewlog.competence-learning-begun"),
    of_person("crewlog.competence-learning-ended"),
    of_person("crewlog.competence-session"),
    of_person("crewlog.password-link-shown"),
    of_person("crewlog.person-added"),
    of_person("crewlog.person-back"),
    of_person("crewlog.person-changed"),
    of_person("crewlog.person-left"),
    of_person("crewlog.person-removed"),
    RecordKind("crewlog.restore-noted", about_no_row="the chain itself"),
    RecordKind("crewlog.retention-changed", about_no_row="a period of the company for a kind of record"),
    of_person("crewlog.role-changed"),
    of_person("crewlog.sign-in-given"),
)
