"""Recording and correcting inspections."""

import datetime as dt

import pytest

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, verify
from crewlog.models import Role
from gear.errors import AlreadyRetired
from gear.events.services import record_event
from gear.examinations.examination import Answer, latest_due
from gear.examinations.services import EmployerNotice, Verdict, correct_inspection, record_inspection
from gear.fitness import apply_evidence
from gear.fitness.defects import Cure
from gear.fitness.facts import item_fitness
from gear.models import Inspection
from tests.conftest import member
from tests.factories.crewlog import CompetenceFactory, PersonFactory
from tests.factories.gear import ItemFactory, examiner, good_examination

pytestmark = pytest.mark.django_db
TOLD = EmployerNotice(at=dt.datetime(2026, 1, 2, 9, tzinfo=dt.UTC), how="by telephone to the owner")
FIT = Verdict("fit")


@pytest.fixture
def ines(inspector):
    return examiner(inspector)


def codes(item):
    item.refresh_from_db()
    return [reason.code for reason in item_fitness(item, item.company.today())]


def sign(actor, item, verdict=FIT, **changes):
    who = {name: changes.pop(name) for name in ("inspector", "from_paper", "entry") if name in changes}
    return record_inspection(
        actor=actor, item=item, examination=good_examination(item, **changes), verdict=verdict, **who
    )


def refused(code):
    """The service raises this code and writes nothing."""

    class Refusal:
        def __enter__(self):
            self.before = Inspection.objects.count()
            self.raises = pytest.raises(RuleBroken)
            self.caught = self.raises.__enter__()
            return self.caught

        def __exit__(self, *args):
            result = self.raises.__exit__(*args)
            assert self.caught.value.code == code
            assert Inspection.objects.count() == self.before
            return result

    return Refusal()


def test_a_first_thorough_examination_makes_an_item_fit(ines):
    item = ItemFactory(company=ines.company, never_examined=True)
    row = sign(ines, item)
    assert codes(item) == []
    assert row.checklist_version == "block 1"
    assert len(row.answers) == len(item.declared.checklist.points)
    assert row.record.entered_by == ines.person
    assert verify(ines.company).holds


def test_the_next_due_date_is_the_strictest_of_its_uses(ines):
    item = ItemFactory(company=ines.company, lifts_or_lowers=True, never_examined=True)
    row = sign(ines, item, on=item.company.today())
    latest = latest_due(item, "thorough", item.company.today())
    assert row.next_due_on == latest.on
    assert "6 months: LOLER" in row.next_due_basis


def test_an_inspector_may_set_a_shorter_next_due_date_never_a_longer_one(ines):
    item = ItemFactory(company=ines.company, never_examined=True)
    today = item.company.today()
    latest = latest_due(item, "thorough", today).on
    with refused("due-too-late") as caught:
        sign(ines, item, Verdict("fit", next_due_on=latest + dt.timedelta(days=1)))
    assert "at the latest" in caught.value.message
    soon = today + dt.timedelta(days=30)
    sign(ines, item, Verdict("fit", next_due_on=soon))
    item.refresh_from_db()
    assert (item.next_due_on, item.next_due_basis) == (soon, "set by the inspector")


def test_a_shortened_date_is_not_lengthened_by_an_interim_inspection(ines):
    item = ItemFactory(company=ines.company, never_examined=True)
    soon = item.company.today() + dt.timedelta(days=30)
    sign(ines, item, Verdict("fit", next_due_on=soon))
    sign(ines, item, kind="interim")
    item.refresh_from_db()
    assert item.next_due_on == soon


def test_the_makers_shorter_interval_wins(ines):
    item = ItemFactory(company=ines.company, maker_interval_months=3, never_examined=True)
    assert "3 months: maker" in sign(ines, item).next_due_basis


def test_without_any_interval_the_inspector_must_set_one(ines):
    item = ItemFactory(company=ines.company, never_examined=True)
    ines.company.inspection_schemes.update(is_active=False)
    with refused("no-interval"):
        sign(ines, item)
    soon = item.company.today() + dt.timedelta(days=30)
    sign(ines, item, Verdict("fit", next_due_on=soon))
    assert codes(item) == []


@pytest.mark.parametrize("role", ["lead", "climber", "auditor"])
def test_only_owner_and_inspector_examine(role, request):
    member = examiner(request.getfixturevalue(role))
    item = ItemFactory(company=member.company)
    with refused("role-not-allowed"):
        sign(member, item)


def test_nobody_signs_without_a_standing_competence(inspector):
    item = ItemFactory(company=inspector.company)
    with refused("not-competent"):
        sign(inspector, item)
    CompetenceFactory(person=inspector.person, skill="examine_gear", gear_class="rope")
    with refused("not-competent"):
        sign(inspector, item)
    CompetenceFactory(person=inspector.person, skill="examine_gear", gear_class="block")
    sign(inspector, item)


def test_a_lapsed_competence_signs_nothing(inspector):
    item = ItemFactory(company=inspector.company)
    yesterday = item.company.today() - dt.timedelta(days=1)
    CompetenceFactory(person=inspector.person, skill="examine_gear", expires_on=yesterday)
    with refused("not-competent"):
        sign(inspector, item)


def test_nobody_examines_their_own_splice(ines):
    item = ItemFactory(company=ines.company, rope=True, spliced_by=ines.person)
    with refused("own-splice"):
        sign(ines, item)


def test_nobody_signs_for_another_unless_it_is_a_paper_report(owner, ines):
    item = ItemFactory(company=owner.company)
    with refused("sign-for-another"):
        sign(owner, item, inspector=ines.person)
    row = sign(owner, item, inspector=ines.person, from_paper=True)
    assert (row.record.entered_by, row.record.on_behalf_of, row.record.from_paper) == (
        owner.person,
        ines.person,
        True,
    )


def test_an_examiner_of_another_company_is_refused(owner):
    stranger, item = PersonFactory(), ItemFactory(company=owner.company)
    with refused("other-company"):
        sign(owner, item, inspector=stranger, from_paper=True)


def test_every_point_needs_an_answer(ines):
    item = ItemFactory(company=ines.company)
    answers = dict(good_examination(item).answers)
    del answers["axle"]
    with refused("examination-incomplete") as caught:
        sign(ines, item, answers=answers)
    assert caught.value.field == "answer_axle"


def test_a_thorough_examination_needs_its_measures_and_an_interim_does_not(ines):
    item = ItemFactory(company=ines.company)
    with refused("examination-incomplete") as caught:
        sign(ines, item, measures={})
    assert caught.value.field == "measure_wear_ratio"
    sign(ines, item, kind="interim", measures={})


def test_points_off_the_checklist_are_refused(ines):
    item = ItemFactory(company=ines.company)
    with refused("not-on-checklist"):
        sign(ines, item, measures={"colour": 1.0})


def test_a_remark_says_what_was_seen_and_by_when_it_is_mended(ines):
    item = ItemFactory(company=ines.company)
    answers = {**good_examination(item).answers, "axle": Answer("remark")}
    with refused("finding-without-words"):
        sign(ines, item, answers=answers)
    answers["axle"] = Answer("remark", "dry bearing")
    with refused("verdict-too-mild"):
        sign(ines, item, answers=answers)
    mend_by = item.company.today() + dt.timedelta(days=14)
    sign(ines, item, Verdict("remark", remark_due_on=mend_by), answers=answers)
    assert codes(item) == []
    assert (item.remark_due_on, item.remark) == (mend_by, "dry bearing")
    assert [r.code for r in item_fitness(item, mend_by + dt.timedelta(days=1))] == ["remark-overdue"]


def test_a_measure_past_its_limit_takes_the_item_out_of_use(ines):
    item = ItemFactory(company=ines.company, rope=True)
    with refused("verdict-too-mild"):
        sign(ines, item, measures={"diameter_mm": 12.5})
    row = sign(ines, item, Verdict("out_of_use", told=TOLD), measures={"diameter_mm": 12.5}, findings="thin")
    assert row.measures == [
        {
            "measure": "diameter_mm",
            "label": "Smallest diameter found",
            "value": 12.5,
            "least": pytest.approx(12.6),
            "most": None,
            "passes": False,
            "source": "tenth of the diameter lost (common practice)",
        }
    ]
    assert row.findings == "thin; Smallest diameter found 12.5 mm, limit at least 12.6 mm"
    assert codes(item) == ["quarantined"]
    assert "limit at least 12.6 mm" in item.quarantined_because


def test_a_measure_alone_says_in_the_record_why_the_item_failed(ines):
    item = ItemFactory(company=ines.company, rope=True)
    row = sign(ines, item, Verdict("out_of_use", told=TOLD), measures={"diameter_mm": 12.5})
    assert row.findings == "Smallest diameter found 12.5 mm, limit at least 12.6 mm"


def test_a_defect_is_told_to_the_employer_or_not_signed(ines):
    item = ItemFactory(company=ines.company)
    with refused("employer-not-told"):
        sign(ines, item, Verdict("out_of_use"), findings="cracked")
    row = sign(ines, item, Verdict("out_of_use", told=TOLD), findings="cracked")
    assert row.employer_told_how == "by telephone to the owner"


def test_a_failed_item_returns_only_by_a_later_passing_examination(ines):
    item = ItemFactory(company=ines.company)
    sign(ines, item, Verdict("out_of_use", told=TOLD), findings="cracked")
    sign(ines, item, kind="pre_use")
    assert codes(item) == ["quarantined"]
    sign(ines, item, Verdict("not_examined"), findings="muddy", kind="after_event", answers={}, measures={})
    assert codes(item) == ["quarantined"]
    cures = {"finding": Cure("mended", "cheek changed", firm="Dunnock Forge")}
    sign(ines, item, kind="after_event", cures=cures)
    assert codes(item) == []


def test_an_examination_dated_before_an_event_does_not_settle_it(ines):
    item = ItemFactory(company=ines.company, quarantined=True)
    sign(ines, item, on=item.quarantined_on - dt.timedelta(days=1))
    assert codes(item) == ["quarantined", "examination-pending"]
    sign(ines, item, on=item.quarantined_on)
    assert codes(item) == []


def test_a_crew_member_fails_an_item_at_the_pre_use_check(climber):
    item = ItemFactory(company=climber.company)
    answers = {"cracks": Answer("fail", "cheek cracked")}
    sign(climber, item, Verdict("out_of_use", told=TOLD), kind="pre_use", answers=answers, measures={})
    assert codes(item) == ["quarantined"]
    assert "cheek cracked" in item.quarantined_because


def test_a_pre_use_check_is_no_examination(climber):
    item = ItemFactory(company=climber.company, never_examined=True)
    sign(climber, item, kind="pre_use")
    assert codes(item) == ["never-inspected"]


def test_an_illegible_marking_stays_until_an_examination_can_read_it(ines):
    item = ItemFactory(company=ines.company, illegible=True)
    assert codes(item) == ["marking-illegible"]
    sign(ines, item)
    assert codes(item) == []


def test_a_failed_marking_point_makes_the_marking_illegible(ines):
    item = ItemFactory(company=ines.company)
    answers = {**good_examination(item).answers, "marking": Answer("fail", "stamp worn off")}
    sign(ines, item, Verdict("out_of_use", told=TOLD), answers=answers)
    assert codes(item) == ["quarantined", "marking-illegible"]


def test_the_remaining_strength_is_what_the_last_examination_set(ines):
    item = ItemFactory(company=ines.company, rope=True)
    assert item.residual_strength_ratio is None
    sign(ines, item, Verdict("fit", residual_strength_ratio=0.8))
    sign(ines, item)
    item.refresh_from_db()
    assert item.residual_strength_ratio == 0.8


def declaration(item, dated_on):
    changes = {"kind": "declaration", "answers": {}, "measures": {}, "declaration_dated_on": dated_on}
    return good_examination(item, **changes)


def test_a_declaration_serves_unused_gear_for_twelve_months(owner):
    item = ItemFactory(company=owner.company, unused=True)
    dated = item.company.today() - dt.timedelta(days=100)
    record_inspection(actor=owner, item=item, examination=declaration(item, dated), verdict=FIT)
    assert codes(item) == []
    assert [r.code for r in item_fitness(item, dated + dt.timedelta(days=367))] == ["never-inspected"]


@pytest.mark.parametrize(
    ("facts", "days", "code"),
    [({"unused": True}, 370, "declaration-too-old"), ({}, 10, "declaration-for-used")],
)
def test_an_old_declaration_or_one_for_used_gear_is_refused(owner, facts, days, code):
    item = ItemFactory(company=owner.company, **facts)
    dated = item.company.today() - dt.timedelta(days=days)
    with refused(code):
        record_inspection(actor=owner, item=item, examination=declaration(item, dated), verdict=FIT)


def test_a_retire_verdict_retires_for_good(ines):
    item = ItemFactory(company=ines.company)
    with refused("disposal-missing"):
        sign(ines, item, Verdict("retire", told=TOLD), findings="cracked")
    sign(ines, item, Verdict("retire", disposal="destroyed", told=TOLD), findings="cracked")
    assert codes(item)[0] == "retired"
    with pytest.raises(AlreadyRetired):
        sign(ines, item)


def test_an_examination_ahead_of_today_is_refused(ines):
    item = ItemFactory(company=ines.company)
    with refused("happened-in-future"):
        sign(ines, item, on=item.company.today() + dt.timedelta(days=1))


def test_a_paper_report_from_last_week_is_marked_late(owner, ines):
    item = ItemFactory(company=owner.company)
    long_ago = item.company.today() - dt.timedelta(days=9)
    row = sign(owner, item, on=long_ago, inspector=ines.person, from_paper=True)
    assert row.record.is_late


def test_a_wrong_inspection_is_put_right_by_a_later_one_that_points_at_it(ines):
    item = ItemFactory(company=ines.company)
    wrong = sign(ines, item, Verdict("out_of_use", told=TOLD), findings="cracked")
    right = correct_inspection(
        actor=ines, inspection=wrong, because="wrong tag", examination=good_examination(item), verdict=FIT
    )
    assert right.corrects == wrong.record
    assert right.because == "wrong tag"
    assert list(Inspection.objects.filter(item=item).standing().order_by("record_id"))[-1] == right
    assert codes(item) == []
    with pytest.raises(RuleBroken) as caught:
        correct_inspection(
            actor=ines, inspection=wrong, because="again", examination=good_examination(item), verdict=FIT
        )
    assert caught.value.code == "corrected-already"


def test_a_correction_does_not_settle_what_was_entered_after_the_first(ines):
    item = ItemFactory(company=ines.company)
    first = sign(ines, item)
    record_event(actor=ines, item=item, kind="drop", happened_on=item.company.today(), description="off the tailboard")
    correct_inspection(actor=ines, inspection=first, because="date", examination=good_examination(item), verdict=FIT)
    assert codes(item) == ["quarantined", "examination-pending"]


def test_another_inspector_does_not_correct_it(ines, owner, company):
    item = ItemFactory(company=company)
    row = sign(ines, item)
    other = examiner(member(company, Role.INSPECTOR, "Rhos Amery"))
    with refused("not-the-signer"):
        correct_inspection(actor=other, inspection=row, because="x", examination=good_examination(item), verdict=FIT)


def test_listeners_hear_of_it_in_the_same_transaction(ines, monkeypatch):
    item = ItemFactory(company=ines.company)
    heard: list[tuple[str, str, bool]] = []

    def listener(losses, entry):
        heard.extend((loss.item.tag, loss.words, isinstance(entry, Entry)) for loss in losses)
        raise RuntimeError("the listener cannot cope")

    monkeypatch.setattr(apply_evidence, "listeners", [listener])
    with pytest.raises(RuntimeError):
        sign(ines, item, Verdict("out_of_use", told=TOLD), findings="cracked")
    assert heard[0][0] == item.tag
    assert "cracked" in heard[0][1]
    assert heard[0][2]
    assert codes(item) == []
