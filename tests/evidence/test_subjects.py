"""What each record is about: declared for every kind, written with it, made again from it, and checked."""

from io import StringIO

import pytest
from django.apps import apps
from django.core.management import call_command

from crewlog.evidence import KINDS, Entry, RecordKind, about, append, append_all, evidence_models, verify
from crewlog.evidence.kinds import foreign_keys
from crewlog.evidence.subjects import PERSON, fill_subjects, rebuild_subjects, rows_named, subject_faults
from crewlog.models import Person, Record, RecordSubject
from gear.events.services import record_event
from gear.models import GearItem
from gear.register.services import change_item
from tests.evidence.tampering import tamper
from tests.factories.crewlog import PersonFactory
from tests.factories.gear import ItemFactory, examined

ITEM = "gear.gearitem"


def kept():
    return set(RecordSubject.objects.values_list("record__sequence", "kind", "key"))


@pytest.mark.parametrize("model", evidence_models(), ids=lambda model: model.record_kind)
def test_every_table_of_evidence_names_a_row_or_says_why_it_names_none(model):
    rows = [label for _, label in foreign_keys(model) if label != PERSON]
    assert bool(rows) != bool(model.about_no_row)


def test_every_kind_without_a_table_names_a_row_that_there_is_or_says_why_it_names_none():
    for kind in KINDS:
        assert bool(kind.key) != bool(kind.about_no_row)
        if kind.model:
            assert apps.get_model(kind.model)._meta.label_lower == kind.model


@pytest.mark.parametrize(
    "said",
    [{}, {"key": "item"}, {"model": ITEM}, {"key": "item", "model": ITEM, "about_no_row": "none"}],
)
def test_a_kind_that_says_neither_or_both_is_refused(said):
    with pytest.raises(ValueError, match=r"test\.kind: say which row"):
        RecordKind("test.kind", **said)


@pytest.mark.django_db
def test_a_record_names_its_people_and_no_row_where_its_kind_names_none(company):
    actor, named, said = PersonFactory.create_batch(3, company=company)
    record = append(company, "test.note", Entry(actor=actor), body={"a": [{"b": f"seen by {said.pk}"}]}, people=[named])
    assert {(row.kind, row.key) for row in record.subjects.all()} == {
        (PERSON, str(person.pk)) for person in (actor, named, said)
    }
    assert set(Record.objects.filter(about(Person, [said.pk]))) == {record}


@pytest.mark.django_db
def test_a_body_that_cannot_be_read_names_no_row(company):
    assert list(rows_named(Record(company=company, kind="gear.item-changed", body="{"))) == []
    assert list(rows_named(Record(company=company, kind="gear.item-changed", body="[7]"))) == []
    assert list(rows_named(Record(company=company, kind="gear.item-changed", body='{"item":7}'))) == [(ITEM, "7")]


@pytest.mark.django_db
def test_many_records_at_once_name_what_they_would_name_one_by_one(owner):
    bodies = [{"item": 40 + n, "changes": {}} for n in range(3)]
    many = append_all(owner.company, "gear.item-changed", Entry(actor=owner.person), bodies=bodies)
    one = append(owner.company, "gear.item-changed", Entry(actor=owner.person), body=bodies[0])
    assert set(Record.objects.filter(about(GearItem, [40]))) == {many[0], one}
    assert set(Record.objects.filter(about(GearItem, [41, 42]))) == {many[1], many[2]}
    assert not Record.objects.filter(about(GearItem, [4])).exists()


@pytest.fixture
def story(owner, inspector):
    """A few records of several tables and kinds about two items."""
    for item in (ItemFactory(company=owner.company), ItemFactory(company=owner.company)):
        examined(item, inspector=inspector.person)
        change_item(actor=owner, item=item, storage_place="Cage 4")
        record_event(actor=owner, item=item, kind="drop", happened_on=owner.company.today(), description="Fell")
    return owner.company


def test_a_rebuild_gives_the_same_rows(story):
    before = kept()
    assert {kind for _, kind, _ in before} >= {ITEM, PERSON}
    assert rebuild_subjects() == len(before)
    assert kept() == before
    tamper("DELETE FROM crewlog_recordsubject WHERE kind = %s", ITEM)
    told = StringIO()
    call_command("rebuild_subjects", stdout=told)
    assert kept() == before
    assert told.getvalue() == f"The table of subjects holds {len(before):,} rows.\n"


def test_after_migrate_an_older_database_is_given_the_table_and_any_other_left_alone(story):
    before = kept()
    tamper("DELETE FROM crewlog_recordsubject")
    fill_subjects()
    assert kept() == before
    tamper("DELETE FROM crewlog_recordsubject WHERE kind = %s", ITEM)
    fill_subjects()
    assert kept() < before


def test_verifying_names_a_subject_that_was_taken_away_or_put_in(story):
    assert verify(story).holds
    record = Record.objects.for_company(story).filter(kind="gear.inspection").first()
    item = record.inspection.item_id
    place = f"record {record.sequence} (gear.inspection)"
    tamper("UPDATE crewlog_recordsubject SET key = '0' WHERE record_id = %s AND kind = %s", record.pk, ITEM)
    assert verify(story, every=True).faults == (
        f"{place} is about gear.gearitem {item}, which the table of subjects lacks: run rebuild_subjects",
        f"{place} is not about gear.gearitem 0, as the table of subjects says: run rebuild_subjects",
    )
    rebuild_subjects()
    assert verify(story).holds


@pytest.mark.django_db
def test_the_check_of_one_company_leaves_the_others_alone(story, outsider):
    append(outsider.company, "test.note", Entry(actor=outsider.person), body={})
    tamper("DELETE FROM crewlog_recordsubject WHERE key = %s", str(outsider.person_id))
    assert list(subject_faults(story)) == []
    assert len(list(subject_faults(outsider.company))) == Record.objects.for_company(outsider.company).count()
