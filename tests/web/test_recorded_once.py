"""Equal submissions of one form make one record and get one answer."""

import datetime as dt
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.db import DatabaseError
from django.urls import reverse
from django.utils import timezone

from crewlog.models import Person, Record, SentForm
from gear.events import services as events
from gear.models import GearEvent, Inspection
from jobs.models import IssuedSheet, Job, PlanRevision
from jobs.sheets.emergency import EVERYTHING
from tests.factories.gear import ItemFactory
from tests.factories.jobs import PlanFactory, passing_sheet
from tests.pages import html_of
from tests.web.posting import as_posted, shown_token

pytestmark = pytest.mark.django_db

HAPPENED = {"kind": "drop", "happened_on": "2026-11-20", "loaded": "no", "description": "from the cage, 4 m"}


@pytest.fixture
def item(company):
    return ItemFactory(company=company)


@pytest.fixture
def client(owner, signed_in):
    return signed_in(owner)


def key_on(page):
    return {"form_key": re.search(r'name="form_key" value="([^"]+)"', html_of(page))[1]}


def event_form(client, item):
    where = reverse("item_event", args=[item.tag])
    return where, typed(client.get(where)) | HAPPENED


def typed(page, **changes):
    form, data = page.context["form"], {}
    for each in getattr(form, "in_order", [form]):
        data |= as_posted(each)
    return data | key_on(page) | changes


def test_an_event_sent_twice_is_recorded_once_with_one_answer(client, item):
    where, data = event_form(client, item)
    first, second = client.post(where, data), client.post(where, data)
    assert (first.status_code, second.status_code) == (302, 302)
    assert first["Location"] == second["Location"]
    assert GearEvent.objects.count() == 1
    assert "sent more than once and recorded once" in html_of(client.get(second["Location"]))


def test_a_draft_that_is_named_anew_with_each_sending_is_the_same_submission(client, item):
    where, data = event_form(client, item)
    for token in ("0123456789abcdef", "f" * 16):
        assert client.post(where, data | {"_draft": token}).status_code == 302
    assert GearEvent.objects.count() == 1


def test_the_same_event_on_a_page_opened_anew_is_another(client, item):
    for _ in range(2):
        where, data = event_form(client, item)
        client.post(where, data)
    assert GearEvent.objects.count() == 2


def test_other_contents_under_the_same_key_are_another_submission(client, item):
    where, data = event_form(client, item)
    client.post(where, data)
    client.post(where, data | {"description": "from the cage, 6 m"})
    assert GearEvent.objects.count() == 2


def test_a_photograph_is_part_of_what_was_sent(client, item):
    where, data = event_form(client, item)
    for content in (b"not one", b"nor this"):
        file = SimpleUploadedFile("a.jpg", content, content_type="image/jpeg")
        assert client.post(where, data | {"photo": file}).status_code == 422
    client.post(where, data)
    assert GearEvent.objects.count() == 1


def test_a_refused_form_does_not_use_up_its_key(client, item):
    where, data = event_form(client, item)
    refused = client.post(where, data | {"description": ""})
    assert refused.status_code == 422
    assert not SentForm.objects.exists()
    assert client.post(where, data).status_code == 302
    assert client.post(where, data).status_code == 302
    assert GearEvent.objects.count() == 1


def test_a_preview_does_not_use_up_its_key(client):
    where = reverse("recall_new")
    data = typed(client.get(where)) | {"maker": "Dunnock Forge", "notice": "gate springs", "announced_on": "2026-11-20"}
    assert client.post(where, data).status_code in (200, 422)
    assert not SentForm.objects.exists()


def test_a_redirect_with_an_error_does_not_use_up_its_key(client, owner, company):
    sheet = passing_sheet(company, lead=owner.person)
    key = {"form_key": "k" * 24, "reason": "rain"}
    answer = client.post(reverse("sheet_withdraw", args=[sheet.pk]), key, follow=True)
    assert "nothing to withdraw" in html_of(answer)
    assert not SentForm.objects.exists()


def test_a_form_without_a_key_is_taken_as_it_comes(client, item):
    where, data = event_form(client, item)
    del data["form_key"]
    assert client.post(where, data).status_code == 302
    assert client.post(where, data).status_code == 302
    assert GearEvent.objects.count() == 2


@pytest.mark.parametrize("key", ["short", "x" * 65, "a b" * 9, "\x00" * 20])
def test_what_is_no_key_is_taken_for_none(client, item, key):
    where, data = event_form(client, item)
    assert client.post(where, data | {"form_key": key}).status_code in (302, 422)
    assert not SentForm.objects.exists()


def test_the_key_of_another_person_is_another_key(client, item, lead, signed_in):
    where, data = event_form(client, item)
    client.post(where, data)
    signed_in(lead).post(where, data)
    assert GearEvent.objects.count() == 2


def test_what_breaks_half_way_leaves_neither_key_nor_record(client, item, monkeypatch):
    where, data = event_form(client, item)
    before = Record.objects.count()

    def break_off(*args):
        raise DatabaseError("the disk is gone")

    with monkeypatch.context() as broken:
        broken.setattr(events, "apply_evidence", break_off)
        client.raise_request_exception = False
        assert client.post(where, data).status_code == 500
    assert not SentForm.objects.exists()
    assert Record.objects.count() == before
    assert client.post(where, data).status_code == 302
    assert GearEvent.objects.count() == 1


def test_an_inspection_a_job_a_person_and_a_revision_are_recorded_once(client, item, owner, company):
    plan = PlanFactory(complete=True, stem__job__company=company, stem__job__lead=owner.person)
    inspect = reverse("item_inspect", args=[item.tag]) + "?kind=pre_use"
    page = client.get(inspect)
    looked = typed(page, verdict="fit", marking_legible="on") | points_good(page)
    plan_page = client.get(reverse("plan", args=[plan.stem_id]))
    job_page = client.get(reverse("job_new"))
    job = typed(job_page, reference="0799", site_name="Withy Cut", address="Towpath", first_day="2026-12-01",
                last_day="2026-12-02", lead=str(owner.person_id), emergency_department="Eelpool",
                rescue_plan="Ladder", communication="Radio")  # fmt: skip
    people = Person.objects.count()
    person = typed(client.get(reverse("person_new")), name="Perrin Loam")
    sent = [
        (inspect, looked),
        (reverse("plan_keep", args=[plan.stem_id]), typed(plan_page)),
        (reverse("job_new"), job),
        (reverse("person_new"), person),
    ]
    for where, data in sent:
        answers = [client.post(where, data) for _ in range(3)]
        assert [answer.status_code for answer in answers] == [302] * 3, where
        assert len({answer["Location"] for answer in answers}) == 1
    assert Inspection.objects.filter(item=item, kind="pre_use").count() == 1
    assert PlanRevision.objects.count() == 1
    assert Job.objects.filter(reference="0799").count() == 1
    assert Person.objects.count() == people + 1


def test_a_sheet_sent_to_be_issued_twice_is_issued_once_and_both_are_led_to_it(client, owner, company):
    sheet = passing_sheet(company, lead=owner.person)
    where = reverse("sheet_issue", args=[sheet.pk])
    looked_at = {"looked_at": sorted(EVERYTHING)} | shown_token(client.get(reverse("sheet", args=[sheet.pk])))
    first, second = client.post(where, looked_at), client.post(where, looked_at)
    assert first["Location"] == second["Location"] == reverse("sheet", args=[sheet.pk])
    assert IssuedSheet.objects.filter(sheet=sheet).count() == 1


def points_good(page):
    """Every point of the checklist answered well, by the first answer it offers."""
    form = page.context["form"]
    return {
        bound.html_name: next(str(code) for code, _ in bound.field.choices if code)
        for bound in form
        if bound.html_name.startswith("point")
    }


def test_old_keys_are_swept_and_young_ones_stay(client, item, capsys):
    where, data = event_form(client, item)
    client.post(where, data)
    call_command("sweep_files")
    assert SentForm.objects.count() == 1
    SentForm.objects.update(created_at=timezone.now() - dt.timedelta(days=31))
    call_command("sweep_files")
    assert not SentForm.objects.exists()
    said = capsys.readouterr().out
    assert "0 keys of forms sent long ago removed." in said
    assert "1 key of forms sent long ago removed." in said
