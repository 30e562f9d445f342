"""Rounds: answers kept as they are given, failures at once, one signature under the rest."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from crewlog.models import Competence, Role
from gear.errors import NotCompetent
from gear.events.retire import retire_item
from gear.events.services import record_event
from gear.examinations.services import Verdict, correct_inspection
from gear.fitness.facts import item_fitness
from gear.models import GearItem, Inspection, Round, RoundDraftItem, RoundLine
from gear.rounds.services import close_round, sort_out, start_item_again
from gear.rounds.sign import fingerprint, record_failure, review_round, sign_round
from tests.conftest import member
from tests.factories.gear import ItemFactory, examiner, good_examination
from tests.gear.rounds import all_good, answer, answer_all, groups, minutes, opened, row_of, sign, told
from tests.gear.test_selectors import clone

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines(inspector):
    return examiner(inspector)


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, rope=True, tag="R-01", overdue=True)


@pytest.fixture
def block(company):
    return ItemFactory(company=company, tag="B-01", overdue=True)


def reasons(item):
    item.refresh_from_db()
    return [reason.code for reason in item_fitness(item, item.company.today())]


def refuses(code):
    return pytest.raises(RuleBroken, check=lambda fault: fault.code == code)


def test_one_signature_writes_an_inspection_for_each_item_on_the_chain(ines, rope, block):
    draft = opened(ines, rope, block)
    answer(ines, draft, rope, seconds=41)
    answer(ines, draft, block, seconds=3)
    before = Inspection.objects.count()
    signed = sign(ines, draft)
    assert Inspection.objects.count() == before + 2
    assert reasons(rope) == reasons(block) == []
    assert signed.round.items == 2
    lines = {line.item.tag: line for line in signed.round.lines.all()}
    assert [lines[tag].seconds for tag in ("R-01", "B-01")] == [41, 3]
    assert lines["R-01"].inspection.inspector == ines.person
    assert [a["answer"] for a in lines["R-01"].inspection.answers] == ["good"] * 6
    assert "12 months" in lines["B-01"].inspection.next_due_basis
    draft.refresh_from_db()
    assert draft.closed_at is not None
    assert verify(ines.company).holds


def test_due_dates_move_only_with_the_signature(ines, rope):
    draft = opened(ines, rope)
    before = rope.next_due_on
    answer(ines, draft, rope)
    rope.refresh_from_db()
    assert rope.next_due_on == before
    sign(ines, draft)
    rope.refresh_from_db()
    assert rope.next_due_on > before


def test_what_was_answered_on_the_device_and_when_stands_on_the_record(ines, rope):
    draft = opened(ines, rope)
    wrong_clock = timezone.now() + minutes(90)
    answer(ines, draft, rope, at=wrong_clock, now=wrong_clock)
    record = sign(ines, draft).round.lines.get().inspection.record
    assert record.device_time == wrong_clock
    assert record.device_offset_min == 60
    assert record.happened_at <= record.entered_at


def test_no_item_is_signed_on_some_of_its_points(ines, rope, block):
    draft = opened(ines, rope, block)
    answer(ines, draft, rope)
    typed = all_good(block)
    del typed["answer_axle"]
    answer(ines, draft, block, **typed)
    assert groups(draft) == {"R-01": "fit", "B-01": "refused"}
    signed = sign(ines, draft)
    assert [line.row.item.tag for line in signed.left] == ["B-01"]
    assert reasons(block) == ["overdue"]
    draft.refresh_from_db()
    assert draft.closed_at is None
    answer(ines, draft, block, answer_axle="good")
    assert sign(ines, draft).round.items == 1
    assert reasons(block) == []


def test_a_thorough_round_asks_for_the_measures_and_an_interim_one_does_not(ines, rope):
    typed = {name: value for name, value in all_good(rope).items() if name.startswith("answer_")}
    draft = opened(ines, rope)
    answer(ines, draft, rope, **typed)
    assert groups(draft) == {"R-01": "refused"}
    close_round(actor=ines, draft=draft)
    draft = opened(ines, rope, kind="interim")
    answer(ines, draft, rope, **typed)
    assert groups(draft) == {"R-01": "fit"}


def test_an_item_that_was_not_presented_stays_due_and_is_on_record(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, verdict="not_presented")
    line = sign(ines, draft).round.lines.get()
    assert (line.outcome, line.inspection) == ("not_presented", None)
    assert reasons(rope) == ["overdue"]


def test_a_dirty_item_is_not_examined_and_stays_due(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, verdict="not_examined")
    line = sign(ines, draft).round.lines.get()
    assert (line.inspection.verdict, line.inspection.findings) == ("not_examined", "Clean and dry first")
    assert reasons(rope) == ["overdue"]


def test_a_remark_needs_its_words_and_its_date(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, **all_good(rope, answer_sheath="remark"))
    assert "what you saw at" in review_round(draft)[0].why
    answer(ines, draft, rope, saw_sheath="fuzzed at 1.2 m")
    assert review_round(draft)[0].why == "7 of 7: by when the remark is mended still to say."
    answer(ines, draft, rope, remark_due_on="2020-01-01")
    assert "cannot come before" in review_round(draft)[0].why
    mend_by = rope.company.today() + minutes(60 * 24 * 14)
    answer(ines, draft, rope, remark_due_on=mend_by.isoformat())
    assert groups(draft) == {"R-01": "remark"}
    sign(ines, draft)
    rope.refresh_from_db()
    assert (rope.remark, rope.remark_due_on) == ("fuzzed at 1.2 m", mend_by)


def test_a_failure_takes_effect_at_once_and_joins_the_round_at_its_signature(ines, rope, block):
    draft = opened(ines, rope, block)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut at 3 m", **told())
    assert groups(draft)["R-01"] == "fails"
    failure = record_failure(actor=ines, row=row_of(draft, rope))
    assert reasons(rope)[0] == "quarantined"
    assert Round.objects.count() == 0
    answer(ines, draft, block)
    signed = sign(ines, draft)
    assert {line.item.tag: line.outcome for line in signed.round.lines.all()} == {"R-01": "out_of_use", "B-01": "fit"}
    assert signed.round.lines.get(item=rope).inspection == failure
    assert Inspection.objects.filter(item=rope, verdict="out_of_use").count() == 1
    assert verify(ines.company).holds


def test_a_failure_whose_inspection_is_not_recorded_yet_is_recorded_with_the_signature(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, **all_good(rope, measure_diameter_mm="12.5"))
    assert groups(draft) == {"R-01": "fails"}
    line = sign(ines, draft).round.lines.get()
    assert (line.outcome, line.inspection.verdict) == ("out_of_use", "out_of_use")
    assert reasons(rope)[0] == "quarantined"
    assert verify(ines.company).holds


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ({"answer_sheath": "fail"}, "finding-without-words"),
        ({"answer_sheath": "good"}, "nothing-fails"),
        ({"verdict": "out_of_use"}, "failure-without-words"),
        ({"verdict": "retire", "findings": "cut"}, "disposal-missing"),
        ({"answer_sheath": "fail", "measure_diameter_mm": "12,5"}, "answer-unreadable"),
        ({"answer_sheath": "fail", "saw_sheath": "cut", "told_at": ""}, "employer-not-told"),
        ({"answer_sheath": "fail", "saw_sheath": "cut", "told_at": "2020-01-02T09:30"}, "told-too-early"),
        ({"answer_sheath": "fail", "saw_sheath": "cut", "verdict": "not_examined"}, "answer-unreadable"),
    ],
)
def test_a_failure_without_what_it_needs_is_not_recorded(ines, rope, typed, code):
    draft = opened(ines, rope)
    answer(ines, draft, rope, **told() | typed)
    with refuses(code):
        record_failure(actor=ines, row=row_of(draft, rope))
    assert not Inspection.objects.filter(item=rope, verdict__in=["out_of_use", "retire"]).exists()
    assert row_of(draft, rope).failed_by is None


def test_an_item_that_fails_may_be_retired_there_and_then(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, verdict="retire", findings="core shows", disposal="destroyed", **told())
    record_failure(actor=ines, row=row_of(draft, rope))
    assert reasons(rope)[0] == "retired"
    assert sign(ines, draft).round.lines.get().outcome == "retire"


def test_what_is_recorded_takes_no_more_answers(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut", **told())
    record_failure(actor=ines, row=row_of(draft, rope))
    assert answer(ines, draft, rope, answer_sheath="good") == 0
    for again in (record_failure, start_item_again):
        with refuses("recorded-already"):
            again(actor=ines, row=row_of(draft, rope))


@pytest.mark.parametrize("what", ["drop", "retired", "failed"])
def test_an_item_that_changed_since_is_refused_and_the_others_are_signed(ines, owner, rope, block, what):
    draft = opened(ines, rope, block)
    answer(ines, draft, rope)
    answer(ines, draft, block)
    today = rope.company.today()
    if what == "drop":
        record_event(actor=owner, item=rope, kind="drop", happened_on=today, description="off the tailboard")
    elif what == "retired":
        retire_item(actor=owner, item=rope, because="cut strand", disposal="destroyed")
    else:
        other = opened(examiner(owner), rope)
        answer(owner, other, rope, answer_sheath="fail", saw_sheath="cut", **told())
        record_failure(actor=owner, row=row_of(other, rope))
    assert groups(draft) == {"R-01": "refused", "B-01": "fit"}
    signed = sign(ines, draft)
    assert [line.row.item.tag for line in signed.left] == ["R-01"]
    assert reasons(rope)[0] in ("quarantined", "retired")
    assert reasons(block) == []


def test_an_event_before_the_item_was_looked_at_does_not_refuse_it(ines, owner, rope):
    draft = opened(ines, rope)
    record_event(actor=owner, item=rope, kind="drop", happened_on=rope.company.today(), description="off the tailboard")
    answer(ines, draft, rope)
    assert groups(draft) == {"R-01": "fit"}
    sign(ines, draft)
    assert reasons(rope) == []


def test_looking_at_an_item_again_forgets_its_answers(ines, owner, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope)
    record_event(actor=owner, item=rope, kind="drop", happened_on=rope.company.today(), description="off the wall")
    start_item_again(actor=ines, row=row_of(draft, rope))
    assert groups(draft) == {"R-01": "open"}
    answer(ines, draft, rope)
    assert groups(draft) == {"R-01": "fit"}


def test_nothing_is_signed_that_changed_after_it_was_shown(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope)
    shown = fingerprint(review_round(draft))
    answer(ines, draft, rope, answer_sheath="remark", saw_sheath="fuzz", remark_due_on="2099-01-01")
    before = Inspection.objects.count()
    with refuses("round-changed"):
        sign_round(actor=ines, draft=draft, shown=shown)
    assert Inspection.objects.count() == before


def test_of_two_devices_the_later_answer_counts_whichever_arrives_first(ines, rope):
    draft = opened(ines, rope)
    now = timezone.now() + minutes(10)
    draft.started_at = timezone.now() - minutes(60)
    draft.save()
    answer(ines, draft, rope, at=now - minutes(5), now=now, device="desk", answer_sheath="good")
    answer(ines, draft, rope, at=now - minutes(9), now=now, device="phone", answer_sheath="remark")
    kept = row_of(draft, rope).answers.get(name="answer_sheath")
    assert (kept.value, kept.device, kept.other_value) == ("good", "desk", "remark")
    answer(ines, draft, rope, at=now - minutes(1), now=now, device="phone", answer_sheath="remark")
    kept = row_of(draft, rope).answers.get(name="answer_sheath")
    assert (kept.value, kept.device, kept.other_value) == ("remark", "phone", "good")


def test_a_clock_that_is_wrong_does_not_win(ines, rope):
    draft = opened(ines, rope)
    draft.started_at = timezone.now() - minutes(60)
    draft.save()
    fast = timezone.now() + minutes(600)
    answer(ines, draft, rope, at=fast - minutes(20), now=fast, device="fast", answer_sheath="good")
    answer(ines, draft, rope, at=timezone.now() - minutes(2), device="phone", answer_sheath="remark")
    assert row_of(draft, rope).answers.get(name="answer_sheath").value == "remark"


def test_answers_sent_twice_change_nothing(ines, rope):
    draft = opened(ines, rope)
    at = timezone.now()
    assert answer(ines, draft, rope, at=at, seconds=9, answer_sheath="good") == 1
    assert answer(ines, draft, rope, at=at, seconds=9, answer_sheath="good") == 0
    answer(ines, draft, rope, device="desk", seconds=4, answer_ends="good")
    assert row_of(draft, rope).seconds_spent == 13


def test_boxes_an_item_does_not_have_are_passed_over(ines, rope):
    draft = opened(ines, rope)
    assert answer(ines, draft, rope, answer_gate="good", inspector="1", because="x") == 0


def test_items_one_may_not_sign_for_stand_aside_with_the_reason(inspector, company):
    only_ropes = examiner(inspector, gear_class="rope")
    rope = ItemFactory(company=company, rope=True)
    own = ItemFactory(company=company, rope=True, spliced_by=inspector.person)
    block = ItemFactory(company=company)
    gone = ItemFactory(company=company, rope=True, retired=True)
    busy = ItemFactory(company=company, rope=True)
    opened(only_ropes, busy)
    taken, aside = sort_out(inspector.person, [rope, own, block, gone, busy], on=company.today())
    assert taken == [rope]
    said = [each.why for each in aside]
    assert [each.item for each in aside] == [own, block, gone, busy]
    for words, needle in zip(said, ("made a splice", "no valid qualification", "Retired", "open round"), strict=True):
        assert needle in words
    draft = opened(only_ropes, rope, own, block, gone, busy)
    assert [row.item for row in draft.rows.all()] == [rope]


def test_a_competence_that_lapsed_during_the_round_signs_nothing(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope)
    Competence.objects.filter(person=ines.person).update(expires_on=rope.company.today() - minutes(60 * 24))
    assert "no valid qualification" in review_round(draft)[0].why
    with refuses("nothing-to-sign"):
        sign(ines, draft)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut", **told())
    with pytest.raises(NotCompetent):
        record_failure(actor=ines, row=row_of(draft, rope))


@pytest.mark.parametrize("role", ["lead", "climber", "auditor"])
def test_only_owner_and_inspector_start_a_round(role, request, rope):
    with refuses("role-not-allowed"):
        opened(examiner(request.getfixturevalue(role)), rope)


def test_nobody_answers_or_signs_the_round_of_another(ines, company, rope):
    draft = opened(ines, rope)
    other = examiner(member(company, Role.INSPECTOR, "Rhos Amery"))
    for work in (
        lambda: answer(other, draft, rope),
        lambda: sign(other, draft),
        lambda: close_round(actor=other, draft=draft),
        lambda: record_failure(actor=other, row=row_of(draft, rope)),
    ):
        with refuses("not-your-round"):
            work()


def test_another_companys_item_is_no_part_of_a_round(ines, rope):
    with refuses("other-company"):
        opened(ines, rope, ItemFactory())


def test_a_closed_round_takes_nothing(ines, rope):
    draft = opened(ines, rope)
    close_round(actor=ines, draft=draft)
    with refuses("round-closed"):
        answer(ines, draft, rope)


def test_an_inspection_of_a_round_is_corrected_like_any_other(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope)
    wrong = sign(ines, draft).round.lines.get().inspection
    right = correct_inspection(
        actor=ines, inspection=wrong, because="wrong rope", examination=good_examination(rope), verdict=Verdict("fit")
    )
    assert right.corrects == wrong.record
    assert RoundLine.objects.get(item=rope).inspection == wrong
    assert verify(ines.company).holds


def test_a_set_is_examined_with_its_parts(ines, company):
    whole = ItemFactory(company=company, tag="T-01", gear_class="tackle_set", parts_expected=2, overdue=True)
    parts = [ItemFactory(company=company, assembly=whole, overdue=True) for _ in range(2)]
    draft = opened(ines, whole, *parts)
    for item in (whole, *parts):
        answer(ines, draft, item)
    sign(ines, draft)
    assert reasons(parts[0]) == reasons(whole) == []


def queries_of(work):
    with CaptureQueriesContext(connection) as caught:
        work()
    return len(caught)


def test_the_queries_of_a_round_do_not_grow_with_its_items(ines, company):
    many = 50
    made = ItemFactory(company=company, overdue=True)
    GearItem.objects.bulk_create(clone(made, f"K-{n:04d}") for n in range(many))
    items = list(GearItem.objects.filter(company=company).select_related("company"))
    counts = {}
    for some in (items[:10], items[10:]):
        drafts = []
        starting = queries_of(lambda: drafts.append(opened(ines, *some)))  # noqa: B023 - called at once
        answer_all(ines, drafts[0])
        reading = queries_of(lambda: review_round(drafts[0]))  # noqa: B023
        signing = queries_of(lambda: sign(ines, drafts[0]))  # noqa: B023
        counts[len(some)] = (starting, reading, signing)
    few, lots = counts[10], counts[len(items) - 10]
    print(counts)
    assert lots[0] == few[0]
    assert lots[1] <= few[1] + 4  # the answers are fetched in chunks
    assert lots[2] <= few[2] + 40  # rows are written in batches
    assert RoundDraftItem.objects.filter(signed_in__isnull=True).count() == 0
