"""A failure answered in a round holds the item at once; what takes it back, and the telling that may follow."""

import datetime as dt

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append, verify
from crewlog.models import Competence, Role
from gear.errors import NotCompetent
from gear.events.services import record_event
from gear.examinations.services import EmployerNotice, Verdict, record_inspection
from gear.failures.pages import standing_failures, untold_part, untold_rows
from gear.failures.services import Telling, held_in, take_back_failure, tell_employer
from gear.failures.telling import tellings_of
from gear.fitness.defects import RETESTED, Cure
from gear.fitness.facts import item_fitness
from gear.fitness.history import Examined, Found, Happened, LifeFacts, state_of
from gear.fitness.refresh import refresh_state
from gear.fitness.status import status_words
from gear.models import EmployerTold, FailureFound, FailureMistaken, GearItem, Inspection, RoundDraft
from gear.rounds.services import close_round, start_item_again
from gear.rounds.sign import review_round
from tests.conftest import member
from tests.factories.gear import ItemFactory, examiner, good_examination
from tests.gear.rounds import all_good, answer, groups, minutes, opened, row_of, sign, told
from tests.given import Given

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 11, 30)


@pytest.fixture
def ines(inspector):
    return examiner(inspector)


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, rope=True, tag="R-01")


def refuses(code):
    return pytest.raises(RuleBroken, check=lambda fault: fault.code == code)


def codes(item):
    return [reason.code for reason in item_fitness(GearItem.objects.get(pk=item.pk), item.company.today())]


def why(item):
    return GearItem.objects.get(pk=item.pk).quarantined_because


def take_back(actor, draft, item, *, because="glove on the wrong tile", looked_at_again=True):
    return take_back_failure(actor=actor, row=row_of(draft, item), because=because, looked_at_again=looked_at_again)


def telling(**changes):
    told: Given = {"at": timezone.now(), "how": "by telephone to the owner"}
    return Telling(**told | changes)


def test_a_fail_that_arrives_holds_the_item_before_anything_is_signed(ines, rope):
    draft = opened(ines, rope)
    clock = timezone.now() - minutes(3)
    answer(ines, draft, rope, at=clock, now=timezone.now(), answer_sheath="fail", saw_sheath="cut at 3 m")
    assert codes(rope) == ["quarantined"]
    assert why(rope) == "Failed: Whole length, by eye and by hand: cut at 3 m"
    found = FailureFound.objects.get()
    assert (found.point, found.saw, found.examiner, found.draft) == ("sheath", "cut at 3 m", ines.person, draft)
    assert (found.record.device_time, found.record.device_offset_min) == (clock, 60)
    assert found.record.happened_at >= draft.started_at
    assert not Inspection.objects.filter(item=rope, verdict="out_of_use").exists()
    assert verify(ines.company).holds


def test_what_arrives_twice_holds_once(ines, rope):
    draft = opened(ines, rope)
    at = timezone.now()
    for _ in range(3):
        answer(ines, draft, rope, at=at, answer_sheath="fail", saw_sheath="cut")
    answer(ines, draft, rope, device="desk", answer_sheath="fail", saw_sheath="cut")
    assert FailureFound.objects.count() == 1


def test_words_that_come_later_are_added_by_a_record_of_their_own_and_are_the_reason_then(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail")
    assert why(rope) == "Failed: Whole length, by eye and by hand"
    answer(ines, draft, rope, saw_sheath="cut at 3 m")
    first, second = FailureFound.objects.order_by("record_id")
    assert (second.record.corrects, second.first) == (first.record, first)
    assert why(rope).endswith("cut at 3 m")
    assert [row.pk for row in held_in(draft)[rope.pk]] == [second.pk]


def test_a_measure_past_its_limit_fails_at_the_limit_only_beyond_it(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, measure_diameter_mm="12.6")
    assert codes(rope) == []
    answer(ines, draft, rope, measure_diameter_mm="12.59")
    assert codes(rope) == ["quarantined"]
    assert why(rope) == "Failed: Smallest diameter found 12.5 mm, limit at least 12.6 mm"
    assert FailureFound.objects.get().sort == "measure"


def test_a_measure_that_cannot_be_read_holds_nothing_and_stops_no_fail_at_a_point(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, measure_diameter_mm="12,5")
    assert codes(rope) == []
    answer(ines, draft, rope, answer_sheath="fail", measure_diameter_mm="3,3")
    assert codes(rope) == ["quarantined"]


@pytest.mark.parametrize("unit", [{}, {"measure_diameter_mm-unit": "mm"}])
def test_a_measure_of_a_company_that_writes_a_comma_is_read_and_holds(ines, company, unit):
    company.decimal_mark = "comma"
    company.save()
    rope = ItemFactory(company=company, rope=True, tag="R-02")
    draft = opened(ines, rope)
    answer(ines, draft, rope, measure_diameter_mm="12,7", **unit)
    assert codes(rope) == []
    answer(ines, draft, rope, measure_diameter_mm="12,5", **unit)
    assert codes(rope) == ["quarantined"]


def test_a_verdict_out_of_use_without_a_failed_point_holds_too(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, verdict="out_of_use", findings="smells of solvent")
    assert why(rope) == "Failed: Out of use by the examiner: smells of solvent"


def test_a_fail_of_one_device_counts_against_a_later_good_of_another(ines, rope):
    draft = opened(ines, rope)
    RoundDraft.objects.update(started_at=timezone.now() - minutes(60))
    draft.refresh_from_db()
    answer(ines, draft, rope, at=timezone.now() - minutes(2), device="desk", **all_good(rope))
    answer(ines, draft, rope, at=timezone.now() - minutes(9), device="phone", answer_sheath="fail")
    assert row_of(draft, rope).answers.get(name="answer_sheath").value == "good"
    assert codes(rope) == ["quarantined"]


def test_good_again_does_not_lift_it_and_the_round_says_why_it_is_not_signed(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, **all_good(rope, answer_sheath="fail", saw_sheath="cut"))
    answer(ines, draft, rope, answer_sheath="good")
    assert codes(rope) == ["quarantined"]
    assert groups(draft) == {"R-01": "refused"}
    assert "entered by mistake" in review_round(draft)[0].why
    with refuses("nothing-to-sign"):
        sign(ines, draft)
    with refuses("failure-held"):
        start_item_again(actor=ines, row=row_of(draft, rope))


def test_the_examiner_takes_a_wrong_tap_back_with_a_reason_and_both_stay_on_record(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, **all_good(rope, answer_sheath="fail"))
    with refuses("still-fails"):
        take_back(ines, draft, rope)
    answer(ines, draft, rope, answer_sheath="good")
    for changes, code in (
        ({"because": "  "}, "mistake-without-reason"),
        ({"looked_at_again": False}, "not-looked-at-again"),
    ):
        with refuses(code):
            take_back(ines, draft, rope, **changes)
    take_back(ines, draft, rope)
    assert codes(rope) == []
    assert FailureFound.objects.count() == FailureMistaken.objects.count() == 1
    assert not FailureFound.objects.untold(rope.company).exists()
    assert groups(draft) == {"R-01": "fit"}
    sign(ines, draft)
    assert verify(ines.company).holds


def test_a_point_that_fails_again_after_a_mistake_is_held_again(ines, rope):
    draft = opened(ines, rope)
    for value in ("fail", "good"):
        answer(ines, draft, rope, answer_sheath=value)
    take_back(ines, draft, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="it is cut")
    assert codes(rope) == ["quarantined"]
    assert FailureFound.objects.latest("record_id").turn == 2


def test_nobody_else_and_no_one_without_the_competence_takes_it_back(ines, owner, company, rope):
    draft = opened(ines, rope)
    for value in ("fail", "good"):
        answer(ines, draft, rope, answer_sheath=value)
    for other in (examiner(owner), examiner(member(company, Role.INSPECTOR, "Rhos Amery"))):
        with refuses("not-your-round"):
            take_back(other, draft, rope)
    Competence.objects.filter(person=ines.person).update(expires_on=company.today() - dt.timedelta(days=1))
    with pytest.raises(NotCompetent):
        take_back(ines, draft, rope)
    assert codes(rope) == ["quarantined"]


def test_once_the_round_is_left_only_an_examination_ends_it(ines, rope):
    draft = opened(ines, rope)
    for value in ("fail", "good"):
        answer(ines, draft, rope, answer_sheath=value)
    close_round(actor=ines, draft=draft)
    with refuses("nothing-held"):
        take_back(ines, draft, rope)
    assert codes(rope) == ["quarantined"]
    cures = {"sheath": Cure(RETESTED, "Run through the hands over its length: the sheath is whole")}
    record_inspection(actor=ines, item=rope, examination=good_examination(rope, cures=cures), verdict=Verdict("fit"))
    assert codes(rope) == []


def test_the_round_is_signed_while_the_telling_is_open_and_stays_so_until_it_is_given(ines, owner, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut")
    signed = sign(ines, draft).round
    inspection = signed.lines.get().inspection
    assert (inspection.verdict, inspection.employer_told_at) == ("out_of_use", None)
    assert inspection.failure == FailureFound.objects.get()
    assert tellings_of([inspection]) == {}
    for who in (owner, ines):
        assert [row.tag for row in untold_rows(who)] == ["R-01"]
    assert [row.tag for row in untold_rows(owner, signed=signed)] == ["R-01"]
    told = tell_employer(actor=owner, failure=inspection.failure, telling=telling(danger="imminent"))
    assert tellings_of([inspection])[inspection.pk].how == told.told_how == "by telephone to the owner"
    assert untold_rows(owner) == []
    with refuses("told-already"):
        tell_employer(actor=owner, failure=inspection.failure, telling=telling())
    assert verify(owner.company).holds


def test_a_telling_typed_with_the_failure_is_on_record_with_it(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut", **told())
    inspection = sign(ines, draft).round.lines.get().inspection
    assert EmployerTold.objects.get().told_at == inspection.employer_told_at
    assert untold_rows(ines) == []


def test_a_point_that_fails_after_the_telling_is_told_again(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut")
    tell_employer(actor=ines, failure=FailureFound.objects.get(), telling=telling())
    answer(ines, draft, rope, saw_sheath="cut at 3 m")  # more words on what they were told of
    assert untold_rows(ines) == []
    answer(ines, draft, rope, answer_ends="fail")
    assert [row.tag for row in untold_rows(ines)] == ["R-01"]
    assert "cut at 3 m" not in untold_rows(ines)[0].reason


def test_a_telling_covers_what_was_found_up_to_the_failure_it_names_and_nothing_since(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail")
    shown = FailureFound.objects.get()
    answer(ines, draft, rope, saw_sheath="cut at 3 m")  # more words on the failure that was shown
    answer(ines, draft, rope, answer_ends="fail")
    tell_employer(actor=ines, failure=shown, telling=telling())
    (left,) = FailureFound.objects.untold(rope.company)
    assert left.point == "ends"
    with refuses("told-already"):
        tell_employer(actor=ines, failure=shown, telling=telling())


def test_nobody_was_told_before_the_moment_it_was_found(ines, rope):
    draft = opened(ines, rope)
    RoundDraft.objects.update(started_at=timezone.now() - minutes(9))
    draft.refresh_from_db()
    answer(ines, draft, rope, at=timezone.now() - minutes(4), answer_sheath="fail")
    found = FailureFound.objects.get()
    with refuses("told-too-early"):
        tell_employer(actor=ines, failure=found, telling=telling(at=found.record.happened_at - minutes(1)))
    minute = found.record.happened_at.replace(second=0, microsecond=0)
    tell_employer(actor=ines, failure=found, telling=telling(at=minute))


def test_a_telling_typed_in_a_round_is_not_from_before_the_newest_failure(ines, rope):
    draft = opened(ines, rope)
    RoundDraft.objects.update(started_at=timezone.now() - minutes(9))
    draft.refresh_from_db()
    typed = told() | {"told_at": f"{timezone.now() - minutes(3):%Y-%m-%dT%H:%M}"}
    answer(ines, draft, rope, at=timezone.now() - minutes(5), answer_sheath="fail", saw_sheath="cut", **typed)
    assert groups(draft) == {"R-01": "fails"}
    answer(ines, draft, rope, answer_ends="fail", saw_ends="eye worn")
    assert groups(draft) == {"R-01": "refused"}
    assert "before it was found" in review_round(draft)[0].why


def test_items_are_counted_after_their_failures_are_put_together(ines, company, rope):
    other = ItemFactory(company=company, rope=True, tag="R-02")
    draft = opened(ines, other, rope)
    answer(ines, draft, other, answer_sheath="fail")
    answer(ines, draft, rope, answer_sheath="fail", answer_ends="fail", answer_heat="fail")
    assert [row.tag for row in untold_rows(ines, limit=2)] == ["R-01", "R-02"]
    part = untold_part(ines, draft=draft, limit=1)
    assert ([row.tag for row in part["untold"]], part["untold_more"]) == (["R-01"], 1)
    assert untold_part(ines, limit=2)["untold_more"] == 0


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"how": " "}, "employer-not-told"),
        ({"danger": "none"}, "danger-unknown"),
        ({"at": timezone.now() + dt.timedelta(hours=2)}, "told-in-future"),
        ({"at": timezone.now() - dt.timedelta(days=2)}, "told-too-early"),
    ],
)
def test_a_telling_says_when_how_and_how_grave(ines, rope, changes, code):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail")
    with refuses(code):
        tell_employer(actor=ines, failure=FailureFound.objects.get(), telling=telling(**changes))
    assert not EmployerTold.objects.exists()


def test_only_owner_and_inspector_say_how_the_employer_was_told(ines, climber, lead, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail")
    for who in (climber, lead):
        with refuses("role-not-allowed"):
            tell_employer(actor=who, failure=FailureFound.objects.get(), telling=telling())


def test_the_single_form_asks_for_the_telling_as_before(ines, rope):
    bad = good_examination(rope, findings="cut")
    with refuses("employer-not-told"):
        record_inspection(actor=ines, item=rope, examination=bad, verdict=Verdict("out_of_use"))
    told = EmployerNotice(timezone.now(), "by telephone")
    record_inspection(actor=ines, item=rope, examination=bad, verdict=Verdict("out_of_use", told=told))


def test_what_failed_is_never_only_dirty(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut", verdict="not_presented")
    assert groups(draft) == {"R-01": "refused"}
    answers = good_examination(rope).answers | {"sheath": type(good_examination(rope).answers["sheath"])("fail", "cut")}
    bad = good_examination(rope, answers=answers, findings="muddy")
    with refuses("verdict-too-mild"):
        record_inspection(actor=ines, item=rope, examination=bad, verdict=Verdict("not_examined"))


@pytest.fixture
def tackle(company):
    whole = ItemFactory(company=company, tag="T-01", gear_class="tackle_set", parts_expected=2)
    parts = [ItemFactory(company=company, tag=f"B-0{n}", assembly=whole) for n in (1, 2)]
    return whole, parts


def test_a_set_with_a_failed_part_is_not_signed_fit_in_the_round_nor_alone(ines, tackle):
    whole, (first, second) = tackle
    draft = opened(ines, whole, first, second)
    answer(ines, draft, whole)
    answer(ines, draft, second)
    answer(ines, draft, first, answer_cracks="fail", saw_cracks="cheek cracked")
    assert groups(draft) == {"T-01": "refused", "B-01": "fails", "B-02": "fit"}
    line = next(line for line in review_round(draft) if line.row.item == whole)
    assert "B-01" in line.why
    assert "cheek cracked" in line.why
    whole = GearItem.objects.get(pk=whole.pk)
    with refuses("part-failed"):
        record_inspection(actor=ines, item=whole, examination=good_examination(whole), verdict=Verdict("fit"))
    signed = sign(ines, draft)
    assert [left.row.item.tag for left in signed.left] == ["T-01"]


def test_a_part_that_passes_under_the_same_signature_does_not_stop_its_set(ines, owner, tackle):
    whole, (first, second) = tackle
    record_event(actor=owner, item=first, kind="drop", happened_on=first.company.today(), description="off the wall")
    draft = opened(ines, whole, first, second)
    for item in (whole, first, second):
        answer(ines, draft, item)
    assert set(groups(draft).values()) == {"fit"}
    sign(ines, draft)
    assert codes(whole) == codes(first) == []


def test_a_failure_in_another_round_asks_to_look_again(ines, owner, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope)
    other = opened(examiner(owner), rope)
    answer(owner, other, rope, answer_sheath="fail", saw_sheath="cut")
    assert groups(draft) == {"R-01": "refused"}
    assert "Look at it again" in review_round(draft)[0].why


def test_the_newest_finding_is_the_reason_with_its_day():
    fell = Happened(1, DAY - dt.timedelta(days=9), "drop", "off the wall")
    found = Found(5, DAY, "Sheath: cut at 3 m")
    state = state_of(examined=[], happened=[fell], found=[found], ended=None, life=LifeFacts())
    assert state.quarantined_on == fell.on
    assert state.quarantined_because == "Failed on 30 November 2026: Sheath: cut at 3 m"
    passed = Examined(6, DAY, "thorough", "fit")
    assert (
        state_of(examined=[passed], happened=[fell], found=[found], ended=None, life=LifeFacts()).quarantined_on is None
    )
    before = Examined(4, DAY, "thorough", "fit")
    state = state_of(examined=[before], happened=[fell], found=[found], ended=None, life=LifeFacts())
    assert (state.quarantined_on, state.quarantined_because) == (DAY, "Failed: Sheath: cut at 3 m")


def test_a_list_says_the_newest_reason_with_its_own_day(ines, owner, rope):
    on = rope.company.today() - dt.timedelta(days=3)
    record_event(actor=owner, item=rope, kind="drop", happened_on=on, description="off the wall")
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut")
    item = GearItem.objects.get(pk=rope.pk)
    words = status_words(item, "unfit", ("quarantined",), item.company.today())
    assert words.startswith("Failed on ")
    assert str(item.company.today().day) in words
    item.quarantined_because = "Lent on trust: to the neighbours"
    assert status_words(item, "unfit", ("quarantined",), item.company.today()).startswith("Lent on trust ")
    assert status_words(item, "unfit", ("quarantined",), item.company.today()).endswith(f"{on.day}\u00a0{on:%b}")


def test_the_state_is_the_same_worked_out_again(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut")
    held = GearItem.objects.get(pk=rope.pk)
    again = refresh_state(GearItem.objects.get(pk=rope.pk))
    assert (held.quarantined_on, held.quarantined_because) == (again.quarantined_on, again.quarantined_because)
    assert held.quarantined_on is not None


def test_a_failure_stands_on_its_items_page_until_it_is_passed_and_told(ines, owner, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut")
    sign(ines, draft)
    assert len(standing_failures(owner, rope.pk)) == 1
    cures = {"sheath": Cure(RETESTED, "Cut out, the new end spliced and pulled")}
    record_inspection(actor=ines, item=rope, examination=good_examination(rope, cures=cures), verdict=Verdict("fit"))
    assert len(standing_failures(owner, rope.pk)) == 1  # passed, and the employer still not told
    tell_employer(actor=owner, failure=FailureFound.objects.get(), telling=telling())
    assert standing_failures(owner, rope.pk) == []


def write_past_the_services(row):
    """On the chain and into the table, without any check but the database's own."""
    row.record = append(row.item.company, row.record_kind, Entry(actor=None), body={})
    type(row).objects.bulk_create([row])


@pytest.mark.parametrize("row", [{"point": ""}, {"words": ""}, {"sort": "guess"}, {"turn": 1}])
def test_the_database_refuses_a_failure_without_its_point_or_twice(ines, rope, row):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail")
    facts = {
        "item": rope, "draft": draft, "examiner": ines.person, "examination": "thorough", "sort": "point",
        "point": "sheath", "words": "Sheath", "found_on": DAY, "turn": 9,
    }  # fmt: skip
    with pytest.raises(IntegrityError), transaction.atomic():
        write_past_the_services(FailureFound(**facts | row))
    write_past_the_services(FailureFound(**facts))


def test_the_database_keeps_no_mistake_without_a_second_look_and_no_failing_inspection_that_nobody_was_told_of(
    ines, rope
):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail")
    failure = FailureFound.objects.get()
    facts = {"failure": failure, "item": rope, "examiner": ines.person, "because": "a slip", "looked_at_again": True}
    for wrong in ({"because": ""}, {"looked_at_again": False}):
        with pytest.raises(IntegrityError), transaction.atomic():
            write_past_the_services(FailureMistaken(**facts | wrong))
    told = {"failure": failure, "item": rope, "told_at": timezone.now(), "told_how": "by telephone", "danger": "could"}
    for wrong in ({"told_how": ""}, {"danger": "none"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            write_past_the_services(EmployerTold(**told | wrong))
    failing = {
        "item": rope, "kind": "thorough", "examined_on": DAY, "inspector": ines.person, "verdict": "out_of_use",
        "marking_legible": True,
    }  # fmt: skip
    with pytest.raises(IntegrityError), transaction.atomic():
        write_past_the_services(Inspection(**failing))
    write_past_the_services(Inspection(**failing, failure=failure))
