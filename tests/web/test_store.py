"""The register, what falls due, and finding a tag, as pages."""

import pytest
from django.urls import reverse

from gear.models import GearItem
from tests.factories.gear import ItemFactory
from tests.gear.test_selectors import clone
from tests.pages import html_of

pytestmark = pytest.mark.django_db
EVERYONE = ("owner", "lead", "inspector", "climber", "auditor")


@pytest.fixture
def browse(signed_in, owner):
    return signed_in(owner)


def page(client, name="store", **query):
    response = client.get(reverse(name), query)
    return response, html_of(response)


@pytest.mark.parametrize("who", EVERYONE)
@pytest.mark.parametrize("name", ["store", "store_due", "find_tag"])
def test_everyone_of_the_company_reads_the_store(who, name, request, signed_in):
    client = signed_in(request.getfixturevalue(who))
    assert client.get(reverse(name)).status_code == 200


@pytest.mark.parametrize(("who", "may"), [("owner", True), ("lead", False), ("climber", False), ("auditor", False)])
def test_only_the_owner_is_offered_to_add_an_item_and_may(who, may, request, signed_in):
    client = signed_in(request.getfixturevalue(who))
    assert ("Add an item" in page(client)[1]) == may
    assert client.get(reverse("item_new")).status_code == (200 if may else 403)


def test_an_empty_store_says_what_to_do(browse):
    assert "No sheet can be issued without gear on record" in page(browse)[1]


def test_each_row_says_tag_rating_due_date_and_state_in_words(browse, company):
    ItemFactory(company=company, tag="B-04", quarantined=True, storage_place="Cage, shelf 2")
    _, html = page(browse)
    for text in ("B-04", "WLL 12.00\N{NO-BREAK SPACE}kN", "Examine first", "Dropped", "Cage, shelf 2"):
        assert text in html


def test_ratings_are_rounded_down_and_in_the_companys_units(browse, company):
    ItemFactory(company=company, working_load_limit_n=11_999.9)
    assert "11.99\N{NO-BREAK SPACE}kN" in page(browse)[1]
    company.unit_system = "us"
    company.save()
    assert "2,697\N{NO-BREAK SPACE}lbf" in page(browse)[1]


def test_the_list_is_narrowed_by_words_class_place_and_state(browse, company):
    ItemFactory(company=company, tag="B-06", storage_place="Cage")
    ItemFactory(company=company, tag="R-07", rope=True, overdue=True)
    for query, shown, hidden in (
        ({"q": "r-0"}, "R-07", "B-06"),
        ({"c": "block"}, "B-06", "R-07"),
        ({"p": "Cage"}, "B-06", "R-07"),
        ({"s": "over"}, "R-07", "B-06"),
    ):
        _, html = page(browse, **query)
        assert f">{shown}<" in html
        assert f">{hidden}<" not in html


@pytest.mark.parametrize("query", [{"c": "hammock"}, {"s": "lost"}, {"due": "x"}, {"page": "99"}, {"p": "Nowhere"}])
def test_nonsense_in_the_address_still_shows_a_list(browse, company, query):
    ItemFactory(company=company, tag="B-06")
    response, html = page(browse, **query)
    assert response.status_code == 200
    assert "B-06" in html


def test_an_htmx_request_gets_the_part_alone_and_the_page_includes_the_same(browse, company):
    ItemFactory(company=company, tag="B-06")
    part = browse.get(reverse("store"), headers={"HX-Request": "true"})
    assert "<html" not in html_of(part)
    assert 'id="register"' in html_of(part)
    assert "HX-Request" in part["Vary"]
    assert 'id="register"' in page(browse)[1]


def test_going_back_in_history_gets_the_whole_page(browse):
    response = browse.get(reverse("store"), headers={"HX-Request": "true", "HX-History-Restore-Request": "true"})
    assert "<html" in html_of(response)


def test_typed_text_is_shown_again_and_never_as_markup(browse):
    _, html = page(browse, q="<script>alert(1)</script>")
    assert "<script>alert" not in html
    assert "&lt;script&gt;" in html


def test_the_store_of_another_company_stays_closed(signed_in, outsider, company):
    ItemFactory(company=company, tag="B-06")
    assert "B-06" not in page(signed_in(outsider))[1]


def test_fifty_rows_a_page(browse, company):
    made = ItemFactory(company=company, tag="K-000")
    GearItem.objects.bulk_create(clone(made, f"K-{n:03d}") for n in range(1, 60))
    _, html = page(browse)
    assert "1 to 50 of 60" in html
    assert "K-049" in html
    assert "K-050" not in html
    assert "K-050" in page(browse, page=2)[1]


@pytest.mark.parametrize("count", [20, 200])
def test_the_page_costs_the_same_queries_however_many_items(browse, company, count, django_assert_num_queries):
    made = ItemFactory(company=company, tag="K-000")
    GearItem.objects.bulk_create(clone(made, f"K-{n:03d}") for n in range(1, count))
    page(browse)
    with django_assert_num_queries(13):  # session, user, member, places, failures, rows counted, rows, counts, changes
        assert page(browse)[0].status_code == 200


def test_what_falls_due_shows_the_overdue_first(browse, company):
    ItemFactory(company=company, tag="B-06", due_soon=True)
    ItemFactory(company=company, tag="S-03", overdue=True)
    _, html = page(browse, "store_due")
    assert html.index("S-03") < html.index("B-06")
    assert "overdue" in html


def test_a_tag_leads_to_its_item(browse, company):
    ItemFactory(company=company, tag="B-06")
    response = browse.get(reverse("find_tag"), {"tag": " b-06"})
    assert response.status_code == 302
    assert response["Location"] == reverse("item", args=["B-06"])


def test_an_unknown_tag_and_another_companys_are_both_not_here(browse):
    ItemFactory(tag="X-99")
    for tag in ("X-99", "nonsense"):
        response, html = page(browse, "find_tag", tag=tag)
        assert response.status_code == 422
        assert "No item here has this tag" in html
        assert f'value="{tag}"' in html


def test_signed_out_nobody_sees_anything(client):
    for name in ("store", "store_due", "find_tag", "item_new", "recall_new"):
        assert client.get(reverse(name)).status_code == 302


def test_the_register_is_narrowed_to_what_falls_due_in_a_week_remarks_too(browse, company):
    ItemFactory(company=company, tag="B-06", due_soon=True)
    ItemFactory(company=company, tag="S-03", remark_overdue=True)
    ItemFactory(company=company, tag="R-01")
    _, html = page(browse, "store", due="7")
    assert "S-03" in html
    assert "B-06" not in html
    assert "R-01" not in html
    assert '<option value="7" selected>Within 7 days</option>' in html
