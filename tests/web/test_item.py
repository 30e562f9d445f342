"""The page of one item, registering, changing, events and the end, as pages."""

import datetime as dt
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils.html import escape

from gear.models import ITEM_COLUMNS, GearEvent, GearItem, Recall, Retirement
from gear.recalls.services import record_recall
from gear.register.editable import EDITABLE
from gear.register.history_page import item_history
from tests.factories.gear import ItemFactory
from tests.files import jpeg
from tests.pages import html_of
from tests.web.posting import shown_token

pytestmark = pytest.mark.django_db
PEOPLE = ("owner", "lead", "inspector", "climber", "auditor", "outsider")
# Address -> who may open it; the others of the company get 403, another company 404.
WHO = {
    "item": {"owner", "lead", "inspector", "climber", "auditor"},
    "item_edit": {"owner"},
    "item_change": {"owner", "inspector"},
    "item_alter": {"owner"},
    "item_inspect": {"owner", "lead", "inspector", "climber"},
    "item_event": {"owner", "lead", "inspector", "climber"},
    "item_out": {"owner", "lead", "inspector"},
    "item_retire": {"owner"},
    "item_mistake": {"owner"},
    "item_recall": {"owner", "inspector"},
}


@pytest.fixture
def browse(signed_in, owner):
    return signed_in(owner)


def url(name, item):
    return reverse(name, args=[item.tag])


def test_every_fact_of_an_item_is_asked_for_where_it_is_registered_in_the_words_of_its_column(browse):
    html = html_of(browse.get(reverse("item_new")))
    asked = {name for name in EDITABLE if f'name="{name}"' in html}
    assert asked == set(EDITABLE) - {"parent"}
    assert all(escape(column.label) in html for name, column in ITEM_COLUMNS.items() if name in asked)


@pytest.mark.parametrize("who", PEOPLE)
@pytest.mark.parametrize("name", WHO)
def test_who_may_open_what_of_an_item(name, who, request, signed_in, company):
    item = ItemFactory(company=company)
    expected = 404 if who == "outsider" else 200 if who in WHO[name] else 403
    assert signed_in(request.getfixturevalue(who)).get(url(name, item)).status_code == expected


@pytest.mark.parametrize("who", PEOPLE)
@pytest.mark.parametrize("name", [n for n in WHO if n != "item"])
def test_who_may_not_open_it_may_not_post_to_it_either(name, who, request, signed_in, company):
    item = ItemFactory(company=company)
    if who in WHO[name]:
        return
    response = signed_in(request.getfixturevalue(who)).post(url(name, item), {})
    assert response.status_code == (404 if who == "outsider" else 403)


def test_the_page_says_what_is_wrong_and_what_cures_it(browse, company):
    html = html_of(browse.get(url("item", ItemFactory(company=company, quarantined=True))))
    assert "Not fit today" in html
    assert "Out of use since" in html
    assert "Have it examined and passed by a competent person" in html
    assert "Drop from height" in html


def test_a_fit_item_has_no_refusal(browse, company):
    html = html_of(browse.get(url("item", ItemFactory(company=company))))
    assert "Not fit today" not in html
    assert "In service" in html


def test_no_page_calls_anything_safe_or_ok(browse, company):
    for story in ({}, {"quarantined": True}, {"retired": True}):
        html = html_of(browse.get(url("item", ItemFactory(company=company, **story))))
        text = re.sub(r"<[^>]+>", " ", html)
        assert not re.search(r"\b(safe|OK)\b", text)


def test_strength_over_design_factor_is_what_it_may_carry(browse, company):
    html = html_of(browse.get(url("item", ItemFactory(company=company, rope=True))))
    assert "45.00 <small>kN</small>" in html
    assert "9.00 <small>kN</small>" in html


def test_the_code_holds_no_style_and_no_script(browse, company):
    html = html_of(browse.get(url("item", ItemFactory(company=company))))
    code = re.search(r"<svg[^>]*class=\"qr\".*?</svg>", html, re.S)
    assert code is not None
    assert "style=" not in html
    assert "<script>" not in html


def test_a_retired_item_offers_nothing_to_do(browse, company):
    html = html_of(browse.get(url("item", ItemFactory(company=company, retired=True))))
    for name in ("inspect", "event", "retire", "edit"):
        assert f"/{name}/" not in html


FACTS = {
    "tag": "B-21",
    "gear_class": "block",
    "description": "Block, single",
    "working_load_limit_n": "12",
    "pulls_at_ground": "on",
}


def test_an_item_is_registered_from_what_was_typed(browse, company):
    response = browse.post(reverse("item_new"), FACTS | {"breaking_strength_n": "14,000 lbf".replace(",", "")})
    item = GearItem.objects.get(company=company, tag="B-21")
    assert response["Location"] == url("item", item)
    assert item.working_load_limit_n == 12_000.0
    assert item.breaking_strength_n == pytest.approx(62_275.1, abs=0.1)  # 14 000 lbf at 4.448 221 6 N
    assert item.length_m is None


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"working_load_limit_n": "12,5"}, "12.5"),
        ({"working_load_limit_n": "0"}, "field--wrong"),
        ({"tag": "B 21"}, "letters, digits, points or dashes"),
        ({"gear_class": ""}, "Choose one"),
        ({"pulls_at_ground": ""}, "Choose at least one use"),
        ({"design_factor": "4"}, "never looser"),
        ({"gear_class": "hitch_cord", "material": "polypropylene"}, "melts"),
        ({"gear_class": "tackle_set"}, "how many tagged parts"),
    ],
)
def test_a_refused_registration_says_why_and_keeps_what_was_typed(browse, typed, says):
    response = browse.post(reverse("item_new"), FACTS | {"maker": "Dunnock Forge"} | typed)
    html = html_of(response)
    assert response.status_code == 422
    assert says in html
    assert 'value="Dunnock Forge"' in html
    assert not GearItem.objects.exists()


def test_a_taken_tag_is_said_at_the_head_of_the_form(browse, company):
    ItemFactory(company=company, tag="b-21", retired=True)
    response = browse.post(reverse("item_new"), FACTS)
    assert response.status_code == 422
    assert "never used twice" in html_of(response)


def test_the_edit_page_changes_place_and_words_and_shows_the_facts_with_a_way_to_change_them(browse, company):
    item = ItemFactory(company=company, working_load_limit_n=12_345.678)
    page = browse.get(url("item_edit", item))
    html = html_of(page)
    assert "12.34" in html
    assert f"{url('item_change', item)}?fact=working_load_limit" in html
    assert 'name="working_load_limit_n"' not in html
    typed = {"description": "Block, new words", "storage_place": "Van 2", "working_load_limit_n": "90"}
    typed |= shown_token(page)
    assert browse.post(url("item_edit", item), typed).status_code == 302
    item.refresh_from_db()
    assert (item.description, item.storage_place) == ("Block, new words", "Van 2")
    assert item.working_load_limit_n == 12_345.678


def test_an_event_puts_the_item_out_of_use(signed_in, climber):
    item = ItemFactory(company=climber.company)
    typed = {
        "kind": "drop",
        "happened_on": item.company.today().isoformat(),
        "description": "from the cage",
        "loaded": "unknown",
    }
    response = signed_in(climber).post(url("item_event", item), typed, follow=True)
    assert "Not fit today" in html_of(response)
    assert GearEvent.objects.get(item=item).gear_loaded is None


def test_a_refused_event_keeps_what_was_typed(signed_in, climber):
    item = ItemFactory(company=climber.company)
    response = signed_in(climber).post(url("item_event", item), {"description": "from the cage"})
    assert response.status_code == 422
    assert "from the cage" in html_of(response)
    assert not GearEvent.objects.exists()


def test_an_event_takes_its_photograph_and_holds_it_over_a_refusal(signed_in, climber, settings, tmp_path):
    settings.FILES_DIR = tmp_path
    item = ItemFactory(company=climber.company)
    client = signed_in(climber)
    typed = {"kind": "drop", "happened_on": item.company.today().isoformat(), "loaded": "unknown"}
    refused = client.post(
        url("item_event", item), typed | {"photo": SimpleUploadedFile("fall.jpg", jpeg(), "image/jpeg")}
    )
    held = re.search(r'name="photo-held" value="([^"]+)"', html_of(refused))
    assert refused.status_code == 422
    page = client.post(
        url("item_event", item), typed | {"description": "from the cage", "photo-held": held[1]}, follow=True
    )
    (event,) = GearEvent.objects.filter(item=item)
    (file,) = event.files.all()
    assert (file.kind, file.name_given) == ("photograph", "fall.jpg")
    row = next(row for row in item_history(item) if row.files)
    assert "from the cage" in " ".join(row.lines)
    assert file.get_absolute_url() in html_of(page)
    wrong = SimpleUploadedFile("fall.jpg", b"no picture", "image/jpeg")
    other = ItemFactory(company=climber.company)
    assert client.post(url("item_event", other), typed | {"description": "x", "photo": wrong}).status_code == 422
    assert not GearEvent.objects.filter(item=other).exists()


def test_the_retire_form_says_that_it_cannot_be_undone_and_asks_to_be_sure(browse, company):
    item = ItemFactory(company=company)
    assert "cannot be undone" in html_of(browse.get(url("item_retire", item)))
    typed = {"because": "cut strand", "disposal": "destroyed", "retired_on": company.today().isoformat()}
    assert browse.post(url("item_retire", item), typed).status_code == 422
    assert not Retirement.objects.exists()
    assert browse.post(url("item_retire", item), typed | {"sure": "on"}).status_code == 302
    item.refresh_from_db()
    assert item.is_retired


def test_the_second_of_two_retirements_is_told(browse, company):
    item = ItemFactory(company=company, retired=True)
    typed = {"because": "x", "disposal": "lost", "retired_on": company.today().isoformat(), "sure": "on"}
    response = browse.post(url("item_retire", item), typed)
    assert response.status_code == 422
    assert "retired already" in html_of(response)


def test_an_item_is_taken_out_of_use_with_a_reason(signed_in, lead):
    item = ItemFactory(company=lead.company)
    client = signed_in(lead)
    assert client.post(url("item_out", item), {"because": ""}).status_code == 422
    assert client.post(url("item_out", item), {"because": "stiff gate"}).status_code == 302
    item.refresh_from_db()
    assert item.quarantined_because == "Taken out of use: stiff gate"


def test_a_recall_is_recorded_and_settled_on_pages(browse, company):
    item = ItemFactory(company=company, maker="Quillmere Ropewalk")
    typed = {"maker": "Quillmere Ropewalk", "announced_on": company.today().isoformat(), "source": "notice 7"}
    typed["gear_classes"] = ["block", "rope"]
    preview = browse.post(reverse("recall_new"), typed)
    assert not Recall.objects.exists()
    assert [row.tag for row in preview.context["preview"].rows] == [item.tag]
    typed["seen"] = preview.context["preview"].token
    response = browse.post(reverse("recall_new"), typed, follow=True)
    assert "may cover 1 of our items" in html_of(response)
    recall = Recall.objects.get()
    assert "Close the recall" in html_of(browse.get(url("item", item)))
    response = browse.post(url("item_recall", item), {"recall": recall.pk, "because": "batch read"}, follow=True)
    assert "No recall is open" in html_of(browse.get(url("item_recall", item)))
    assert "Not fit today" not in html_of(response)


def test_a_recall_is_shown_again_when_what_it_covers_has_changed(browse, company):
    ItemFactory(company=company, tag="S-01", maker="Quillmere Ropewalk", batch="Q7")
    typed = {"maker": "Quillmere Ropewalk", "batches": "Q7", "announced_on": company.today(), "source": "notice 7"}
    typed["gear_classes"] = ["block"]
    typed["seen"] = browse.post(reverse("recall_new"), typed).context["preview"].token
    ItemFactory(company=company, tag="S-02", maker="Quillmere Ropewalk", batch="")
    for changes in ({}, {"batches": "Q7, Q8"}):
        again = browse.post(reverse("recall_new"), typed | changes)
        assert [row.tag for row in again.context["preview"].rows] == ["S-01", "S-02"]
        html = html_of(again)
        assert "Batch Q7 is named" in html
        assert "Batch not recorded: counts as covered" in html
    assert not Recall.objects.exists()


def test_a_recall_that_covers_nothing_yet_is_recorded_for_what_comes_later(browse, company):
    typed = {"maker": "Quillmere Ropewalk", "announced_on": company.today(), "source": "notice 7"}
    typed["gear_classes"] = ["block"]
    preview = browse.post(reverse("recall_new"), typed)
    assert "Nothing in the store" in html_of(preview)
    browse.post(reverse("recall_new"), typed | {"seen": preview.context["preview"].token})
    assert Recall.objects.count() == 1


def test_a_recall_of_another_company_cannot_be_settled_here(browse, company, outsider):
    item = ItemFactory(company=company, maker="Quillmere Ropewalk")
    theirs = record_recall(
        actor=outsider, maker="Quillmere Ropewalk", announced_on=outsider.company.today(), source="notice 7"
    )
    response = browse.post(url("item_recall", item), {"recall": theirs.pk, "because": "x"})
    assert response.status_code == 422


def test_markup_in_what_people_wrote_is_shown_as_text(browse, company):
    item = ItemFactory(company=company, description="<b>Block</b>", notes="<script>x</script>")
    html = html_of(browse.get(url("item", item)))
    assert "<script>x" not in html
    assert "&lt;b&gt;Block" in html


@pytest.mark.parametrize("count", [2, 20])
def test_the_page_costs_the_same_queries_however_long_the_history(
    browse, company, count, django_assert_max_num_queries
):
    from tests.factories.gear import happened

    item = ItemFactory(company=company)
    for n in range(count):
        happened(item, "contamination", days=n)
    with django_assert_max_num_queries(22):
        browse.get(url("item", item))


@pytest.mark.parametrize(("days", "late"), [(-1, True), (0, False), (1, False)])
def test_a_borrowed_item_kept_too_long_says_so(browse, company, days, late):
    item = ItemFactory(
        company=company, borrowed_from="The next village", due_back_on=company.today() + dt.timedelta(days=days)
    )
    assert ("Return overdue" in html_of(browse.get(url("item", item)))) is late
