"""The services of people, records and reminders."""

from crewlog.company.services import change_company, describe_examiner
from crewlog.models import Role
from crewlog.people.competence import (
    AssessmentFacts,
    CompetenceGrant,
    end_competence,
    enter_assessment,
    enter_certificate,
)
from crewlog.people.invitation import give_and_invite, send_invitation, show_link
from crewlog.people.reminders import make_calendar, revoke_calendar, stop_mail, wish_digest
from crewlog.people.removal import remove_person_data
from crewlog.people.services import (
    Contact,
    add_person,
    change_person,
    change_role,
    end_membership,
    give_sign_in,
    take_back,
)
from crewlog.retention.services import change_period, lift_hold, place_hold
from crewlog.training.services import begin_learning, end_learning
from crewlog.web.access import EVERYONE, INSPECTORS
from tests.services.tables import Service

OWNER = (Role.OWNER,)


def person(**more):
    return lambda w: {"person": w.person, **more}


def skilled(**more):
    return lambda w: {"person": w.person, "skilled": CompetenceGrant("hitch", w.today), **more}


def assessed(w):
    by = w.members[Role.OWNER].person
    return skilled(assessed=AssessmentFacts(by, w.today, "0412", [("Ties it", "alone")]))(w)


def member(w):
    return {"member": w.members[Role.CREW]}


SERVICES = (
    Service(change_company, OWNER, lambda w: {"name": "Another Name"}, own=True),
    Service(describe_examiner, INSPECTORS, person(qualifications="x", address="y")),
    Service(enter_certificate, OWNER, skilled(certificate="no. 12")),
    Service(enter_assessment, OWNER, assessed),
    Service(end_competence, OWNER, lambda w: {"competence": w.rows["competence"], "because": "lapsed"}),
    Service(send_invitation, OWNER, member),
    Service(show_link, OWNER, member),
    Service(give_and_invite, OWNER, person(email="wren@example.test", role=Role.CREW)),
    Service(give_sign_in, OWNER, person(email="wren@example.test", role=Role.CREW)),
    Service(add_person, OWNER, lambda w: {"contact": Contact("Wren Oakley")}, own=True),
    Service(change_person, OWNER, person(contact=Contact("Wren Oakley"))),
    Service(change_role, OWNER, lambda w: member(w) | {"role": Role.INSPECTOR}),
    Service(end_membership, OWNER, lambda w: {"person": w.person, "on": w.today}),
    Service(take_back, OWNER, person()),
    Service(make_calendar, EVERYONE, lambda w: {}, own=True),
    Service(revoke_calendar, EVERYONE, lambda w: {}, own=True),
    Service(wish_digest, EVERYONE, lambda w: {"wanted": True}, own=True),
    Service(stop_mail, EVERYONE, lambda w: {"kind": "withdrawal", "stopped": True}, own=True),
    Service(remove_person_data, OWNER, person(because="asked in writing")),
    Service(change_period, OWNER, lambda w: {"period": w.rows["period"], "months": 600}),
    Service(place_hold, OWNER, lambda w: {"about": "item", "subject": w.item.tag, "because": "claim"}, own=True),
    Service(lift_hold, OWNER, lambda w: {"hold": w.rows["hold"], "because": "settled"}),
    Service(begin_learning, OWNER, person(skill="hitch")),
    Service(end_learning, OWNER, lambda w: {"learning": w.rows["learning"]}),
)
