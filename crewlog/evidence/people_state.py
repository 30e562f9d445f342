"""Who may sign in with which role, who has left and who is a trainee: recomputed from the records."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from crewlog.evidence.bodies import bodies
from crewlog.evidence.canonical import to_plain
from crewlog.models import Company, Membership, Person, Role

STARTED, GIVEN, CHANGED = "crewlog.company-started", "crewlog.sign-in-given", "crewlog.role-changed"
LEFT, BACK, REMOVED = "crewlog.person-left", "crewlog.person-back", "crewlog.person-removed"
ADDED, PERSON_CHANGED = "crewlog.person-added", "crewlog.person-changed"


@dataclass(slots=True)
class Standing:
    """What the records say of one person. `trainee` is None while no record says it."""

    role: str | None = None
    ends_on: str | None = None
    left_on: str | None = None
    trainee: bool | None = None

    def read(self, kind: str, said: dict[str, Any]) -> None:
        """Go on by one record."""
        match kind:
            case "crewlog.company-started":
                self.role, self.ends_on, self.trainee = Role.OWNER.value, None, False
            case "crewlog.sign-in-given":
                self.role, self.ends_on = said["role"], said["ends_on"]
            case "crewlog.role-changed":
                self.role, self.ends_on = said["role"][1], said["ends_on"][1]
            case "crewlog.person-left":
                self.left_on = said["left_on"]
            case "crewlog.person-back":
                self.left_on = None
            case "crewlog.person-removed":
                self.role = self.ends_on = None
            case "crewlog.person-added":
                self.trainee = said["is_trainee"]
            case "crewlog.person-changed":
                self.trainee = said["is_trainee"][1]


def standings(company: Company) -> dict[str, Standing]:
    """What the records say of everyone whom one of these kinds names. Grows with people."""
    found: dict[str, Standing] = {}
    for record, said in bodies(company, STARTED, GIVEN, CHANGED, LEFT, BACK, REMOVED, ADDED, PERSON_CHANGED):
        person = said.get("owner" if record.kind == STARTED else "person")
        if isinstance(person, str):
            found.setdefault(person, Standing()).read(record.kind, said)
    return found


def people_faults(company: Company) -> Iterator[str]:
    """Sign-ins, roles, last days and trainees that are not what the records say. Two queries besides the records."""
    expected = standings(company)
    nothing = Standing()
    for person in Person.objects.for_company(company).order_by("pk"):
        said = expected.get(str(person.pk), nothing)
        if to_plain(person.left_on) != said.left_on:
            yield f"person {person.pk} left on {day(person.left_on)}, but the records say {day(said.left_on)}"
        if said.trainee is not None and person.is_trainee != said.trainee:
            yield f"person {person.pk} is {trainee(person.is_trainee)}, but the records say {trainee(said.trainee)}"
    for member in Membership.objects.filter(company=company).select_related("user").order_by("pk"):
        said = expected.pop(str(member.person_id), nothing)
        yield from member_faults(member, said)
    for person_id, said in expected.items():
        if said.role is not None:
            yield f"person {person_id} should sign in as {said.role}, but the sign-in is gone"


def member_faults(member: Membership, said: Standing) -> Iterator[str]:
    who = f"person {member.person_id}"
    if said.role is None:
        yield f"{who} can sign in as {member.role}, and no record gave them a sign-in"
        return
    if member.role != said.role:
        yield f"{who} has the role {member.role}, but the records say {said.role}"
    if to_plain(member.ends_on) != said.ends_on:
        yield f"the access of {who} ends on {day(member.ends_on)}, but the records say {day(said.ends_on)}"
    if member.user.is_active and said.left_on is not None:
        yield f"{who} can sign in, but left on {said.left_on}"
    if not member.user.is_active and said.left_on is None:
        yield f"{who} can no longer sign in, and no record says that they left"


def day(value: object) -> str:
    return "no day" if value is None else str(value)


def trainee(value: bool) -> str:
    return "a trainee" if value else "no trainee"
