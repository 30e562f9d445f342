"""Roles, rights, people, names and qualifications are recomputed from the records and compared."""

import datetime as dt

import pytest

from crewlog.company.start import start_company
from crewlog.evidence import verify
from crewlog.models import Competence, Membership, Person, PersonDetails, Role, Skill, User
from crewlog.people.competence import (
    AssessmentFacts,
    CompetenceGrant,
    end_competence,
    enter_assessment,
    enter_certificate,
)
from crewlog.people.removal import delete_personal_rows
from crewlog.people.services import (
    Contact,
    add_person,
    change_person,
    change_role,
    end_membership,
    give_sign_in,
    take_back,
)
from tests.factories.crewlog import CompetenceFactory, MembershipFactory

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 1, 5)


@pytest.fixture
def boss(db):
    return start_company(name="Osier Bend", owner_name="Orla Quenby", owner_email="orla@example.test", time_zone="UTC")


@pytest.fixture
def wren(boss):
    person = add_person(actor=boss, contact=Contact(name="Wren Oakley"), is_trainee=True)
    give_sign_in(actor=boss, person=person, email="wren@example.test", role=Role.CREW)
    return person


def faults(boss):
    return verify(boss.company, every=True).faults


def certified(boss, person):
    return enter_certificate(
        actor=boss, person=person, skilled=CompetenceGrant(Skill.CUTTER, DAY, max_diameter_m=0.6), certificate="Fell 7"
    )


def test_what_the_services_do_agrees_with_what_they_record(boss, wren):
    member = Membership.objects.get(person=wren)
    change_role(actor=boss, member=member, role=Role.AUDITOR, ends_on=dt.date(2030, 1, 1))
    change_person(actor=boss, person=wren, contact=Contact(name="Wren Oakley-Marsh"), is_trainee=False)
    held = certified(boss, boss.person)
    end_competence(actor=boss, competence=certified(boss, wren), because="not renewed")
    assessed = AssessmentFacts(assessor=boss.person, on=boss.company.today(), job="0412", points=[("Hinge", "alone")])
    skilled = CompetenceGrant(Skill.CUTTER, boss.company.today(), max_diameter_m=0.5)
    enter_assessment(actor=boss, person=wren, skilled=skilled, assessed=assessed)
    end_membership(actor=boss, person=wren, on=boss.company.today())
    take_back(actor=boss, person=wren)
    assert held.pk
    assert faults(boss) == ()


def test_somebody_who_left_without_ever_signing_in_agrees(boss):
    person = add_person(actor=boss, contact=Contact(name="Bo Larch"))
    end_membership(actor=boss, person=person, on=boss.company.today())
    assert faults(boss) == ()


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"role": "owner"}, "has the role owner, but the records say crew"),
        ({"ends_on": DAY}, "ends on 2026-01-05, but the records say no day"),
    ],
)
def test_a_role_or_last_day_that_no_record_gave_is_a_fault(boss, wren, changes, fault):
    Membership.objects.filter(person=wren).update(**changes)
    (found,) = faults(boss)
    assert found.endswith(fault)


def test_a_sign_in_that_was_opened_closed_added_or_taken_by_hand_is_a_fault(boss, wren):
    user = User.objects.filter(membership__person=wren)
    user.update(is_active=False)
    assert "no record says that they left" in faults(boss)[0]
    user.update(is_active=True)
    end_membership(actor=boss, person=wren, on=boss.company.today())
    user.update(is_active=True)
    assert "can sign in, but left on" in faults(boss)[0]
    user.delete()
    assert "should sign in as crew, but the sign-in is gone" in faults(boss)[0]


def test_a_sign_in_that_no_record_gave_is_a_fault(boss):
    MembershipFactory(company=boss.company, person__company=boss.company, on_record=False)
    (found,) = faults(boss)
    assert found.endswith("can sign in as owner, and no record gave them a sign-in")


def test_a_trainee_or_a_last_day_changed_by_hand_is_a_fault(boss, wren):
    Person.objects.filter(pk=wren.pk).update(is_trainee=False)
    assert faults(boss)[0].endswith("is no trainee, but the records say a trainee")
    Person.objects.filter(pk=wren.pk).update(is_trainee=True, left_on=DAY)
    assert faults(boss)[0].endswith("left on 2026-01-05, but the records say no day")


def test_a_name_or_a_salt_that_was_changed_is_a_fault_and_one_changed_by_the_service_is_none(boss, wren):
    details = PersonDetails.objects.filter(person=wren)
    details.update(name="Somebody Else")
    assert "is not the one that the records were entered with" in faults(boss)[0]
    details.update(name="Wren Oakley", salt="0" * 32)
    assert "is not the one that the records were entered with" in faults(boss)[0]


def test_a_name_may_go_only_with_a_record_of_the_removal(boss, wren):
    delete_personal_rows(wren)
    assert any("no record says that they were removed" in fault for fault in faults(boss))


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"expires_on": dt.date(2040, 1, 1)}, "expires_on is 2040-01-01, but the records say None"),
        ({"max_diameter_m": 2.0}, "max_diameter_m is 2.0, but the records say 0.6"),
        ({"granted_on": dt.date(2020, 1, 1)}, "granted_on is 2020-01-01, but the records say 2026-01-05"),
        ({"evidence": "Fell 8"}, "its certificate or assessment is not the one that was entered"),
        ({"skill": Skill.HAULER}, "was entered by no record"),
    ],
)
def test_a_qualification_changed_by_hand_is_a_fault(boss, wren, changes, fault):
    row = certified(boss, wren)
    Competence.objects.filter(pk=row.pk).update(**changes)
    assert faults(boss)[0].endswith(fault)


def test_points_of_an_assessment_changed_by_hand_are_a_fault(boss, wren):
    certified(boss, boss.person)
    assessed = AssessmentFacts(assessor=boss.person, on=boss.company.today(), job="0412", points=[("Hinge", "alone")])
    skilled = CompetenceGrant(Skill.CUTTER, boss.company.today(), max_diameter_m=0.5)
    enter_assessment(actor=boss, person=wren, skilled=skilled, assessed=assessed)
    row = Competence.objects.get(person=wren, skill=Skill.CUTTER)
    assert faults(boss) == ()
    row.assessment.points = [["Hinge, alone", "alone"]]
    row.assessment.save()
    assert faults(boss)[0].endswith("its certificate or assessment is not the one that was entered")


def test_a_qualification_given_or_taken_by_hand_is_a_fault(boss, wren):
    CompetenceFactory(person=wren, skill=Skill.HAULER, on_record=False)
    assert "was entered by no record" in faults(boss)[0]
    Competence.objects.all().delete()
    certified(boss, wren)
    Competence.objects.all().delete()
    assert faults(boss)[0].endswith("is on record, but gone")


def test_comparing_people_takes_as_many_queries_however_many_there_are(boss, django_assert_max_num_queries):
    with django_assert_max_num_queries(200) as few:
        verify(boss.company)
    for n in range(15):
        person = add_person(actor=boss, contact=Contact(name=f"Person {n}"))
        give_sign_in(actor=boss, person=person, email=f"p{n}@example.test", role=Role.CREW)
        certified(boss, person)
    with django_assert_max_num_queries(len(few)):
        assert verify(boss.company).holds
