"""Rounds as pages: chosen, answered with and without a script, signed, read afterwards."""

import datetime as dt
import json
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from crewlog.evidence import verify
from gear.models import Inspection, Round, RoundDraft, RoundDraftAnswer, RoundPhotograph, StoredFile
from gear.rounds.pages import OPEN_SHOWN
from gear.rounds.sign import fingerprint, record_failure, review_round
from tests.factories.gear import ItemFactory, examiner
from tests.files import jpeg
from tests.gear.rounds import all_good, answer, answer_all, opened, row_of, sign, told
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines(inspector):
    return examiner(inspector)


@pytest.fixture
def browse(signed_in, ines):
    return signed_in(ines)


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, rope=True, tag="R-01", storage_place="Van 1", overdue=True)


@pytest.fixture
def block(company):
    return ItemFactory(company=company, tag="B-01", storage_place="Van 1", overdue=True)


def item_url(draft, place=1):
    return reverse("round_item", args=[draft.pk, place])


def send(client, draft, items, **said):
    now = timezone.now().isoformat()
    body = {"device": "phone", "now": now, "offset_min": 0, "items": items} | said
    return client.post(reverse("round_answers", args=[draft.pk]), json.dumps(body), content_type="application/json")


def page(client, *address, **query):
    return html_of(client.get(reverse(address[0], args=address[1:], query=query or None)))


def test_a_round_is_chosen_by_due_date_place_or_set_with_counts(browse, company, rope, block):
    whole = ItemFactory(company=company, tag="T-01", gear_class="tackle_set", parts_expected=2)
    ItemFactory(company=company, tag="B-02", assembly=whole)
    response = browse.get(reverse("round_new"))
    found = {each.words: each.count for group in response.context["choices"].values() for each in group}
    assert found == {
        "Due within 7 days": 2,
        "Due within 30 days": 2,
        "Due within 90 days": 2,
        "Van 1": 2,
        "T-01 Double block, side by side": 2,
    }
    assert "B-02" in page(browse, "round_new", set="T-01")
    assert "R-01" not in page(browse, "round_new", set="T-01")
    assert "R-01" in page(browse, "round_new", due=30)
    assert "R-01" in page(browse, "round_new", pick=1, q="line")
    assert "B-01" not in page(browse, "round_new", pick=1, q="line")


def test_a_round_is_started_with_the_ticked_items(browse, rope, block):
    address = reverse("round_new", query={"place": "Van 1"})
    html = html_of(browse.get(address))
    assert html.count('name="item"') == len(re.findall(r'<input[^>]* name="item"[^>]* checked', html)) == 2
    assert browse.post(address, {"kind": "thorough"}).status_code == 422
    response = browse.post(address, {"kind": "interim", "item": [rope.pk]})
    draft = RoundDraft.objects.get()
    assert response["Location"] == item_url(draft)
    assert (draft.title, draft.kind) == ("Kept at Van 1", "interim")
    assert [row.item for row in draft.rows.all()] == [rope]


def test_what_one_may_not_sign_for_is_listed_aside(signed_in, inspector, rope, block):
    client = signed_in(examiner(inspector, gear_class="rope"))
    html = page(client, "round_new", place="Van 1")
    assert html.count('name="item"') == 1
    assert "Excluded" in html
    assert "no valid qualification" in html


def test_another_companys_items_are_not_offered_and_not_taken(browse, rope):
    theirs = ItemFactory(storage_place="Van 1")
    address = reverse("round_new", query={"place": "Van 1"})
    assert theirs.tag not in html_of(browse.get(address))
    assert browse.post(address, {"kind": "thorough", "item": [theirs.pk]}).status_code == 422


def test_an_item_is_answered_by_its_button_without_a_script(browse, ines, rope, block):
    draft = opened(ines, rope, block)
    opening = browse.get(item_url(draft))
    stamp = opening.context["opened"]
    response = browse.post(
        item_url(draft), all_good(rope) | {"opened": stamp, "do": "next", "measure_diameter_mm-unit": "mm"}
    )
    assert response["Location"] == item_url(draft, 2)
    row = row_of(draft, rope)
    assert row.answers.get(name="measure_diameter_mm").value == "14"
    assert row.seconds_spent is not None
    html = html_of(browse.get(item_url(draft)))
    assert "7 of 7 answered" in html
    assert "Within its limit" in html
    assert Inspection.objects.filter(item=rope).count() == 1


def test_what_cannot_be_read_is_kept_and_said_at_its_box(browse, ines, rope):
    draft = opened(ines, rope)
    response = browse.post(item_url(draft), {"measure_diameter_mm": "13,4", "answer_ends": "good"})
    html = html_of(response)
    assert response.status_code == 422
    assert 'value="13,4"' in html
    assert "13.4" in html
    assert "1 of 7 answered" in html_of(browse.get(item_url(draft)))


@pytest.mark.parametrize("outcome", ["not_presented", "not_examined"])
def test_one_press_says_that_an_item_was_not_examined(browse, ines, rope, outcome):
    draft = opened(ines, rope)
    assert browse.post(item_url(draft), {"quick": outcome}).status_code == 302
    assert review_round(draft)[0].group == outcome


def test_a_bare_figure_keeps_the_unit_it_was_typed_in(browse, ines, company, rope):
    draft = opened(ines, rope)
    browse.post(item_url(draft), all_good(rope) | {"measure_diameter_mm-unit": "mm"})
    company.unit_system = "us"
    company.save()
    examination = review_round(draft)[0].reading.examination
    assert examination.measures["diameter_mm"] == 14


def test_a_failure_is_recorded_by_its_button_or_comes_back_with_what_is_missing(browse, ines, rope):
    draft = opened(ines, rope)
    typed = {"answer_sheath": "fail", "do": "fail"}
    response = browse.post(item_url(draft), typed)
    assert response.status_code == 422
    assert "Say what you saw" in html_of(response)
    assert browse.post(item_url(draft), typed | {"saw_sheath": "cut at 3 m"} | told()).status_code == 302
    rope.refresh_from_db()
    assert rope.quarantined_because == "Failed: cut at 3 m"
    html = html_of(browse.get(item_url(draft)))
    assert "Failed and recorded" in html
    assert "round-form" not in html


def test_a_failure_takes_its_photograph_and_keeps_it_over_a_refusal(browse, ines, rope, settings, tmp_path):
    settings.FILES_DIR = tmp_path
    draft = opened(ines, rope)
    typed = {"answer_sheath": "fail", "do": "fail"}
    picture = SimpleUploadedFile("cut.jpg", jpeg(), "image/jpeg")
    refused = browse.post(item_url(draft), typed | {"photo": picture})
    assert refused.status_code == 422
    assert "Kept: cut.jpg. Another one takes its place." in html_of(refused)
    assert browse.post(item_url(draft), typed | {"saw_sheath": "cut at 3 m"} | told()).status_code == 302
    inspection = Inspection.objects.get(item=rope, verdict="out_of_use")
    assert inspection.files.get().kind == "photograph"


def photograph(name="seen.jpg", colour="red"):
    return SimpleUploadedFile(name, jpeg(colour=colour), "image/jpeg")


def test_photographs_of_remarks_are_signed_with_their_points(browse, ines, rope, company, settings, tmp_path):
    settings.FILES_DIR = tmp_path
    draft = opened(ines, rope)
    remark = {
        "answer_sheath": "remark", "saw_sheath": "fluffed at 3 m", "verdict": "remark", "answer_ends": "remark",
        "saw_ends": "whipping loose", "remark_due_on": (company.today() + dt.timedelta(days=20)).isoformat(),
    }  # fmt: skip
    typed = all_good(rope, **remark)
    pictures = {"photo_sheath": photograph("first.jpg", "blue"), "photo_ends": photograph(), "photo": photograph()}
    assert browse.post(item_url(draft), typed | pictures).status_code == 302
    browse.post(item_url(draft), {"photo_sheath": photograph("second.jpg"), "do": "photograph"})
    browse.post(item_url(draft), {"answer_ends": "good", "do": "next"})
    assert not StoredFile.objects.exists()
    sign(ines, draft)
    inspection = Inspection.objects.filter(item=rope).latest("record_id")
    found = {file.point: file.name_given for file in inspection.files.all()}
    assert found == {"": "seen.jpg", "sheath": "second.jpg", "ends": "seen.jpg"}  # also of the point that is good now
    assert verify(company).holds


def test_a_photograph_sent_later_by_the_script_is_kept_or_refused_and_changes_no_answer(browse, ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope)
    before = {row.name: row.value for row in RoundDraftAnswer.objects.all()}
    assert browse.post(item_url(draft), {"photo": photograph(), "do": "photograph"}).status_code == 204
    wrong = SimpleUploadedFile("cut.jpg", b"not a picture", "image/jpeg")
    assert browse.post(item_url(draft), {"photo": wrong, "do": "photograph"}).status_code == 422
    assert RoundPhotograph.objects.get().name_given == "seen.jpg"
    assert {row.name: row.value for row in RoundDraftAnswer.objects.all()} == before
    shown = fingerprint(review_round(draft))
    browse.post(item_url(draft), {"photo": photograph("other.jpg", "blue"), "do": "photograph"})
    assert fingerprint(review_round(draft)) != shown
    browse.post(item_url(draft), {"do": "again"})
    assert not RoundPhotograph.objects.exists()


def test_a_file_that_is_no_photograph_is_refused_and_nothing_recorded(browse, ines, rope):
    draft = opened(ines, rope)
    typed = {"answer_sheath": "fail", "saw_sheath": "cut at 3 m", "do": "fail", **told()}
    wrong = SimpleUploadedFile("cut.jpg", b"not a picture", "image/jpeg")
    assert browse.post(item_url(draft), typed | {"photo": wrong}).status_code == 422
    assert not Inspection.objects.filter(item=rope, verdict="out_of_use").exists()


def test_a_failed_part_asks_what_becomes_of_its_set(browse, ines, company):
    whole = ItemFactory(company=company, tag="T-01", gear_class="tackle_set", parts_expected=2)
    part = ItemFactory(company=company, tag="B-02", assembly=whole)
    draft = opened(ines, whole, part)
    typed = {"answer_cracks": "fail", "saw_cracks": "cheek cracked", "do": "fail", **told()}
    response = browse.post(item_url(draft, 2), typed)
    address = reverse("round_set", args=[draft.pk, 2])
    assert response["Location"] == address
    assert "Take T-01 out of use" in html_of(browse.get(address))
    assert browse.post(address, {"because": ""}).status_code == 422
    assert browse.post(address, {"because": "Part B-02 failed"}).status_code == 302
    whole.refresh_from_db()
    assert whole.quarantined_on is not None
    assert browse.get(reverse("round_set", args=[draft.pk, 1])).status_code == 404


def test_answers_that_waited_on_a_phone_arrive(browse, ines, rope):
    draft = opened(ines, rope)
    at = timezone.now().isoformat()
    items = {"1": {"answers": {name: [value, at] for name, value in all_good(rope).items()}, "seconds": 12}}
    response = send(browse, draft, items)
    assert response.json() == {"kept": 7, "recorded": {}, "held": {}}
    assert send(browse, draft, items).json()["kept"] == 0
    line = review_round(draft)[0]
    assert (line.group, line.row.seconds_spent) == ("fit", 12)


def test_a_failure_pressed_without_signal_is_recorded_when_it_arrives(browse, ines, rope, block):
    draft = opened(ines, rope, block)
    at = timezone.now().isoformat()
    failing = {"answer_sheath": ["fail", at]}
    said = send(browse, draft, {"1": {"answers": failing, "fail": True}, "9": {"fail": True}}).json()
    assert "Say what you saw" in said["recorded"]["1"]
    rope.refresh_from_db()
    assert rope.quarantined_on == rope.company.today()  # held all the same
    assert "by eye" in said["held"]["1"]
    words = {"saw_sheath": ["cut", at]}
    assert send(browse, draft, {"1": {"answers": words, "fail": True}}).json()["recorded"] == {"1": ""}
    assert Inspection.objects.filter(item=rope, verdict="out_of_use").count() == 1
    assert send(browse, draft, {"1": {"fail": True}}).json()["recorded"] == {"1": ""}


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"\xff",
        b"[" * 50_000,
        {"items": []},
        {"items": {"x": {}}},
        {"items": {"1": []}},
        {"items": {"1": {"answers": []}}},
        {"items": {"1": {"answers": {"answer_ends": "good"}}}},
        {"items": {"1": {"answers": {"answer_ends": ["good", "yesterday"]}}}},
        {"items": {"1": {"answers": {"answer_ends": [3, "2026-11-26T10:00:00Z"]}}}},
        {"now": "2026-11-26T10:00:00", "items": {}},
        {"device": "", "items": {}},
        {"device": 7, "items": {}},
    ],
)
def test_what_is_no_message_of_a_round_is_refused_and_changes_nothing(browse, ines, rope, body):
    draft = opened(ines, rope)
    if isinstance(body, dict):
        body = json.dumps({"device": "d", "now": "2026-11-26T10:00:00Z"} | body).encode()
    response = browse.post(reverse("round_answers", args=[draft.pk]), body, content_type="application/json")
    assert response.status_code == 400
    assert RoundDraftAnswer.objects.count() == 0


def test_answers_to_a_closed_round_are_refused(browse, ines, rope):
    draft = opened(ines, rope)
    assert browse.post(reverse("round_close", args=[draft.pk])).status_code == 302
    response = send(browse, draft, {})
    assert (response.status_code, response.json()["code"]) == (409, "round-closed")


def test_two_devices_that_disagree_are_shown_with_their_times(browse, ines, rope):
    draft = opened(ines, rope)
    RoundDraft.objects.update(started_at=timezone.now() - dt.timedelta(hours=2))
    now = timezone.now()
    early, late = now - dt.timedelta(minutes=40), now - dt.timedelta(minutes=3)
    answer(ines, draft, rope, at=late, now=now, device="desk", answer_ends="good")
    answer(ines, draft, rope, at=early, now=now, device="phone", answer_ends="remark")
    html = html_of(browse.get(item_url(draft)))
    assert "Answered on two devices" in html
    assert f"Good at {late:%H:%M}" in html
    assert f"Remark at {early:%H:%M} on the other device" in html


def test_the_sign_page_counts_what_it_would_sign_and_says_what_it_would_not(browse, ines, rope, block, company):
    late = ItemFactory(company=company, tag="B-03")
    draft = opened(ines, rope, block, late)
    answer(ines, draft, rope, seconds=31)
    answer(ines, draft, block, answer_axle="good")
    address = reverse("round_sign", args=[draft.pk])
    html = html_of(browse.get(address))
    for words in ("Sign 1", "Cannot be signed: 1", "Not answered: 1", "12 months", ">31<"):
        assert words in html
    assert browse.post(address, {"shown": "something else"}).status_code == 422
    assert Round.objects.count() == 0
    response = browse.post(address, {"shown": fingerprint(review_round(draft))})
    assert response["Location"] == reverse("round_signed", args=[Round.objects.get().pk])


@pytest.mark.parametrize("who", ["owner", "lead", "climber", "auditor"])
def test_a_signed_round_shows_seconds_and_outcomes_to_everyone(request, signed_in, ines, rope, block, who):
    draft = opened(ines, rope, block)
    answer(ines, draft, rope, seconds=3)
    answer(ines, draft, block, verdict="not_presented")
    signed = sign(ines, draft).round
    client = signed_in(request.getfixturevalue(who))
    html = page(client, "round_signed", signed.pk)
    for words in ("R-01", "Not presented", "Ines Varrow", "An item took", ">3<", "point by point"):
        assert words in html
    assert ("Correct it" in html) == (who == "owner")
    assert "Van 1" in page(client, "rounds")


def test_a_corrected_inspection_is_marked_in_its_round(browse, ines, rope):
    draft = opened(ines, rope)
    answer_all(ines, draft)
    signed = sign(ines, draft).round
    wrong = signed.lines.get().inspection
    typed = all_good(rope) | {
        "verdict": "fit",
        "examined_on": rope.company.today().isoformat(),
        "because": "wrong rope",
    }
    address = reverse("item_inspect", args=["R-01"], query={"corrects": wrong.pk})
    assert browse.post(address, typed).status_code == 302
    assert "Corrected by record" in page(browse, "round_signed", signed.pk)


def test_an_item_says_that_it_was_not_presented_in_its_history(browse, ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, verdict="not_presented")
    sign(ines, draft)
    assert "Not presented" in html_of(browse.get(rope.get_absolute_url()))


def test_the_round_lists_its_items_by_state_and_where_to_go_on(browse, ines, rope, block):
    draft = opened(ines, rope, block)
    answer(ines, draft, rope)
    html = page(browse, "round", draft.pk)
    assert "1 of 2 answered" in html
    assert "Continue with item 2" in html
    assert "B-01" not in page(browse, "round", draft.pk, s="done")


def test_open_rounds_stand_on_the_first_page_and_in_the_store(browse, ines, rope):
    draft = opened(ines, rope)
    assert reverse("round", args=[draft.pk]) in page(browse, "today")
    assert reverse("rounds") in page(browse, "store")


def test_the_owner_reads_a_colleagues_open_round_and_neither_answers_nor_signs_it(signed_in, owner, ines, rope, block):
    draft = opened(ines, rope, block)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut at 3 m")
    client = signed_in(owner)
    html = page(client, "rounds")
    for words in ("Ines Varrow", "1 of 2 answered, 1 failed", reverse("round", args=[draft.pk])):
        assert words in html
    html = page(client, "round", draft.pk)
    assert "cut at 3 m" in html
    assert "Review and sign" not in html
    assert reverse("round_close", args=[draft.pk]) not in html
    html = html_of(client.get(item_url(draft)))
    assert "cut at 3 m" in html
    assert "round-form" not in html
    assert "data-send" not in html
    assert client.post(item_url(draft), {"answer_ends": "good"}).status_code == 403
    assert client.get(reverse("round_sign", args=[draft.pk])).status_code == 403


def test_the_owner_reaches_every_open_round_however_many(signed_in, owner, ines, rope):
    RoundDraft.objects.bulk_create(
        RoundDraft(company=rope.company, inspector=ines.person, kind="interim", title="Van", started_at=timezone.now())
        for _ in range(OPEN_SHOWN + 1)
    )
    client = signed_in(owner)
    first, second = page(client, "rounds"), page(client, "rounds", open=2)
    seen = {draft.pk for draft in RoundDraft.objects.all() if f'"/rounds/{draft.pk}/"' in first + second}
    assert len(seen) == RoundDraft.objects.count() == OPEN_SHOWN + 1


def test_a_failure_shows_in_the_summary_of_the_signature(browse, ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut", **told())
    record_failure(actor=ines, row=row_of(draft, rope))
    assert "Failed" in page(browse, "round_sign", draft.pk)


def test_the_worker_sees_the_pages_of_rounds_alone_and_anyone_may_read_it(client):
    response = client.get(reverse("round_worker"))
    assert response.status_code == 200
    assert response["Content-Type"].startswith("text/javascript")
    assert response["Service-Worker-Allowed"] == reverse("rounds")
    assert reverse("round_worker").startswith(reverse("rounds"))
    assert "worker-src 'self'" in response["Content-Security-Policy"]


def test_a_page_names_who_it_is_for_and_the_sign_in_page_nobody(browse, client, ines):
    assert f'data-person="{ines.person.pk}"' in page(browse, "rounds")
    assert "data-person" not in page(client, "account_login")
