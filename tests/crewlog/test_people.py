"""People of a company: who may do what, what enters the records, and that nobody signs themself off."""

import datetime as dt
import io
import re

import pytest
from django.contrib.auth import authenticate
from django.core import mail
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from crewlog.mail.outbox import send_due
from crewlog.models import Company, Competence, Membership, Person, PersonDetails, Record, Role, Skill
from crewlog.people.competence import (
    AssessmentFacts,
    CompetenceGrant,
    end_competence,
    enter_assessment,
    enter_certificate,
)
from crewlog.people.services import (
    Contact,
    add_person,
    change_person,
    change_role,
    end_membership,
    give_sign_in,
    take_back,
)
from tests.factories.crewlog import CompetenceFactory
from tests.pages import html_of

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 1, 15)
POINTS = [("stands clear", "alone"), ("speaks up", "alone")]


def refusal(service, **facts):
    with pytest.raises(RuleBroken) as caught:
        service(**facts)
    return caught.value.code


def test_a_person_enters_the_records_by_number_alone(owner):
    person = add_person(actor=owner, contact=Contact("Wren Oakley", "0100", "Her sister", "asthma"))
    assert person.details.phone == "0100"
    said = "".join(f"{r.names}{r.body}" for r in Record.objects.filter(company=owner.company))
    assert str(person.pk) in said
    assert not any(word in said for word in ("Wren", "0100", "sister", "asthma"))


def test_a_changed_name_leaves_a_new_digest_and_a_changed_phone_nothing(owner):
    person = add_person(actor=owner, contact=Contact("Wren Oakley"))
    count = Record.objects.count()
    change_person(actor=owner, person=person, contact=Contact("Wren Oakley", phone="0100"), is_trainee=False)
    assert Record.objects.count() == count
    change_person(actor=owner, person=person, contact=Contact("Wren Alder"), is_trainee=False)
    record = Record.objects.get(kind="crewlog.person-changed")
    assert PersonDetails.objects.get(person=person).digest() in record.names


def test_only_the_owner_keeps_people(owner, lead, inspector):
    for actor in (lead, inspector):
        assert refusal(add_person, actor=actor, contact=Contact("X")) == "role-not-allowed"


def test_a_sign_in_is_lower_case_once_and_an_auditors_must_end(owner):
    person = add_person(actor=owner, contact=Contact("Wren Oakley"))
    with pytest.raises(ValidationError, match="needs an end date"):
        give_sign_in(actor=owner, person=person, email="wren@example.test", role=Role.AUDITOR)
    member = give_sign_in(actor=owner, person=person, email="Wren@Example.TEST", role=Role.CREW)
    assert member.user.email == "wren@example.test"
    assert not member.user.has_usable_password()
    again = {"actor": owner, "person": person, "email": "x@example.test", "role": Role.CREW}
    assert refusal(give_sign_in, **again) == "sign-in-exists"


def test_the_last_owner_stays_one(owner, lead):
    assert refusal(change_role, actor=owner, member=owner, role=Role.CREW) == "last-owner"
    owner.refresh_from_db()
    assert refusal(end_membership, actor=owner, person=owner.person, on=owner.company.today()) == "last-owner"


def test_who_leaves_is_signed_out_at_once_and_health_facts_go(owner, climber, signed_in):
    PersonDetails.objects.filter(person=climber.person).update(health_notes="asthma", emergency_contact="mother")
    client = signed_in(climber)
    assert client.get(reverse("today")).status_code == 200
    end_membership(actor=owner, person=climber.person, on=owner.company.today())
    assert client.get(reverse("today")).status_code == 302
    details = PersonDetails.objects.get(person=climber.person)
    assert (details.name, details.health_notes, details.emergency_contact) == ("Cai Thrush", "", "")
    take_back(actor=owner, person=climber.person)
    assert Membership.objects.get(person=climber.person).user.is_active


# competences


def test_a_certificate_enters_the_records_as_a_digest(owner, climber):
    skilled = CompetenceGrant(Skill.CUTTER, TODAY, expires_on=dt.date(2029, 1, 1), max_diameter_m=0.6)
    row = enter_certificate(actor=owner, person=climber.person, skilled=skilled, certificate="Fell 7, no. 1234")
    assert row.evidence == "Fell 7, no. 1234"
    record = Record.objects.get(kind="crewlog.competence-entered")
    assert '"max_diameter_m":0.6' in record.body
    assert "1234" not in record.body


def assessed(person, **changes):
    return AssessmentFacts(**({"assessor": person, "on": TODAY, "job": "0412", "points": POINTS} | changes))


def test_nobody_signs_themself_off(owner, climber):
    CompetenceFactory(person=climber.person, skill=Skill.CUTTER)
    facts = {"actor": owner, "person": climber.person, "skilled": CompetenceGrant(Skill.CUTTER, TODAY)}
    assert refusal(enter_assessment, **facts, assessed=assessed(climber.person)) == "own-assessment"


def test_who_assesses_holds_the_skill_on_that_day_and_as_far(owner, lead, climber):
    facts = {
        "actor": owner,
        "person": climber.person,
        "skilled": CompetenceGrant(Skill.CUTTER, TODAY, max_diameter_m=0.5),
    }
    assert refusal(enter_assessment, **facts, assessed=assessed(lead.person)) == "assessor-not-competent"
    held = CompetenceFactory(person=lead.person, skill=Skill.CUTTER, expires_on=dt.date(2026, 1, 14))
    assert refusal(enter_assessment, **facts, assessed=assessed(lead.person)) == "assessor-not-competent"
    Competence.objects.filter(pk=held.pk).update(expires_on=None, max_diameter_m=0.4)
    assert refusal(enter_assessment, **facts, assessed=assessed(lead.person)) == "assessor-not-competent"
    Competence.objects.filter(pk=held.pk).update(max_diameter_m=0.5)
    assert refusal(enter_assessment, **facts, assessed=assessed(lead.person, points=[])) == "assessment-without-points"
    assert enter_assessment(**facts, assessed=assessed(lead.person)).granted
    row = Competence.objects.get(person=climber.person)
    assert row.assessment.points == [list(pair) for pair in POINTS]
    record = Record.objects.filter(kind="crewlog.competence-entered").latest("sequence")
    assert (record.entered_by, record.on_behalf_of) == (owner.person, lead.person)


def test_an_ended_competence_no_longer_stands_and_stays_on_record(owner, climber):
    row = CompetenceFactory(person=climber.person, skill=Skill.CUTTER)
    end_competence(actor=owner, competence=row, because="cut towards the rope")
    assert row.expires_on < owner.company.today()
    assert refusal(end_competence, actor=owner, competence=row, because="again") == "run-out"
    assert verify(owner.company).holds


# pages


def test_the_owner_adds_a_person_who_chooses_a_password_by_the_link_and_signs_in(owner, signed_in, settings):
    settings.SITE_ADDRESS = "http://testserver"
    client = signed_in(owner)
    client.post(reverse("person_new"), {"name": "Wren Oakley"})
    person = Person.objects.get(details__name="Wren Oakley")
    client.post(reverse("person_sign_in", args=[person.pk]), {"email": "wren@example.test", "role": "crew"})
    assert send_due().sent == 1
    (message,) = mail.outbox
    assert message.to == ["wren@example.test"]
    link = re.search(r"http://testserver(\S+)", str(message.body))[1]
    theirs = Client()
    page = theirs.get(link, follow=True)
    set_at = page.redirect_chain[-1][0]
    password = "heron-on-the-weir-7"
    theirs.post(set_at, {"password1": password, "password2": password})
    assert authenticate(None, email="wren@example.test", password=password).membership.person == person
    assert "no longer works" in html_of(Client().get(link, follow=True))


def test_a_refused_form_keeps_what_was_typed(owner, climber, signed_in):
    address = reverse("competence_new", args=[climber.person_id])
    sent = {
        "skill": "cutter",
        "granted_on": "2026-01-15",
        "basis": "assessment",
        "job": "0412",
        "point_1": "a",
        "result_1": "alone",
    }
    page = signed_in(owner).post(address, sent)
    assert page.status_code == 422
    assert "0412" in html_of(page)
    assert page.context["form"].errors == {"assessor": ["Fill this in."]}


def test_the_page_of_who_left_says_what_keeps_their_name(owner, climber, signed_in):
    end_membership(actor=owner, person=climber.person, on=owner.company.today())
    client = signed_in(owner)
    assert "cannot be removed yet" in html_of(client.get(reverse("person", args=[climber.person_id])))
    refused = client.post(reverse("person_remove", args=[climber.person_id]), {"because": "asked", "sure": "on"})
    assert refused.status_code == 422
    assert "names are kept until" in html_of(refused)


def test_a_period_is_set_and_refused_below_its_least(owner, signed_in):
    client = signed_in(owner)
    client.get(reverse("retention"))
    period = owner.company.retention_periods.get(kind="gear.inspection")
    refused = client.post(reverse("retention"), {"period": period.pk, "months": "23"})
    assert refused.status_code == 422
    assert 'value="23"' in html_of(refused)
    assert client.post(reverse("retention"), {"period": period.pk, "months": "84"}).status_code == 302
    period.refresh_from_db()
    assert period.months == 84


def test_a_hold_is_placed_and_lifted_on_the_page(owner, climber, signed_in):
    client = signed_in(owner)
    missing = client.post(reverse("holds"), {"about": "item", "item": "R-99", "because": "claim"})
    assert missing.status_code == 422
    assert "No item here has this tag." in html_of(missing)
    sent = {"about": "person", "person": str(climber.person_id), "because": "claim"}
    page = html_of(client.post(reverse("holds"), sent, follow=True))
    assert "Cai Thrush" in page
    hold = re.search(r"/holds/(\d+)/lift/", page)[1]
    page = client.post(reverse("hold_lift", args=[hold]), {"because": "settled"}, follow=True)
    assert "Lifted" in html_of(page)


# the command


def start(**changes):
    out = io.StringIO()
    facts = {"name": "Osier Works", "owner_email": "o@example.test", "owner_name": "Orla Quenby", "link": True}
    call_command("start_company", stdout=out, **(facts | changes))
    return out.getvalue()


def test_a_started_company_has_an_owner_who_gets_in_by_the_printed_link(db, settings):
    settings.SITE_ADDRESS = "http://testserver"
    said = start()
    client = Client()
    page = client.get(re.search(r"http://testserver(\S+)", said)[1], follow=True)
    password = "heron-on-the-weir-7"
    client.post(page.redirect_chain[-1][0], {"password1": password, "password2": password})
    member = Membership.objects.get(company__name="Osier Works")
    assert client.login(email="o@example.test", password=password)
    assert client.get(reverse("person_new")).status_code == 200
    assert member.role == Role.OWNER
    assert verify(member.company).holds


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"name": " "}, "name"),
        ({"owner_email": "no-address"}, "email"),
        ({"owner_name": ""}, "name"),
        ({"time_zone": "Mars/Olympus"}, "not a time zone"),
    ],
)
def test_a_company_that_cannot_be_started_changes_nothing(db, changes, says):
    with pytest.raises(CommandError, match=says):
        start(**changes)
    assert not Company.objects.exists()


def test_a_second_company_of_the_same_name_or_owner_is_refused(db):
    start()
    with pytest.raises(CommandError, match="here already"):
        start(owner_email="p@example.test")
    with pytest.raises(CommandError, match="email"):
        start(name="Other Works")
    assert Company.objects.count() == 1
