"""Two people on one page: the later save asks before it undoes the earlier one, on every form that edits."""

import html
import re

import pytest
from django.urls import reverse

from crewlog.models import Company, PersonDetails, Record
from gear.models import GearItem
from gear.register.services import change_item
from jobs.models import PlanRevision, PullPlan, Stem
from jobs.plans.services import save_plan, save_stem
from jobs.sheets.assign import assign_item, note_source
from jobs.sites.services import change_job, save_anchor
from tests.factories.gear import ItemFactory
from tests.factories.jobs import HOSTS, AnchorFactory, PlanFactory, passing_sheet
from tests.given import Given
from tests.pages import html_of
from tests.web.posting import as_posted, shown_token

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(company, lead):
    return PlanFactory(complete=True, stem__job__company=company, stem__job__lead=lead.person)


@pytest.fixture
def client(lead, signed_in):
    return signed_in(lead)


def typed(page, **changes):
    """What a browser would send for the page that was opened."""
    form, data = page.context["form"], {}
    for each in getattr(form, "in_order", [form]):
        data |= as_posted(each)
    return data | changes


def words(page):
    text = re.sub(r"<[^>]+>", " ", html.unescape(html_of(page)))
    return re.sub(r"\s+", " ", text)


def address(plan, name="plan"):
    return reverse(name, args=[plan.stem_id])


def theirs(owner, plan, **facts):
    save_plan(actor=owner, stem=Stem.objects.get(pk=plan.stem_id), facts=facts)


def stored(plan):
    return PullPlan.objects.get(pk=plan.pk)


# the plan


def test_the_later_save_of_a_plan_changes_nothing_and_shows_theirs_and_mine(plan, owner, client):
    opened = client.get(address(plan))
    theirs(owner, plan, gust_m_s=9.0)
    page = client.post(address(plan), typed(opened, gust_m_s="5", haulers="5"))
    assert page.status_code == 409
    assert (stored(plan).gust_m_s, stored(plan).haulers) == (9.0, 4)
    said = words(page)
    assert "Saved since you opened this plan: Orla Quenby at" in said
    assert "Strongest gust When you opened it: 6.0 m/s" in said or "Strongest gust When you opened it: 6 m/s" in said
    assert "Take theirs: 9" in said
    assert "Keep mine: 5" in said
    assert "People on the tail: 5" in said or "Haulers" in said
    assert 'value="5"' in html_of(page)


def test_both_touched_must_be_chosen_and_the_choice_counts(plan, owner, client):
    opened = client.get(address(plan))
    theirs(owner, plan, gust_m_s=9.0)
    data = typed(opened, gust_m_s="5")
    asked = client.post(address(plan), data)
    again = data | shown_token(asked)
    refused = client.post(address(plan), again)
    assert refused.status_code == 409
    assert "1 still to be chosen" in words(refused)
    assert client.post(address(plan), again | {"choose-gust_m_s": "mine"}).status_code == 302
    assert stored(plan).gust_m_s == 5.0


def test_theirs_is_taken_where_it_is_chosen_with_every_digit(plan, owner, client):
    opened = client.get(address(plan))
    theirs(owner, plan, gust_m_s=9.123456, attach_height_m=8.4)
    data = typed(opened, gust_m_s="5", haulers="5")
    asked = client.post(address(plan), data)
    chosen = {"choose-gust_m_s": "theirs", "choose-attach_height_m": "theirs"}
    assert client.post(address(plan), data | shown_token(asked) | chosen).status_code == 302
    assert (stored(plan).gust_m_s, stored(plan).attach_height_m, stored(plan).haulers) == (9.123456, 8.4, 5)


def test_a_box_nobody_touched_is_proposed_as_theirs(plan, owner, client):
    opened = client.get(address(plan))
    theirs(owner, plan, gust_m_s=9.0)
    page = html_of(client.post(address(plan), typed(opened, haulers="5")))
    assert re.search(r'name="choose-gust_m_s" value="theirs" form="plan-form" checked', page)
    assert "choose-haulers" not in page


def test_places_of_people_are_chosen_as_one(plan, owner, client):
    opened = client.get(address(plan))
    places = list(plan.places.all())
    places[0].distance_m += 3.0
    save_plan(actor=owner, stem=Stem.objects.get(pk=plan.stem_id), facts={}, places=places)
    moved = {place.place: place.distance_m for place in plan.places.all()}
    data = typed(opened)
    asked = client.post(address(plan), data)
    assert asked.status_code == 409
    assert "Where people stand" in words(asked)
    assert client.post(address(plan), data | shown_token(asked) | {"choose-places": "theirs"}).status_code == 302
    assert {place.place: place.distance_m for place in plan.places.all()} == moved


def test_a_plan_page_without_its_note_cannot_overwrite_either(plan, owner, client):
    data = typed(client.get(address(plan)), gust_m_s="5")
    del data["opened"]
    asked = client.post(address(plan), data)
    assert asked.status_code == 409
    assert "When you opened it: not known" in words(asked)
    assert stored(plan).gust_m_s == 6.0
    chosen = data | shown_token(asked) | {"choose-gust_m_s": "mine"}
    assert client.post(address(plan), chosen).status_code == 302
    assert stored(plan).gust_m_s == 5.0


def test_what_cannot_be_read_is_told_first_and_what_was_shown_stays(plan, owner, client):
    opened = client.get(address(plan))
    theirs(owner, plan, gust_m_s=9.0)
    refused = client.post(address(plan), typed(opened, haulers="many"))
    assert refused.status_code == 422
    assert client.post(address(plan), typed(opened, haulers="5") | shown_token(refused)).status_code == 409


def test_typing_says_that_somebody_saved_meanwhile(plan, owner, client):
    opened = client.get(address(plan))
    data = typed(opened, haulers="5")
    quiet = client.post(address(plan, "plan_try"), data)
    theirs(owner, plan, gust_m_s=9.0)
    told = client.post(address(plan, "plan_try"), data)
    assert (quiet.status_code, told.status_code) == (200, 200)
    assert "Saved since you opened this page" not in words(quiet)
    assert "Saved since you opened this page: Orla Quenby at" in words(told)


def test_a_cure_worked_out_for_an_earlier_plan_is_not_set(plan, owner, client):
    offered = client.get(address(plan, "plan_cures"))
    shown = {"opened": offered.context["shown"]["opened"].token}
    theirs(owner, plan, gust_m_s=9.0)
    page = client.post(address(plan, "plan_set"), {"change": "haulers=6"} | shown)
    assert page.status_code == 409
    assert "Nothing was changed. The figures below are of the plan as it is stored now." in words(page)
    assert stored(plan).haulers == 4


def test_keeping_a_revision_needs_the_plan_that_was_shown(plan, owner, client):
    opened = client.get(address(plan))
    theirs(owner, plan, gust_m_s=9.0)
    page = client.post(address(plan, "plan_keep"), typed(opened))
    assert page.status_code == 409
    assert not PlanRevision.objects.exists()


def test_keeping_a_revision_needs_the_stem_that_was_shown(plan, owner, client):
    opened = client.get(address(plan))
    stem = Stem.objects.get(pk=plan.stem_id)
    save_stem(actor=owner, job=stem.job, stem=stem, facts={"lean_deg": stem.lean_deg + 1})
    page = client.post(address(plan, "plan_keep"), typed(opened, haulers="5"))
    assert page.status_code == 409
    assert "Lean:" in words(page)
    assert "Orla Quenby at" in words(page)
    assert not PlanRevision.objects.exists()
    assert stored(plan).haulers == 4
    assert client.post(address(plan, "plan_keep"), typed(opened, haulers="5") | shown_token(page)).status_code == 302
    assert PlanRevision.objects.count() == 1


def test_another_persons_name_is_in_their_own_record_alone(plan, owner, lead, client):
    opened = client.get(address(plan))
    theirs(owner, plan, gust_m_s=9.0)
    client.post(address(plan), typed(opened, gust_m_s="5"))
    kinds = Record.objects.filter(kind="jobs.plan-changed").values_list("entered_by", flat=True)
    assert set(kinds) == {owner.person.pk}


# the other forms


def test_a_stem_measured_by_two_is_compared(plan, owner, client):
    where = reverse("stem", args=[plan.stem_id])
    opened = client.get(where)
    stem = Stem.objects.get(pk=plan.stem_id)
    sections = list(stem.sections.all())
    sections[0].diameter_m += 0.02
    save_stem(actor=owner, job=stem.job, stem=stem, facts={"tree_height_m": 15.0}, sections=sections)
    asked = client.post(where, typed(opened, lean_deg="1"))
    assert asked.status_code == 409
    assert "Sizes along the stem" in words(asked)
    chosen = {"choose-tree_height_m": "theirs", "choose-sections": "theirs"}
    data = typed(opened, lean_deg="1") | shown_token(asked) | chosen
    assert client.post(where, data).status_code == 302
    fresh = Stem.objects.get(pk=plan.stem_id)
    assert (fresh.tree_height_m, fresh.lean_deg) == (15.0, 1.0)
    assert fresh.sections.first().diameter_m == sections[0].diameter_m


def test_a_job_and_its_crew_are_compared(plan, owner, climber, client):
    job = plan.stem.job
    where = reverse("job_edit", args=[job.pk])
    opened = client.get(where)
    change_job(actor=owner, job=job, facts={"phone_signal": "At the gate"}, crew=[climber.person])
    asked = client.post(where, typed(opened, access="By the mill"))
    assert asked.status_code == 409
    assert "Cai Thrush" in words(asked)
    chosen = {"choose-phone_signal": "theirs", "choose-crew": "theirs"}
    data = typed(opened, access="By the mill") | shown_token(asked) | chosen
    assert client.post(where, data).status_code == 302
    job.refresh_from_db()
    assert (job.phone_signal, job.access) == ("At the gate", "By the mill")
    assert set(job.crew.all()) == {climber.person, job.lead}  # the lead is of the crew always


def test_an_anchor_is_compared(plan, owner, client):
    anchor = AnchorFactory(job=plan.stem.job)
    where = reverse("anchor_edit", args=[anchor.pk])
    opened = client.get(where)
    save_anchor(actor=owner, job=plan.stem.job, anchor=anchor, facts={"estimate_n": 41_000.0})
    asked = client.post(where, typed(opened, estimate_n="60"))
    assert asked.status_code == 409
    anchor.refresh_from_db()
    assert anchor.estimate_n == 41_000.0


def test_the_day_of_a_sheet_is_compared(company, lead, client):
    sheet = passing_sheet(company, lead=lead.person)
    where = reverse("sheet_day", args=[sheet.pk])
    opened = client.get(where)
    type(sheet).objects.filter(pk=sheet.pk).update(starts_at="08:00", ends_at="11:00")
    asked = client.post(where, typed(opened, starts_at="13:00", ends_at="15:00"))
    assert asked.status_code == 409
    assert "Take theirs: 08:00" in words(asked)
    sheet.refresh_from_db()
    assert f"{sheet.starts_at:%H:%M}" == "08:00"


def test_an_item_is_compared(company, owner, signed_in):
    item = ItemFactory(company=company, storage_place="Van 1")
    client, where = signed_in(owner), reverse("item_edit", args=[item.tag])
    opened = client.get(where)
    change_item(actor=owner, item=GearItem.objects.get(pk=item.pk), storage_place="Van 2", notes="Yard B")
    asked = client.post(where, typed(opened, storage_place="Shed"))
    assert asked.status_code == 409
    assert "Take theirs: Van 2" in words(asked)
    data = typed(opened, storage_place="Shed") | shown_token(asked)
    assert client.post(where, data | {"choose-storage_place": "mine", "choose-notes": "theirs"}).status_code == 302
    item.refresh_from_db()
    assert (item.storage_place, item.notes) == ("Shed", "Yard B")


def test_the_company_is_compared(company, owner, signed_in):
    client, where = signed_in(owner), reverse("company")
    Company.objects.filter(pk=company.pk).update(
        address="1 Old Lane", emergency_number="112", time_zone="Europe/London"
    )
    opened = client.get(where)
    Company.objects.filter(pk=company.pk).update(emergency_number="999")
    asked = client.post(where, typed(opened, address="2 New Lane"))
    assert asked.status_code == 409
    data = typed(opened, address="2 New Lane") | shown_token(asked) | {"choose-emergency_number": "theirs"}
    assert client.post(where, data).status_code == 302
    company.refresh_from_db()
    assert (company.address, company.emergency_number) == ("2 New Lane", "999")


def test_a_person_is_compared(climber, owner, signed_in):
    client, where = signed_in(owner), reverse("person_edit", args=[climber.person_id])
    opened = client.get(where)
    PersonDetails.objects.filter(person=climber.person).update(health_notes="Bee stings")
    asked = client.post(where, typed(opened, phone="0555 1234"))
    assert asked.status_code == 409
    assert "Take theirs: Bee stings" in words(asked)
    data = typed(opened, phone="0555 1234") | shown_token(asked) | {"choose-health_notes": "theirs"}
    assert client.post(where, data).status_code == 302
    details = PersonDetails.objects.get(person=climber.person)
    assert (details.phone, details.health_notes) == ("0555 1234", "Bee stings")


def test_a_source_that_somebody_gave_meanwhile_stays(company, owner, lead, client):
    sheet = passing_sheet(company, lead=lead.person)
    said: Given = {"path": "plan.gust_m_s", "value": "5.0"}
    note_source(actor=owner, sheet=sheet, source="Anemometer at the stump", **said)
    answer = client.post(reverse("sheet_source", args=[sheet.pk]), said | {"source": "Forecast"})
    assert answer.status_code == 409
    assert "A source was given meanwhile: Anemometer at the stump" in words(answer)
    assert [note.source for note in sheet.source_notes.all()] == ["Anemometer at the stump"]


# positions


def test_a_position_that_somebody_filled_meanwhile_is_not_written_over(company, owner, lead, client):
    sheet = passing_sheet(company, lead=lead.person)
    first, second = (ItemFactory(company=company, tag=tag, **HOSTS["moving_block"]) for tag in ("B-20", "B-21"))
    where = reverse("position", args=[sheet.stem_id, "moving_block"])
    shown = shown_token(client.get(where))
    assign_item(actor=owner, sheet=sheet, role="moving_block", item=first)
    asked = client.post(where, {"item": second.pk, "rank": "0"} | shown)
    assert asked.status_code == 409
    assert "Saved since you opened this position: Orla Quenby at" in words(asked)
    assert "Here now: B-20" in words(asked)
    assert sheet.assignments.get(role="moving_block", rank=0).item == first
    assert client.post(where, {"item": second.pk, "rank": "0"} | shown_token(asked)).status_code == 302
    assert sheet.assignments.get(role="moving_block", rank=0).item == second


def test_a_position_that_was_changed_meanwhile_is_not_emptied(company, owner, lead, client):
    sheet = passing_sheet(company, lead=lead.person)
    item = ItemFactory(company=company, tag="B-20", **HOSTS["moving_block"])
    shown = shown_token(client.get(reverse("position", args=[sheet.stem_id, "moving_block"])))
    assign_item(actor=owner, sheet=sheet, role="moving_block", item=item)
    asked = client.post(reverse("position_clear", args=[sheet.stem_id, "moving_block"]), shown)
    assert asked.status_code == 409
    assert sheet.assignments.get(role="moving_block", rank=0).item == item
