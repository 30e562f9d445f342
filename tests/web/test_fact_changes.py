"""Changing a fact as pages: choosing it, seeing what it does, entering it, answering it."""

import datetime as dt
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.urls import reverse

from crewlog.models import Record
from gear.events.retire import retire_item
from gear.fact_changes import pages
from gear.fact_changes.rules import SUBJECTS
from gear.fact_changes.services import answer_change, take_back
from gear.fact_changes.words import subjects_of
from gear.models import FactChange, FactSetting
from gear.web.file_boxes import HeldFileField
from tests.factories.gear import ItemFactory, examiner
from tests.files import jpeg
from tests.gear.fact_changes.changing import carabiner, change
from tests.pages import html_of
from tests.web.posting import errors_at
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
    html = html_of(first)
    assert first.status_code == 200
    text = plain(html)
    assert "Does not apply yet" in text
    assert "Carries 18.00 kN once it applies; on record it carries 10.00 kN." in text
    assert not FactChange.objects.exists()
    held = re.search(r'name="shown-held" value="([^"]+)"', html)[1]
    second = browse.post(page_of(item), WHY | {"breaking_strength_n": "90", "shown-held": held, "seen": seen_in(html)})
    assert second.status_code == 302
    assert FactChange.objects.get(item=item).shown_by is not None


def test_a_stricter_figure_says_that_it_counts_at_once(browse, company):
    item = carabiner(company)
    typed = WHY | {"breaking_strength_n": "40"}
    html = html_of(browse.post(page_of(item), typed))
    assert "Applies at once" in html
    assert browse.post(page_of(item), typed | {"seen": seen_in(html)}).status_code == 302
    item.refresh_from_db()
    assert item.breaking_strength_n == 40_000.0


def test_what_was_seen_for_one_figure_does_not_enter_another(browse, company):
    item = carabiner(company)
    html = html_of(browse.post(page_of(item), WHY | {"breaking_strength_n": "40"}))
    response = browse.post(page_of(item), WHY | {"breaking_strength_n": "30", "seen": seen_in(html)})
    assert response.status_code == 200
    assert not FactChange.objects.exists()


def test_upwards_without_a_photograph_is_refused_at_its_box_and_keeps_what_was_typed(browse, company):
    response = browse.post(page_of(carabiner(company)), WHY | {"breaking_strength_n": "90"})
    html = html_of(response)
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
    html = html_of(browse.get(item.get_absolute_url()))
    assert "A change to confirm" in html
    assert re.search(r"<s><span class=\"unseen\">was </span>50.00\u00a0kN</s>.*?<b>.*?90.00\u00a0kN</b>", html, re.S)
    assert "Change entered, to be confirmed" in html
    assert "10.00 <small>kN</small>" in html


def test_another_inspector_reads_the_marking_from_today(signed_in, owner, inspector, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    browse = signed_in(examiner(inspector))
    assert "Read the marking of C-01" in html_of(browse.get(reverse("today")))
    assert "Changes to confirm: 1" in html_of(browse.get(reverse("store")))
    page = reverse("fact_change", args=[item.tag, made.pk])
    assert "Read the marking on the item" in html_of(browse.get(page))
    assert browse.post(page, {"answer": "agrees", "words": ""}).status_code == 302
    item.refresh_from_db()
    assert item.working_limit_n == 18_000.0
    assert "Read the marking of C-01" not in html_of(browse.get(reverse("today")))


def test_the_author_is_not_asked_and_is_refused(browse, owner, company):
    item = carabiner(company)
    (made,) = change(examiner(owner), item, "breaking_strength", breaking_strength_n=90_000.0)
    assert "Read the marking of C-01" not in html_of(browse.get(reverse("today")))
    page = reverse("fact_change", args=[item.tag, made.pk])
    assert "You cannot confirm your own change." in html_of(browse.get(page))
    response = browse.post(page, {"answer": "agrees", "words": ""})
    assert response.status_code == 422
    assert "You cannot confirm your own change" in html_of(response)


def test_a_change_is_taken_back_from_its_page(browse, owner, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    page = reverse("fact_change", args=[item.tag, made.pk])
    assert browse.post(page, {"do": "back", "because": ""}).status_code == 422
    assert browse.post(page, {"do": "back", "because": "It was C-02."}).status_code == 302
    assert not FactChange.objects.waiting().exists()


def state_said(browse, made):
    """The state mark of a change's page: its kind and words."""
    html = html_of(browse.get(reverse("fact_change", args=[made.item.tag, made.pk])))
    kind, words = re.search(r'id="h-change".*?class="mark mark--(\w+)">.*?<span>([^<]+)</span>', html, re.S).groups()
    return kind, words


def test_the_page_of_a_change_says_what_became_of_it(browse, owner, inspector, company):
    item = carabiner(company)
    (first,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    assert state_said(browse, first) == ("open", "Waiting: the recorded value applies")
    answer_change(actor=examiner(inspector), change=first, agrees=False, words="Reads 50.")
    assert state_said(browse, first) == ("gone", "Does not agree")
    (read,) = change(owner, item, "breaking_strength", breaking_strength_n=80_000.0)
    answer_change(actor=inspector, change=read, agrees=True)
    assert state_said(browse, read) == ("ok", "Agrees")
    (overtaken,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    (stricter,) = change(owner, item, "breaking_strength", breaking_strength_n=70_000.0)
    assert state_said(browse, overtaken) == ("gone", "Overtaken by a later change")
    assert state_said(browse, stricter) == ("ok", "Applied when it was entered")
    (back,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    take_back(actor=owner, change=back, because="It was C-02.")
    assert state_said(browse, back) == ("gone", "Taken back")
    (left,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    retire_item(actor=owner, item=item, because="bent", disposal="destroyed")
    assert state_said(browse, left) == ("gone", "Not applied: the item is no longer in use")


def test_a_marking_is_asked_for_though_many_that_others_read_wait_before_it(owner, inspector, company, monkeypatch):
    monkeypatch.setattr(pages, "SHOWN_TODAY", 1)
    for n in range(11):
        sling = ItemFactory(company=company, tag=f"S-{n}", sling=True)
        change(owner, sling, "vertical_rating", vertical_rating_n=30_000.0)
    for n in range(2):
        change(owner, carabiner(company, tag=f"C-0{n}"), "breaking_strength", breaking_strength_n=90_000.0)
    assert [row.tag for row in pages.changes_for(examiner(inspector, "connector"))] == ["C-00"]


def test_who_answers_is_recorded_once_and_not_at_all_where_nothing_changed(browse, company):
    said = {"check_by": "second_person", "form_key": "0123456789abcdef" * 2}
    for form in (said, said, {"check_by": "second_person"}):
        assert browse.post(reverse("fact_check"), form).status_code == 302
    assert Record.objects.for_company(company).filter(kind="gear.fact-check-set").count() == 1


def test_the_photograph_is_read_before_the_transaction_that_records(browse, company, monkeypatch):
    depths = []

    def read(field, data, *args):
        depths.append(len(connection.atomic_blocks))
        return clean(field, data, *args)

    clean = HeldFileField.clean
    monkeypatch.setattr(HeldFileField, "clean", read)
    typed = WHY | {"breaking_strength_n": "90", "shown": picture(), "form_key": "0123456789abcdef" * 2}
    assert browse.post(page_of(carabiner(company)), typed).status_code == 200
    assert depths == [len(connection.atomic_blocks)]


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
    assert "The marking reads minimum breaking strength 90.00\u00a0kN" in html_of(browse.get(page))
    typed = answers(item)
    refused = browse.post(page, typed | {f"marking_{made.pk}": "differs"})
    assert refused.status_code == 422
    assert not item.inspections.filter(examined_on=company.today()).exists()
    assert browse.post(page, typed | {f"marking_{made.pk}": "agrees"}).status_code == 302
    item.refresh_from_db()
    assert item.working_limit_n == 18_000.0
    assert made.answer.inspection == item.inspections.get(examined_on=company.today())


@pytest.mark.parametrize(
    ("days", "words"), [(1, "This was before the change was entered."), (0, "You cannot confirm your own change.")]
)
def test_a_marking_that_cannot_be_answered_is_refused_at_its_box(signed_in, owner, inspector, company, days, words):
    item = carabiner(company)
    (made,) = change(examiner(owner), item, "breaking_strength", breaking_strength_n=90_000.0)
    browse = signed_in(examiner(inspector))
    typed = answers(item) | {f"marking_{made.pk}": "agrees"}
    typed |= {"examined_on": (company.today() - dt.timedelta(days=days)).isoformat()}
    if not days:
        typed |= {"inspector": str(owner.person_id), "from_paper": "on"}
    refused = browse.post(f"{reverse('item_inspect', args=[item.tag])}?kind=thorough", typed)
    assert refused.status_code == 422
    assert words in errors_at(refused, f"marking_{made.pk}")[0]
    assert not FactChange.objects.filter(answer__isnull=False).exists()


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
    html = html_of(signed_in(inspector).get(f"{reverse('item_inspect', args=[item.tag])}?kind=thorough"))
    assert "The marking reads" not in html
