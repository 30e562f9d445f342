"""The demo company: every story it tells holds, and the command builds it from nothing."""

import datetime as dt
import io
import re
from collections import Counter
from pathlib import Path

import pytest
import time_machine
from django.contrib.auth.hashers import check_password
from django.db import transaction
from django.test import Client
from pypdf import PdfReader

from crewlog.evidence import verify
from crewlog.models import Company, Competence, Membership, Person, Record, Role, TrainingSession
from crewlog.people.removal import RemovalRefused, remove_person_data
from crewlog.people.services import end_membership
from gear.catalogue.classes import CLASSES
from gear.fact_changes.pages import changes_for
from gear.fitness.facts import item_fitness
from gear.fitness.reasons import CODES
from gear.fitness.set_parts import parts_on
from gear.models import FactChange, FailureFound, GearItem, Inspection, Round, RoundDraft
from gear.rounds.sign import review_round
from gear.state_check.check import check_store
from jobs.demo import tries
from jobs.demo.build import build_demo
from jobs.demo.people import DEMO_PASSWORD
from jobs.demo.walk import walk_main_job
from jobs.demo.works import DECAYED, DROPPED, MAIN, fresh
from jobs.models import EfficiencyMeasurement, IssuedSheet, Job, Sheet, SheetRefusal, SheetWithdrawal, Stem
from jobs.plans.calculation import calculate
from jobs.plans.data import load_plan_data
from jobs.sheets.check import check_sheet
from tests.pages import html_of

REPO = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.django_db  # each test within a savepoint of the one transaction that holds the demo


class Told:
    """The demo as it was before the walk, and what the walk said and left."""

    def __init__(self, out):
        self.cast = build_demo()
        self.refused = check_sheet(fresh(self.cast.sheets[MAIN]))
        lines: list[str] = []
        self.issue = walk_main_job(self.cast, out=out, say=lines.append)
        self.lines = lines
        self.out = out


@pytest.fixture(scope="module")
def told(django_db_setup, django_db_blocker, tmp_path_factory):
    """Built once and rolled back: what stands on the chain cannot be deleted."""
    with django_db_blocker.unblock():
        block = transaction.atomic()
        block.__enter__()
        try:
            yield Told(tmp_path_factory.mktemp("paper"))
        finally:
            transaction.set_rollback(True)
            block.__exit__(None, None, None)


@pytest.fixture(scope="module")
def cast(told):
    return told.cast


@pytest.fixture(scope="module")
def items(cast):
    return list(GearItem.objects.for_company(cast.company).prefetch_related("parts"))


# the store


def test_store_holds_about_sixty_items_of_every_kind(items):
    """A class beside others of its kind may be missing: the invented company does not own everything."""
    assert 55 <= len(items) <= 70
    assert {item.kind for item in items} == {each.kind for each in CLASSES}


def test_every_reason_to_be_unfit_can_be_seen(cast, items):
    reasons = Counter(reason.code for item in items for reason in item_fitness(item, cast.today))
    assert set(reasons) == set(CODES)
    assert reasons["retired"] == 4
    assert reasons["recall-unresolved"] == 3
    assert reasons["quarantined"] == 5


def test_most_items_are_fit(cast, items):
    fit = [item for item in items if not item_fitness(item, cast.today)]
    assert len(fit) == GearItem.objects.for_company(cast.company).fit_on(cast.today).count()
    assert 35 <= len(fit) < len(items)


def test_examinations_reach_back_two_years_and_were_taken_over_from_paper(cast):
    rows = Inspection.objects.filter(item__company=cast.company).select_related("record")
    assert rows.count() > 150
    assert (cast.today - min(row.examined_on for row in rows)).days == 730
    assert max(row.examined_on for row in rows) <= cast.today
    assert all(row.record.from_paper for row in rows if not row.round_lines.exists())
    old = [row for row in rows if (cast.today - row.examined_on).days > 8]
    assert old
    assert all(row.record.is_late for row in old)


def test_item_is_examined_before_its_first_use_where_that_lies_within_the_history(cast, items):
    begun = [i for i in items if i.first_used_on and i.first_used_on > cast.day(-730)]
    assert begun
    assert all(i.pre_service_on is not None and i.pre_service_on <= i.first_used_on for i in begun)


def test_one_change_of_fact_waits_and_another_counts(cast, items):
    by_tag = {item.tag: item for item in items}
    (waiting,) = FactChange.objects.for_company(cast.company).waiting()
    assert waiting.item.tag == "C-01"
    assert by_tag["C-01"].working_limit_n == 10_000.0
    assert by_tag["C-13"].breaking_strength_n == 36_000.0
    assert changes_for(cast.members["inspector"])[0].tag == "C-01"
    assert changes_for(cast.members["owner"]) == []


def test_the_demos_store_says_what_its_records_say(cast):
    assert list(check_store(cast.company)) == []


def test_one_item_is_borrowed_and_one_set_is_whole(items):
    by_tag = {item.tag: item for item in items}
    assert by_tag["L-02"].borrowed_from
    assert by_tag["L-02"].due_back_on is not None
    assert by_tag["X-01"].parts.count() == by_tag["X-01"].parts_expected


def test_rope_of_a_set_was_swapped_and_each_day_has_its_own(cast, items):
    (tackle,) = [item for item in items if item.tag == "X-01"]
    before, after = parts_on(tackle, cast.day(-304)), parts_on(tackle, cast.day(-303))
    assert [part.tag for part in before] == ["B-02", "B-05", "K-02", "T-03"]
    assert [part.tag for part in after] == ["B-02", "B-05", "K-02", "T-02"]
    assert tackle.examination_pending_since is None


def test_loads_from_paper_show_all_three_kinds(items):
    kinds = {item.tag: {row.source for row in item.loads.all()} for item in items if item.tag in ("R-01", "B-01")}
    assert kinds == {"R-01": {"measured", "not_measured"}, "B-01": {"derived", "not_measured"}}


# people


def test_one_round_is_signed_and_one_waits_half_answered(cast):
    (signed,) = Round.objects.for_company(cast.company)
    assert [line.outcome for line in signed.lines.all()] == ["fit", "fit"]
    waiting = RoundDraft.objects.get(company=cast.company, closed_at=None)
    lines = review_round(waiting)
    assert [line.group for line in lines] == ["fit", "refused", "open", "fails"]
    assert lines[1].why == (
        "3 of 10: cheeks, wear where rope or metal runs, cracks and corrosion and every part there and tight still to "
        "answer; deepest wear, rope print worn into the sheave and side play of the sheave still to measure."
    )
    (held,) = FailureFound.objects.untold(cast.company)
    assert (held.item.tag, held.item.quarantined_because.partition(":")[0]) == ("B-08", "Failed")


def test_sheaves_of_a_set_have_fallen_against_their_own_history(cast):
    last, *earlier = EfficiencyMeasurement.objects.filter(item=cast.items["X-01"])
    assert len(earlier) == 2
    assert last.sheave_efficiency_high < min(row.sheave_efficiency_low for row in earlier)


def test_eight_people_work_here_with_one_trainee_and_one_lapsed_competence(cast):
    crew = Membership.objects.filter(company=cast.company).exclude(role=Role.AUDITOR)
    assert crew.count() == 8
    learners = {str(m.person): m.person.learning.count() for m in crew if m.person.learning.exists()}
    assert learners == {"Lowen Mabbot": 4, "Odran Pikestaff": 1}
    assert not TrainingSession.objects.filter(person__company=cast.company, granted=True).exists()
    assert TrainingSession.objects.filter(person__company=cast.company).count() == 2
    lapsed = Competence.objects.filter(person__company=cast.company, expires_on__lt=cast.today)
    assert [(c.skill, str(c.person)) for c in lapsed] == [("cutter", str(cast.members["crew3"].person))]


def test_every_role_signs_in_with_the_password_that_is_printed(cast):
    members = Membership.objects.filter(company=cast.company).select_related("user")
    assert {m.role for m in members} == set(Role.values)
    assert all(check_password(DEMO_PASSWORD, m.user.password) for m in members)
    assert all(m.user.email.endswith(".example") for m in members)


@pytest.mark.parametrize("role", Role.values)
def test_every_role_is_named_six_things_to_try_and_may_open_each(cast, told, role, monkeypatch):
    monkeypatch.setattr(tries, "is_demo_database", lambda: True)
    member = next(one for one in cast.members.values() if one.role == role)
    named = tries.tries_for(Membership.objects.select_related("company", "person").get(pk=member.pk))
    assert len(named) == len({one.href for one in named}) == 6
    client = Client()
    client.force_login(member.user, backend="allauth.account.auth_backends.AuthenticationBackend")
    for one in named:
        assert client.get(one.href).status_code == 200, one
    first = html_of(client.get("/", follow=True))
    assert "Things to try in the demo" in first
    assert all(one.href in first for one in named)


def test_neighbour_has_a_store_of_its_own(cast):
    other = Company.objects.exclude(pk=cast.company.pk).get()
    theirs = GearItem.objects.for_company(other)
    assert theirs.count() == 3
    assert not theirs.filter(company=cast.company).exists()
    assert Job.objects.filter(company=other).count() == 0


# jobs


def test_five_jobs_stand_in_five_states(cast):
    jobs = {job.reference: job for job in Job.objects.filter(company=cast.company)}
    assert len(jobs) == 5
    closed = [j for j in jobs.values() if j.closed_on]
    assert [j.reference for j in closed] == ["K-114"]
    assert closed[0].last_day < cast.today
    assert all(stem.felled_on for stem in closed[0].stems.all())
    assert jobs["K-118"].first_day == cast.today
    assert jobs["K-120"].first_day == cast.day(1)
    assert jobs["K-125"].first_day > cast.day(7)


def test_sheet_of_today_stands_with_a_supervised_trainee(cast):
    sheet = Sheet.objects.standing().get(number="K-118-1")
    assert sheet.day == cast.today
    trainee = sheet.duties.get(person__learning__skill="lookout")
    assert trainee.supervisor == cast.members["owner"].person


def test_dropped_block_withdrew_the_sheet_that_lists_it(cast):
    withdrawal = SheetWithdrawal.objects.get(record__company=cast.company)
    assert withdrawal.sheet.number == "K-121-1"
    assert withdrawal.item.tag == DROPPED
    assert not Sheet.objects.standing().filter(number="K-121-1").exists()


def test_decayed_stem_is_refused_for_its_decay_alone(cast):
    stem = Stem.objects.with_plan().get(pk=cast.stems[DECAYED].pk)
    assert [f.full_code for f in calculate(load_plan_data(stem)).refusals] == ["decay"]


def test_later_job_still_has_open_answers(cast):
    stem = Stem.objects.with_plan().get(pk=cast.stems["spillway-1"].pk)
    codes = {f.full_code for f in calculate(load_plan_data(stem)).refusals}
    assert {"unknown:gust", "unknown:attachment_soundness", "unknown:anchor_distance"} <= codes


# the main job


def test_main_sheet_is_refused_for_exactly_three_reasons(told):
    assert [f.full_code for f in told.refused.refusals] == [
        "unfit:fixed_block",
        "unfit:anchor_sling",
        "double-booked:bollard",
    ]
    refusal = SheetRefusal.objects.get(sheet__number="K-120-3")
    assert all(f.full_code in refusal.codes for f in told.refused.refusals)


def test_refusals_name_item_figure_and_cure(told):
    day = told.refused.day
    block, sling, bollard = told.refused.refusals
    assert (block.item, sling.item, bollard.item) == ("B-04", "S-02", "D-02")
    assert str(day.day) in sling.text
    assert "K-118-2" in bollard.text
    assert all(f.cure for f in told.refused.refusals)


def test_sling_is_in_date_on_the_sheets_day_and_lapses_before_the_job_ends(cast, told):
    sling = GearItem.objects.for_company(cast.company).get(tag="S-02")
    assert not item_fitness(sling, told.refused.sheet.day)
    assert sling.next_due_on == cast.day(2)
    assert [r.code for r in item_fitness(sling, told.refused.day)] == ["overdue"]


def test_cured_sheet_stands_with_few_cautions_and_lists_what_was_changed(told):
    check = check_sheet(fresh(told.issue.sheet))
    assert {f.full_code for f in check.refusals} == set()
    assert 1 <= len(check.cautions) <= 3
    assert {c.path for c in check.changes} == {"gear.fixed_block", "gear.anchor_sling", "gear.bollard"}


def test_plan_is_what_a_crew_of_three_can_do(told):
    result = told.refused.outcome.result
    assert 2000 < result.tackle_tension_n < 4000
    assert result.crew_hauling_force_n <= result.hauling_force_n < 3 * 250
    assert result.lowest_tension_n < result.highest_tension_n
    assert result.passes
    assert not {c for c in result.codes if c.startswith(("under-rated", "too-few"))}


def test_issued_paper_is_a_pdf_with_the_sheets_number(told):
    (path,) = told.out.iterdir()
    assert path.name == "sheet-K-120-3-revision-1.pdf"
    reader = PdfReader(io.BytesIO(path.read_bytes()))
    text = "\n".join(page.extract_text() for page in reader.pages)
    assert "K-120-3" in text
    assert told.issue.chain_head[:12] in text.replace("\n", "").replace(" ", "")
    for tag in ("B-04", "S-02", "D-02"):  # what was refused stands as changed, not in the load path
        assert tag in text


def test_walk_says_the_figures_that_were_computed(told):
    text = "\n".join(told.lines)
    reader_words = re.search(
        r"The pull needs ([\d.]+)\s*kN at the tackle; three people give it with ([\d,]+)\s*N", text
    )
    result = told.refused.outcome.result
    assert float(reader_words[1]) * 1000 == pytest.approx(result.tackle_tension_n, abs=10)
    assert float(reader_words[2].replace(",", "")) == pytest.approx(result.hauling_force_n, abs=10)
    for finding in told.refused.refusals:
        assert {finding.title, finding.text, finding.cure} <= {
            line.split(". ", 1)[-1].strip() if line[:1].isdigit() else line.strip().removeprefix("Cure: ")
            for line in told.lines
        }
    assert not re.search(r"\b(safe|OK)\b", text)


def test_chain_holds_with_the_head_that_was_said(told, cast):
    verdict = verify(cast.company)
    assert verdict.holds
    assert f"Head {verdict.head}" in told.lines


def test_today_of_the_demo_is_the_companys(cast):
    assert cast.today == cast.company.today()
    assert isinstance(cast.moment(-1, 9), dt.datetime)
    assert cast.moment(-1, 9).tzinfo is not None


def test_who_is_removed_years_later_goes_with_the_paper_and_the_chain_stays_whole(cast):
    owner, cutter = cast.members["owner"], Person.objects.with_details().get(pk=cast.members["cutter"].person.pk)
    name = cutter.details.name
    end_membership(actor=owner, person=cutter, on=cast.today)
    with pytest.raises(RemovalRefused) as caught:
        remove_person_data(actor=owner, person=cutter, because="asked in writing")
    assert {"retention-runs:jobs.sheet-issued", "retention-runs:gear.event"} <= {r.code for r in caught.value.reasons}
    issues = [i for i in IssuedSheet.objects.select_related("record") if str(cutter.pk) in i.record.names]
    assert issues
    assert all(issue.paper() for issue in issues)
    head = Record.objects.filter(company=cast.company).latest("sequence").hash
    with time_machine.travel(dt.datetime.now(dt.UTC) + dt.timedelta(days=366 * 7), tick=False):
        remove_person_data(actor=owner, person=cutter, because="asked in writing")
        assert [issue.paper() for issue in issues] == [None] * len(issues)
        assert str(Person.objects.get(pk=cutter.pk)).startswith("removed person ")
        assert not Record.objects.filter(body__contains=name).exists()
        assert verify(cast.company, since=head).holds
