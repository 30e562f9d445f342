"""Sessions and learning: what grants a qualification, what stays on record, and who is a trainee of what."""

import datetime as dt
import json

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from crewlog.models import Assessment, Competence, Learning, Record, Skill, TrainingSession
from crewlog.people.competence import AssessmentFacts, CompetenceGrant, enter_assessment, enter_certificate
from crewlog.people.removal import delete_personal_rows
from crewlog.people.services import end_membership
from crewlog.training.checks import session_faults
from crewlog.training.pages import learning_rows
from crewlog.training.services import begin_learning, end_learning
from tests.factories.crewlog import CompetenceFactory, LearningFactory, PersonFactory
from tests.given import Given
from tests.pages import html_of

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 1, 15)


def refuses(code):
    return pytest.raises(RuleBroken, check=lambda fault: fault.code == code)


@pytest.fixture
def assess(owner, lead, climber):
    """A function that enters an assessment of the climber by the lead, who may cut."""
    CompetenceFactory(person=lead.person, skill=Skill.CUTTER)

    def enter(*results, on=TODAY, skill=Skill.CUTTER):
        points = [(f"point {number}", result) for number, result in enumerate(results, start=1)]
        return enter_assessment(
            actor=owner,
            person=climber.person,
            skilled=CompetenceGrant(skill, TODAY),
            assessed=AssessmentFacts(lead.person, on, "K-118", points),
        )

    return enter


@pytest.mark.parametrize("last", ["with_help", "not_yet"])
def test_a_point_that_was_not_shown_alone_grants_nothing_and_the_session_is_kept(assess, owner, climber, last):
    session = assess("alone", "alone", last)
    assert not session.granted
    assert "grants nothing" in session.outcome
    assert not Competence.objects.filter(person=climber.person).exists()
    assert not Assessment.objects.exists()
    record = Record.objects.get(kind="crewlog.competence-session")
    body = json.loads(record.body)
    assert (body["granted"], body["alone"], body[last]) == (False, 2, 1)
    assert "point 1" not in record.body
    assert verify(owner.company).holds


def test_only_points_shown_alone_grant(assess, climber):
    assert assess("alone", "alone").granted
    assert Competence.objects.get(person=climber.person).assessment.rows == [
        ("point 1", "alone"),
        ("point 2", "alone"),
    ]
    assert TrainingSession.objects.get().granted


@pytest.mark.parametrize("result", ["failed", "good", "", "Alone"])
def test_any_other_result_is_refused_and_nothing_kept(assess, result):
    with refuses("result-unknown"):
        assess("alone", result)
    assert not TrainingSession.objects.exists()
    assert not Competence.objects.filter(skill=Skill.CUTTER, person__membership__role="crew").exists()


def test_a_bad_session_takes_no_qualification_that_stands(assess, climber):
    held = CompetenceFactory(person=climber.person, skill=Skill.CUTTER)
    assert not assess("not_yet").granted
    held.refresh_from_db()
    assert held.expires_on is None


def test_a_session_of_a_day_ahead_is_refused(assess, company):
    with refuses("happened-in-future"):
        assess("alone", on=company.today() + dt.timedelta(days=1))


def test_a_session_keeps_the_rules_of_who_assesses(owner, lead, climber):
    facts: Given = {"actor": owner, "person": climber.person, "skilled": CompetenceGrant(Skill.CUTTER, TODAY)}
    session: Given = {"on": TODAY, "job": "K-118", "points": [("hinge", "not_yet")]}
    with refuses("own-assessment"):
        enter_assessment(**facts, assessed=AssessmentFacts(climber.person, **session))
    with refuses("assessor-not-competent"):
        enter_assessment(**facts, assessed=AssessmentFacts(lead.person, **session))
    with refuses("role-not-allowed"):
        enter_assessment(**facts | {"actor": lead}, assessed=AssessmentFacts(lead.person, **session))
    assert not TrainingSession.objects.exists()


def test_the_database_keeps_no_grant_with_a_point_not_shown_alone(lead, climber):
    facts = {
        "person": climber.person, "skill": "cutter", "assessor": lead.person, "held_on": TODAY, "place": "K-118",
        "points": [["hinge", "not_yet"]], "granted": True,
    }  # fmt: skip
    for counts in ({"alone": 3, "not_yet": 1}, {"alone": 3, "with_help": 1}, {"alone": 0}):
        with pytest.raises(IntegrityError), transaction.atomic():
            TrainingSession.objects.create(**facts, **counts)
    for wrong in ({"place": ""}, {"skill": "juggling"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            TrainingSession.objects.create(**facts | wrong, alone=1)
    TrainingSession.objects.create(**facts, alone=1)


@pytest.mark.parametrize(
    "wrong",
    [
        {"place": "K-119"}, {"points": [["point 1", "alone"]]}, {"held_on": dt.date(2026, 1, 14)}, {"skill": "hauler"},
        {"with_help": 0}, {"gear_class": "rope"},
    ],
)  # fmt: skip
def test_the_check_of_the_records_sees_a_session_that_was_changed(assess, owner, wrong):
    session = assess("alone", "with_help")
    assert verify(owner.company).holds
    TrainingSession.objects.filter(pk=session.pk).update(**wrong)
    assert "is so by no record" in verify(owner.company).fault


def test_the_check_of_the_records_sees_another_assessor_and_sessions_slipped_in_or_taken_away(assess, owner, climber):
    first, second = assess("not_yet"), assess("not_yet")
    assert verify(owner.company).holds
    TrainingSession.objects.filter(pk=first.pk).update(assessor=owner.person)
    assert "is so by no record" in verify(owner.company).fault
    TrainingSession.objects.filter(pk=first.pk).delete()
    assert "is on record, but gone" in verify(owner.company).fault
    for _ in range(2):
        second.pk = None
        second.save()
    assert "is so by no record" in verify(owner.company).fault
    second.delete()
    assert verify(owner.company).holds
    delete_personal_rows(climber.person)
    assert not list(session_faults(owner.company))


def test_a_qualification_of_a_later_day_is_not_held_yet(owner, climber):
    CompetenceFactory(person=climber.person, skill="hitch", granted_on=TODAY)
    LearningFactory(person=climber.person, skill="hitch")
    assert [row.is_held for row in learning_rows(climber.person, TODAY)] == [True]
    assert [row.is_held for row in learning_rows(climber.person, TODAY - dt.timedelta(days=1))] == [False]


def test_a_result_in_words_of_before_stays_readable(climber, lead, owner, signed_in):
    held = CompetenceFactory(person=climber.person, skill=Skill.LOOKOUT)
    Assessment.objects.create(
        competence=held, assessor=lead.person, assessed_on=TODAY, job="0412", points=[["speaks up", "loud and early"]]
    )
    html = html_of(signed_in(owner).get(reverse("person", args=[climber.person_id])))
    assert "speaks up: loud and early" in html


def test_learning_begins_once_for_a_skill_that_is_not_held_and_ends(owner, lead, climber):
    row = begin_learning(actor=owner, person=climber.person, skill="bollard")
    with refuses("learning-already"):
        begin_learning(actor=owner, person=climber.person, skill="bollard")
    CompetenceFactory(person=climber.person, skill="hitch")
    with refuses("held-already"):
        begin_learning(actor=owner, person=climber.person, skill="hitch")
    with refuses("skill-unknown"):
        begin_learning(actor=owner, person=climber.person, skill="juggling")
    with refuses("role-not-allowed"):
        begin_learning(actor=lead, person=climber.person, skill="cutter")
    end_learning(actor=owner, learning=row)
    assert not Learning.objects.exists()
    kinds = Record.objects.filter(kind__contains="learning").values_list("kind", flat=True)
    assert list(kinds) == ["crewlog.competence-learning-begun", "crewlog.competence-learning-ended"]


def test_nobody_learns_elsewhere_or_after_they_left(owner, outsider, climber):
    with pytest.raises(RuleBroken):
        begin_learning(actor=owner, person=outsider.person, skill="bollard")
    end_membership(actor=owner, person=climber.person, on=owner.company.today())
    climber.person.refresh_from_db()
    with refuses("has-left"):
        begin_learning(actor=owner, person=climber.person, skill="bollard")


def test_a_granted_skill_is_no_longer_learned_and_the_others_are(owner, climber):
    for skill in ("bollard", "hitch"):
        begin_learning(actor=owner, person=climber.person, skill=skill)
    enter_certificate(
        actor=owner, person=climber.person, skilled=CompetenceGrant("bollard", TODAY), certificate="no. 12, seen"
    )
    assert [row.skill for row in Learning.objects.all()] == ["hitch"]
    assert verify(owner.company).holds


def test_what_is_personal_goes_with_the_person(assess, climber):
    assess("not_yet")
    LearningFactory(person=climber.person, skill="hitch")
    delete_personal_rows(climber.person)
    assert not TrainingSession.objects.exists()
    assert not Learning.objects.exists()


def test_a_session_with_help_is_entered_on_the_page_and_shown_with_its_points(owner, lead, climber, signed_in):
    CompetenceFactory(person=lead.person, skill=Skill.BOLLARD)
    client = signed_in(owner)
    address = reverse("competence_new", args=[climber.person_id])
    sent = {
        "skill": "bollard", "granted_on": "2026-01-15", "basis": "assessment", "assessor": str(lead.person_id),
        "job": "K-118", "point_1": "wraps on before the pull", "result_1": "alone", "point_2": "locks off",
    }  # fmt: skip
    refused = client.post(address, sent)
    assert refused.status_code == 422
    assert refused.context["form"].errors == {"result_2": ["Say how it was shown."]}
    assert "locks off" in html_of(refused)
    page = html_of(client.post(address, sent | {"result_2": "with_help"}, follow=True))
    for words in ("grants nothing", "locks off: with help", "wraps on before the pull: alone"):
        assert words in page
    assert not Competence.objects.filter(person=climber.person).exists()


def test_learning_is_begun_and_ended_on_the_persons_page(owner, climber, signed_in):
    client = signed_in(owner)
    client.post(reverse("learning_new", args=[climber.person_id]), {"skill": "bollard"})
    html = html_of(client.get(reverse("person", args=[climber.person_id])))
    assert "Tending the bollard" in html
    row = Learning.objects.get()
    assert reverse("learning_end", args=[row.pk]) in html
    client.post(reverse("learning_end", args=[row.pk]))
    assert not Learning.objects.exists()


def test_the_check_of_the_records_sees_learning_that_was_slipped_in_or_taken_away(owner, climber, lead):
    row = begin_learning(actor=owner, person=climber.person, skill="bollard")
    assert verify(owner.company).holds
    slipped = LearningFactory(person=lead.person, skill="cutter")
    assert "no record says so" in verify(owner.company).fault
    slipped.delete()
    Learning.objects.filter(pk=row.pk).delete()
    assert "by the records" in verify(owner.company).fault
    LearningFactory(person=climber.person, skill="bollard")
    assert verify(owner.company).holds
    trainee = PersonFactory(company=owner.company, is_trainee=True)  # as they were before skills were told apart
    LearningFactory(person=trainee, skill="hitch")
    assert verify(owner.company).holds
