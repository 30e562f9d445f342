"""Changing a fact as pages: choosing it, seeing what it does, entering it, answering it."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from gear.fact_changes.rules import SUBJECTS
from gear.fact_changes.words import subjects_of
from gear.models import FactChange, FactSetting
from tests.factories.gear import ItemFactory, examiner
from tests.files import jpeg
from tests.gear.fact_changes.changing import carabiner, change
from tests.web.test_inspect import answers

pytestmark = pytest.mark.django_db
WHY = {"reason": "read", "source": "marking", "words": "The 9 was worn and read as 5."}


@pytest.fixture
def browse(signed_in, owner):
    return signed_in(owner)


def page_of(item, fact="breaking_strength"):
    return f"{reverse('item_change', args=[item.tag])}?fact={fact}"


def seen_in(html):
    return re.search(r'name="seen" value="([0-9a-f]{16})"', html)[1]


def plain(html):
    return " ".join(re.sub(r"<[^>]*>", " ", html).replace("\u00a0", " ").split())


def picture():
    return SimpleUploadedFile("marking.jpg", jpeg(), content_type="image/jpeg")


def test_the_page_shows_what_a_change_does_before_it_is_entered_and_keeps_the_photograph(browse, company):
    item = carabiner(company)
    first = browse.post(page_of(item), WHY | {"breaking_strength_n": "90", "shown": picture()})
    html = first.content.decode()
    assert first.status_code == 200
    text = plain(html)
    assert "Does not count yet" in text
    assert "Carries 18.00 kN once it counts; on record it carries 10.00 kN." in text
    assert not FactChange.objects.exists()
    held = re.search(r'name="shown-held" value="([^"]+)"', html)[1]
    second = browse.post(page_of(item), WHY | {"breaking_strength_n": "90", "shown-held": held, "seen": seen_in(html)})
    assert second.status_code == 302
    assert FactChange.objects.get(item=item).shown_by is not None


def test_a_stricter_figure_says_that_it_counts_at_once(browse, company):
    item = carabiner(company)
    typed = WHY | {"breaking_strength_n": "40"}
    html = browse.post(page_of(item), typed).content.decode()
    assert "Counts at once" in html
    assert browse.post(page_of(item), typed | {"seen": seen_in(html)}).status_code == 302
    item.refresh_from_db()
    assert item.breaking_strength_n == 40_000.0


def test_what_was_seen_for_one_figure_does_not_enter_another(browse, company):
    item = carabiner(company)
    html = browse.post(page_of(item), WHY | {"breaking_strength_n": "40"}).content.decode()
    response = browse.post(page_of(item), WHY | {"breaking_strength_n": "30", "seen": seen_in(html)})
    assert response.status_code == 200
    assert not FactChange.objects.exists()


def test_upwards_without_a_photograph_is_refused_at_its_box_and_keeps_what_was_typed(browse, company):
    response = browse.post(page_of(carabiner(company)), WHY | {"breaking_strength_n": "90"})
    html = response.content.decode()
    assert response.status_code == 422
    assert "add a photograph of the marking" in html
    assert 'value="90"' in html


def test_every_subject_of_every_class_opens(browse, company):
    for gear_class in ("rope", "block", "connector", "sling", "bollard", "tackle_set", "load_cell"):
        extra = {"parts_expected": 2} if gear_class == "tackle_set" else {}
        item = ItemFactory(company=company, gear_class=gear_class, **extra)
        for subject in subjects_of(item):
            assert browse.get(page_of(item, subject.code)).status_code == 200, (gear_class, subject.code)
    assert {s.code for s in SUBJECTS} >= {s.code for s in subjects_of(item)}


def test_the_page_of_the_item_says_that_a_change_waits_and_shows_the_history_as_old_to_new(browse, owner, company):
    item = carabiner(company)
    change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    html = browse.get(item.get_absolute_url()).content.decode()
    assert "A change waits" in html
    assert re.search(r"<s><span class=\"unseen\">was </span>50.00\u00a0kN</s>.*?<b>.*?90.00\u00a0kN</b>", html, re.S)
    assert "Change entered, waits for its answer" in html
    assert "10.00 <small>kN</small>" in html


def test_another_inspector_reads_the_marking_from_today(signed_in, owner, inspector, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    browse = signed_in(examiner(inspector))
    assert "Read the marking of C-01" in browse.get(reverse("today")).content.decode()
    assert "Changes that wait: 1" in browse.get(reverse("store")).content.decode()
    page = reverse("fact_change", args=[item.tag, made.pk])
    assert "Read the marking on the item" in browse.get(page).content.decode()
    assert browse.post(page, {"answer": "agrees", "words": ""}).status_code == 302
    item.refresh_from_db()
    assert item.working_limit_n == 18_000.0
    assert "Read the marking of C-01" not in browse.get(reverse("today")).content.decode()


def test_the_author_is_not_asked_and_is_refused(browse, owner, company):
    item = carabiner(company)
    (made,) = change(examiner(owner), item, "breaking_strength", breaking_strength_n=90_000.0)
    assert "Read the marking of C-01" not in browse.get(reverse("today")).content.decode()
    page = reverse("fact_change", args=[item.tag, made.pk])
    assert "Not you: it is your own change." in browse.get(page).content.decode()
    response = browse.post(page, {"answer": "agrees", "words": ""})
    assert response.status_code == 422
    assert "Nobody confirms their own change" in response.content.decode()


def test_a_change_is_taken_back_from_its_page(browse, owner, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    page = reverse("fact_change", args=[item.tag, made.pk])
    assert browse.post(page, {"do": "back", "because": ""}).status_code == 422
    assert browse.post(page, {"do": "back", "because": "It was C-02."}).status_code == 302
    assert not FactChange.objects.waiting().exists()


def test_a_change_of_another_item_is_not_found_under_this_one(browse, owner, company):
    (made,) = change(owner, carabiner(company), "breaking_strength", breaking_strength_n=90_000.0)
    other = carabiner(company, tag="C-02")
    assert browse.get(reverse("fact_change", args=[other.tag, made.pk])).status_code == 404


def test_the_owner_chooses_who_answers(browse, company):
    assert browse.post(reverse("fact_check"), {"check_by": "nobody"}).status_code == 422
    assert browse.post(reverse("fact_check"), {"check_by": "second_person"}).status_code == 302
    assert FactSetting.objects.get(company=company).check_by == "second_person"


def test_an_inspection_asks_for_the_marking_and_its_agreement_counts_with_it(signed_in, owner, inspector, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    browse = signed_in(examiner(inspector))
    page = f"{reverse('item_inspect', args=[item.tag])}?kind=thorough"
    assert "The marking reads minimum breaking strength 90.00\u00a0kN" in browse.get(page).content.decode()
    typed = answers(item)
    refused = browse.post(page, typed | {f"marking_{made.pk}": "differs"})
    assert refused.status_code == 422
    assert not item.inspections.filter(examined_on=company.today()).exists()
    assert browse.post(page, typed | {f"marking_{made.pk}": "agrees"}).status_code == 302
    item.refresh_from_db()
    assert item.working_limit_n == 18_000.0
    assert made.answer.inspection == item.inspections.get(examined_on=company.today())


def test_an_inspection_that_leaves_the_marking_out_leaves_the_change_waiting(signed_in, owner, inspector, company):
    item = carabiner(company)
    change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    browse = signed_in(examiner(inspector))
    assert browse.post(f"{reverse('item_inspect', args=[item.tag])}?kind=thorough", answers(item)).status_code == 302
    item.refresh_from_db()
    assert item.working_limit_n == 10_000.0
    assert FactChange.objects.waiting().count() == 1


def test_the_author_is_not_asked_for_the_marking_in_an_inspection(signed_in, inspector, company):
    item = carabiner(company)
    change(examiner(inspector), item, "breaking_strength", breaking_strength_n=90_000.0)
    html = signed_in(inspector).get(f"{reverse('item_inspect', args=[item.tag])}?kind=thorough").content.decode()
    assert "The marking reads" not in html
