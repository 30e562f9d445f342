"""Inspection intervals as pages: what a change moves is shown before it is saved."""

import datetime as dt

import pytest
from django.urls import reverse

from gear.models import GearItem, InspectionScheme, SchemeRule
from tests.factories.gear import ItemFactory, examined
from tests.gear.test_selectors import clone
from tests.pages import html_of

pytestmark = pytest.mark.django_db
CHANGE = "scheme_change"


@pytest.fixture
def browse(signed_in, owner):
    return signed_in(owner)


@pytest.fixture
def block(company):
    return ItemFactory(company=company, tag="B-01")


def preview(client, **asked):
    return client.get(reverse(CHANGE), asked)


def pulling(company):
    return SchemeRule.objects.get(scheme__company=company, use="pull_at_ground", scheme__is_active=True)


def own(**changes):
    return {
        "name": "Insurer's letter",
        "use": "pull_at_ground",
        "inspection_kind": "thorough",
        "months": "3",
        "basis": "letter of 4 May",
    } | changes


@pytest.mark.parametrize("who", ["lead", "inspector", "climber", "auditor"])
def test_everyone_reads_the_schemes_and_only_the_owner_sets_them(who, request, signed_in, company, block):
    client = signed_in(request.getfixturevalue(who))
    scheme = InspectionScheme.objects.filter(company=company).first()
    html = html_of(client.get(reverse("schemes")))
    assert "LOLER 1998" in html
    assert "Your own interval" not in html
    assert client.post(reverse(CHANGE), {"switch": scheme.pk}).status_code == 403
    scheme.refresh_from_db()
    assert scheme.is_active == (not scheme.name.startswith("North"))


def test_what_a_shorter_interval_moves_is_shown_and_nothing_saved(browse, company, block):
    rule = pulling(company)
    response = preview(browse, rule=rule.pk, months=6)
    move = response.context["moves"].rows[0]
    assert (move.tag, move.now.on) == ("B-01", block.next_due_on)
    assert move.then.on < move.now.on
    assert move.then.basis.startswith("6 months: PUWER")
    assert response.context["moves"].by_class == [("Block", 1)]
    html = html_of(response)
    for words in ("Nothing is saved yet", "12 months: PUWER", "6 months: PUWER", "Earlier"):
        assert words in html
    rule.refresh_from_db()
    assert rule.months == 12
    block.refresh_from_db()
    assert block.next_due_on == move.now.on


def test_what_is_shown_is_what_is_saved(browse, company, block):
    item = ItemFactory(company=company, tag="B-02", evidence=False)
    examined(item, days=100)
    rule = pulling(company)
    shown = {m.tag: m.then.on for m in preview(browse, rule=rule.pk, months=2).context["moves"].rows}
    assert browse.post(reverse(CHANGE), {"rule": rule.pk, "months": 2}).status_code == 302
    assert {i.tag: i.next_due_on for i in GearItem.objects.filter(company=company)} == shown


def test_what_becomes_overdue_comes_first(browse, company, block):
    late = ItemFactory(company=company, tag="Z-99", due_soon=True)
    moves = preview(browse, rule=pulling(company).pk, months=2).context["moves"]
    assert [(m.tag, m.is_late_then) for m in moves.rows] == [("Z-99", True), ("B-01", False)]
    assert moves.late == 1
    assert late.next_due_on > company.today()


def test_switching_a_scheme_off_shows_what_loses_its_interval(browse, company, block):
    scheme = InspectionScheme.objects.get(company=company, name__startswith="United Kingdom")
    response = preview(browse, switch=scheme.pk)
    assert [m.then for m in response.context["moves"].rows] == [None]
    assert "No date: not fit" in html_of(response)
    for now in (False, True):
        assert browse.post(reverse(CHANGE), {"switch": scheme.pk}).status_code == 302
        scheme.refresh_from_db()
        assert scheme.is_active is now


def test_a_scheme_switched_on_beside_another_moves_only_what_it_shortens(browse, company, block):
    north = InspectionScheme.objects.get(company=company, name__startswith="North")
    assert preview(browse, switch=north.pk).context["moves"].rows == ()
    assert "No due date changes" in html_of(preview(browse, switch=north.pk))


@pytest.mark.parametrize(("months", "status", "kept"), [("6", 302, 6), ("13", 422, 12), ("0", 422, 12), ("x", 422, 12)])
def test_an_interval_is_shortened_and_never_lengthened_past_its_default(browse, company, block, months, status, kept):
    rule = pulling(company)
    assert preview(browse, rule=rule.pk, months=months).status_code == (200 if status == 302 else 422)
    assert browse.post(reverse(CHANGE), {"rule": rule.pk, "months": months}).status_code == status
    rule.refresh_from_db()
    assert rule.months == kept


def test_a_rule_of_ones_own_shortens_and_names_its_basis(browse, company, block):
    before = block.next_due_on
    move = preview(browse, **own()).context["moves"].rows[0]
    assert move.then.basis == "3 months: letter of 4 May"
    assert SchemeRule.objects.filter(scheme__company=company, basis="letter of 4 May").count() == 0
    assert browse.post(reverse(CHANGE), own()).status_code == 302
    block.refresh_from_db()
    assert (block.next_due_on, block.next_due_basis) == (move.then.on, "3 months: letter of 4 May")
    assert block.next_due_on < before
    rule = SchemeRule.objects.get(scheme__company=company, basis="letter of 4 May")
    assert browse.post(reverse(CHANGE), {"rule": rule.pk, "months": "4"}).status_code == 422
    assert browse.post(reverse(CHANGE), {"rule": rule.pk, "months": "2"}).status_code == 302
    assert company.records.filter(kind="gear.scheme-rule-added").count() == 1


def test_a_rule_of_ones_own_may_be_for_some_classes_only(browse, company, block):
    moved = [m.tag for m in preview(browse, **own(gear_classes=["rope"])).context["moves"].rows]
    assert moved == []
    assert [m.tag for m in preview(browse, **own(gear_classes=["rope", "block"])).context["moves"].rows] == ["B-01"]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"months": "13"}, "not longer"),
        ({"months": "0"}, ""),
        ({"name": ""}, "Fill this in"),
        ({"basis": ""}, "Fill this in"),
        ({"use": "juggling"}, ""),
        ({"name": "Measuring equipment: calibration"}, "already exist"),
    ],
)
def test_a_rule_that_is_refused_keeps_what_was_typed_and_saves_nothing(browse, company, block, changes, says):
    before = SchemeRule.objects.count()
    for response in (preview(browse, **own(**changes)), browse.post(reverse(CHANGE), own(**changes))):
        html = html_of(response)
        assert response.status_code == 422
        assert says in html
        assert "letter of 4 May" in html or changes.get("basis") == ""
    assert SchemeRule.objects.count() == before


def test_another_companys_scheme_cannot_be_set(browse, company):
    theirs = ItemFactory().company.inspection_schemes.first()
    rule = SchemeRule.objects.filter(scheme__company=theirs.company).first()
    for asked in ({"switch": theirs.pk}, {"rule": rule.pk, "months": "1"}, {}, {"switch": "x"}):
        assert preview(browse, **asked).status_code == 404
        assert browse.post(reverse(CHANGE), asked).status_code == 404


def test_the_dates_set_by_an_inspector_stay_the_earlier_ones(browse, company):
    item = ItemFactory(company=company, evidence=False)
    soon = company.today() + dt.timedelta(days=10)
    examined(item, days=30, next_due_on=soon, next_due_basis="set by the inspector")
    GearItem.objects.filter(pk=item.pk).update(next_due_on=soon, next_due_basis="set by the inspector")
    assert preview(browse, rule=pulling(company).pk, months=6).context["moves"].rows == ()


def test_the_queries_of_the_preview_do_not_grow_with_the_items(browse, company, block, django_assert_max_num_queries):
    GearItem.objects.bulk_create(clone(block, f"K-{n:04d}") for n in range(70))
    rule = pulling(company)
    with django_assert_max_num_queries(30):
        response = preview(browse, rule=rule.pk, months=6)
    assert len(response.context["moves"].rows) == 71
    assert response.context["page"].paginator.num_pages == 2
    html = html_of(preview(browse, rule=rule.pk, months=6, page=2))
    assert f'name="rule" value="{rule.pk}"' in html
    assert 'name="page"' not in html
