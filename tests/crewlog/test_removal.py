"""Removing a person's data: what refuses it, what goes, and that the chain stays whole."""

import datetime as dt

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.db import DatabaseError, IntegrityError, connection, transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append, verify
from crewlog.evidence.documents import document_bytes, keep_document
from crewlog.evidence.named_files import paper_faults
from crewlog.models import (
    IssuedDocument,
    IssuedDocumentBytes,
    Membership,
    Person,
    PersonDetails,
    Record,
    RetentionPeriod,
    User,
)
from crewlog.people.removal import RemovalRefused, remove_person_data
from crewlog.people.services import end_membership
from crewlog.retention.defaults import DEFAULT_PERIODS, ensure_default_periods
from crewlog.retention.rules import RetentionRules, holds_in_force
from crewlog.retention.services import change_period, lift_hold, place_hold
from tests.factories.crewlog import CompetenceFactory
from tests.factories.gear import ItemFactory, examined

pytestmark = pytest.mark.django_db
START = dt.datetime(2026, 3, 2, 12, tzinfo=dt.UTC)
BECAUSE = "asked in writing"


@pytest.fixture
def clock():
    with time_machine.travel(START, tick=False) as traveller:
        yield traveller


@pytest.fixture
def gone(clock, owner, climber):
    """A climber who is named in records and left the same day."""
    append(owner.company, "gear.noted", Entry(actor=climber.person), body={"item": 987654})
    CompetenceFactory(person=climber.person, skill="cutter")
    end_membership(actor=owner, person=climber.person, on=owner.company.today())
    return climber.person


def years_on(clock, years):
    clock.move_to(START.replace(year=START.year + years))


def codes(actor, person):
    """Codes of everything that refuses the removal."""
    with pytest.raises(RemovalRefused) as caught:
        remove_person_data(actor=actor, person=person, because=BECAUSE)
    return [reason.code for reason in caught.value.reasons]


def test_while_a_period_runs_the_refusal_names_the_kind_and_the_day_it_ends(owner, gone):
    with pytest.raises(RemovalRefused) as caught:
        remove_person_data(actor=owner, person=gone, because=BECAUSE)
    assert "retention-runs:gear.noted" in [reason.code for reason in caught.value.reasons]
    assert "Noted: names are kept until 2 March 2032" in caught.value.message.replace("\xa0", " ")
    assert PersonDetails.objects.filter(person=gone).exists()


def test_the_last_day_of_the_period_still_refuses_and_the_next_does_not(owner, gone, clock):
    clock.move_to(dt.datetime(2032, 3, 2, 12, tzinfo=dt.UTC))
    assert "retention-runs:gear.noted" in codes(owner, gone)
    clock.move_to(dt.datetime(2032, 3, 3, 12, tzinfo=dt.UTC))
    remove_person_data(actor=owner, person=gone, because=BECAUSE)
    assert not PersonDetails.objects.filter(person=gone).exists()


def test_name_salt_contact_qualifications_and_sign_in_go_and_the_chain_stays_whole(owner, gone, clock):
    salt, email = gone.details.salt, gone.membership.user.email
    head = Record.objects.filter(company=owner.company).latest("sequence").hash
    years_on(clock, 7)
    remove_person_data(actor=owner, person=gone, because=BECAUSE)
    left = Person.objects.get(pk=gone.pk)
    assert str(left) == f"removed person {str(gone.pk)[:8]}"
    assert not PersonDetails.objects.filter(salt=salt).exists()
    assert not left.competences.exists()
    assert not User.objects.filter(email=email).exists()
    assert not Membership.objects.filter(person=left).exists()
    assert verify(owner.company, since=head).holds


def test_the_removal_is_on_record_without_the_name(owner, gone, clock):
    name = gone.details.name
    years_on(clock, 7)
    record = remove_person_data(actor=owner, person=gone, because=BECAUSE)
    assert record.kind == "crewlog.person-removed"
    assert str(gone.pk) in record.body
    assert not Record.objects.filter(body__contains=name).exists()


@pytest.mark.parametrize("because", ["Cai asked for it", "THRUSH left the trade"])
def test_a_reason_that_names_the_person_is_refused(owner, gone, clock, because):
    years_on(clock, 7)
    with pytest.raises(RuleBroken) as caught:
        remove_person_data(actor=owner, person=gone, because=because)
    assert caught.value.code == "reason-names-person"


def test_who_still_works_here_is_not_removed(owner, climber):
    with pytest.raises(RuleBroken) as caught:
        remove_person_data(actor=owner, person=climber.person, because=BECAUSE)
    assert caught.value.code == "still-here"


def test_a_person_is_removed_once(owner, gone, clock):
    years_on(clock, 7)
    remove_person_data(actor=owner, person=gone, because=BECAUSE)
    with pytest.raises(RuleBroken) as caught:
        remove_person_data(actor=owner, person=gone, because=BECAUSE)
    assert caught.value.code == "removed-already"


def test_only_the_owner_removes_and_only_from_the_own_company(lead, outsider, gone):
    for actor, code in ((lead, "role-not-allowed"), (outsider, "other-company")):
        with pytest.raises(RuleBroken) as caught:
            remove_person_data(actor=actor, person=gone, because=BECAUSE)
        assert caught.value.code == code


# holds


def test_a_hold_on_the_person_refuses_until_a_later_record_lifts_it(owner, gone, clock):
    years_on(clock, 7)
    hold = place_hold(actor=owner, about="person", subject=str(gone.pk), because="claim of a neighbour")
    assert codes(owner, gone) == ["hold-stands:person"]
    lift_hold(actor=owner, hold=hold, because="settled")
    assert not holds_in_force(owner.company).exists()
    remove_person_data(actor=owner, person=gone, because=BECAUSE)
    assert verify(owner.company).holds


def test_a_hold_on_an_item_reaches_everyone_its_records_name(owner, gone, clock, company):
    item = ItemFactory(company=company, tag="R-07", evidence=False)
    append(company, "gear.noted", Entry(actor=gone), body={"item": item.pk})
    years_on(clock, 7)
    place_hold(actor=owner, about="item", subject="r-07", because="insurer asks")
    assert codes(owner, gone) == ["hold-stands:item"]


def test_a_hold_on_another_item_reaches_nobody_here(owner, gone, clock, company):
    ItemFactory(company=company, tag="R-08", evidence=False)
    years_on(clock, 7)
    place_hold(actor=owner, about="item", subject="R-08", because="insurer asks")
    remove_person_data(actor=owner, person=gone, because=BECAUSE)


@pytest.mark.parametrize(("about", "subject"), [("item", "R-99"), ("job", "0999"), ("person", ""), ("item", " ")])
def test_a_hold_on_what_is_not_here_is_refused(owner, about, subject):
    with pytest.raises(RuleBroken) as caught:
        place_hold(actor=owner, about=about, subject=subject, because="x")
    assert caught.value.code == "hold-subject-unknown"


def test_a_hold_is_lifted_once_and_never_deleted(owner, gone):
    hold = place_hold(actor=owner, about="person", subject=str(gone.pk), because="claim")
    lift_hold(actor=owner, hold=hold, because="settled")
    with pytest.raises(RuleBroken) as caught:
        lift_hold(actor=owner, hold=hold, because="again")
    assert caught.value.code == "hold-lifted-already"
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("DELETE FROM crewlog_hold")


# gear in use


def test_the_latest_examination_of_an_item_in_service_keeps_its_examiner(owner, gone, clock, company):
    item = ItemFactory(company=company, evidence=False)
    examined(item, days=0, inspector=gone)
    years_on(clock, 20)
    assert codes(owner, gone) == ["retention-runs:gear.inspection"]


def test_an_examination_between_the_first_and_the_latest_does_not(owner, lead, gone, clock, company):
    item = ItemFactory(company=company, evidence=False)
    for days, who in ((30, lead.person), (20, gone), (10, lead.person)):
        row = examined(item, days=0, inspector=who)
        assert row.record.kind == "gear.inspection"
        clock.shift(dt.timedelta(days=days))
    years_on(clock, 20)
    remove_person_data(actor=owner, person=gone, because=BECAUSE)


# periods


def test_each_kind_of_record_has_a_period_and_the_closest_wins(company):
    book = RetentionRules.of(company)
    assert book.period_for("gear.inspection").kind == "gear.inspection"
    assert book.period_for("anything.new").kind == ""
    assert {p.kind for p in book.periods} == {p.kind for p in DEFAULT_PERIODS}
    ensure_default_periods(company)
    assert RetentionPeriod.objects.for_company(company).count() == len(DEFAULT_PERIODS)


def test_a_period_may_be_longer_and_never_below_its_minimum(owner, company):
    period = RetentionRules.of(company).period_for("gear.inspection")
    change_period(actor=owner, period=period, months=120)
    assert Record.objects.filter(kind="crewlog.retention-changed").count() == 1
    with pytest.raises(ValidationError, match="not shorter"):
        change_period(actor=owner, period=period, months=23)
    with pytest.raises(IntegrityError), transaction.atomic():
        RetentionPeriod.objects.filter(pk=period.pk).update(months=23)


def test_a_longer_period_keeps_the_name_longer(owner, gone, clock):
    period = RetentionRules.of(owner.company).period_for("")
    change_period(actor=owner, period=period, months=240)
    years_on(clock, 7)
    assert "retention-runs:gear.noted" in codes(owner, gone)


# paper


def test_paper_that_names_the_person_goes_and_its_hash_stays(owner, gone, clock, company):
    record = append(company, "test.handed-out", Entry(actor=owner.person), body={}, people=[gone])
    keep_document(of=record, entry=Entry(actor=owner.person), content=b"%PDF Cai Thrush")
    assert document_bytes(record) == b"%PDF Cai Thrush"
    years_on(clock, 7)
    remove_person_data(actor=owner, person=gone, because=BECAUSE)
    assert document_bytes(record) is None
    paper = IssuedDocument.objects.get(of=record)
    assert paper.length == 15
    assert paper.purge.record.kind == "crewlog.paper-purged"
    assert verify(company).holds


def test_a_hold_on_one_person_of_a_paper_keeps_it_for_all(owner, lead, gone, clock, company):
    record = append(company, "test.handed-out", Entry(actor=owner.person), body={}, people=[gone, lead.person])
    keep_document(of=record, entry=Entry(actor=owner.person), content=b"%PDF both")
    years_on(clock, 7)
    place_hold(actor=owner, about="person", subject=str(lead.person.pk), because="claim")
    assert codes(owner, gone) == ["hold-stands:person"]


@pytest.mark.parametrize(
    ("tamper", "says"),
    [
        (lambda: IssuedDocumentBytes.objects.update(content=b"other"), "bytes were changed"),
        (lambda: IssuedDocumentBytes.objects.all().delete(), "bytes are gone"),
    ],
)
def test_verifying_finds_paper_that_was_changed_or_taken(owner, company, tamper, says):
    record = append(company, "test.handed-out", Entry(actor=owner.person), body={})
    keep_document(of=record, entry=Entry(actor=owner.person), content=b"%PDF")
    assert verify(company).holds
    tamper()
    assert says in verify(company).fault
    assert len(list(paper_faults(company))) == 1
