"""Defects on record and what answers them; the newest finding is the reason shown."""

import json

import pytest

from crewlog.errors import RuleBroken
from crewlog.models import Record
from gear.events.services import record_event
from gear.examinations.examination import Answer
from gear.examinations.services import Verdict, correct_inspection
from gear.fitness.defects import MENDED, RETESTED, WHOLE, Cure, Defect, defects_in, open_defects, uncured
from gear.fitness.history import Examined
from gear.models import Inspection
from gear.register.history_page import item_history
from gear.register.pages import register_row
from gear.rounds.sign import review_round
from tests.factories.gear import ItemFactory, examiner, good_examination
from tests.gear.rounds import all_good, answer, answer_all, opened
from tests.gear.test_inspect import TOLD, codes, sign

pytestmark = pytest.mark.django_db
MENDED_BY_FIRM = Cure(MENDED, "Cheek welded and proof loaded", firm="Dunnock Forge")


@pytest.fixture
def ines(inspector):
    return examiner(inspector)


@pytest.fixture
def block(company):
    return ItemFactory(company=company)


def fail(actor, item, point="cracks", saw="cheek cracked"):
    answers = {**good_examination(item).answers, point: Answer("fail", saw)}
    return sign(actor, item, Verdict("out_of_use", told=TOLD), answers=answers, kind="after_event")


def remark(actor, item, point="cracks", saw="hairline"):
    answers = {**good_examination(item).answers, point: Answer("remark", saw)}
    return sign(actor, item, Verdict("remark", remark_due_on=item.company.today()), answers=answers)


def test_a_failed_examination_after_an_event_shows_as_failed_and_not_as_the_event(ines, climber, block):
    record_event(actor=climber, item=block, kind="drop", happened_on=block.company.today(), description="from the cage")
    assert register_row(block, block.company.today()).status_words.startswith("Dropped")
    fail(ines, block)
    assert codes(block) == ["quarantined"]
    assert block.quarantined_because == "Failed: cheek cracked"
    assert register_row(block, block.company.today()).status_words.startswith("Failed")


def test_of_two_failed_examinations_the_newest_is_the_reason(ines, block):
    fail(ines, block)
    fail(ines, block, saw="pin bent")
    block.refresh_from_db()
    assert block.quarantined_because == "Failed: pin bent"


def test_an_event_after_a_failure_leaves_the_failure_as_the_reason(ines, climber, block):
    fail(ines, block)
    record_event(actor=climber, item=block, kind="drop", happened_on=block.company.today(), description="again")
    block.refresh_from_db()
    assert block.quarantined_because == "Failed: cheek cracked"


@pytest.mark.parametrize("found", [fail, remark])
def test_a_defect_passes_only_with_what_was_mended_and_by_whom(ines, block, found):
    found(ines, block)
    with pytest.raises(RuleBroken) as caught:
        sign(ines, block)
    assert (caught.value.code, caught.value.field) == ("defect-without-cure", "cure_cracks")
    for part in (Cure(MENDED, "welded"), Cure(MENDED, "", firm="x"), Cure(RETESTED, " "), Cure("else", "x", firm="y")):
        with pytest.raises(RuleBroken):
            sign(ines, block, cures={"cracks": part})
    row = sign(ines, block, cures={"cracks": MENDED_BY_FIRM})
    assert codes(block) == []
    assert row.cures[0]["words"] == "Cheek welded and proof loaded"
    assert "cheek" in row.cures[0]["defect"] or "hairline" in row.cures[0]["defect"]
    assert json.loads(Record.objects.get(pk=row.record_id).body)["cures"] == row.cures


def test_a_test_that_shows_no_defect_answers_it_with_words(ines, block):
    fail(ines, block)
    sign(ines, block, cures={"cracks": Cure(RETESTED, "Dye penetrant: no crack, a scratch in the paint")})
    assert codes(block) == []
    lines = " ".join(line for row in item_history(block) for line in row.lines)
    assert "Test shows no defect: Dye penetrant" in lines


def test_the_history_names_who_mended_it(ines, owner, block):
    fail(ines, block)
    sign(ines, block, cures={"cracks": Cure(MENDED, "cheek changed", by=str(owner.person_id))})
    lines = " ".join(line for row in item_history(block) for line in row.lines)
    assert "Mended by Orla Quenby: cheek changed." in lines


def test_what_is_found_again_at_the_same_point_needs_no_cure(ines, block):
    remark(ines, block)
    remark(ines, block, saw="still a hairline")
    block.refresh_from_db()
    assert block.remark == "still a hairline"


def test_a_defect_on_record_keeps_an_item_out_of_a_round_until_its_cure_is_entered(ines, block):
    remark(ines, block)
    draft = opened(ines, block)
    answer_all(ines, draft)
    (line,) = review_round(draft)
    assert not line.is_signable
    assert "Examine it on its own page" in line.why


def test_a_correction_of_the_failure_itself_asks_for_no_cure(ines, block):
    failed = fail(ines, block)
    correct_inspection(
        actor=ines,
        inspection=failed,
        because="it was another block",
        examination=good_examination(block, kind="after_event"),
        verdict=Verdict("fit"),
    )
    assert codes(block) == []


def put_right(actor, inspection, **changes):
    return correct_inspection(
        actor=actor,
        inspection=inspection,
        because="the day was wrong",
        examination=good_examination(inspection.item, **changes),
        verdict=Verdict("fit"),
    )


@pytest.mark.parametrize("passed_since", [False, True])
def test_a_correction_of_a_pass_says_again_what_was_mended(ines, block, passed_since):
    fail(ines, block)
    passed = sign(ines, block, cures={"cracks": MENDED_BY_FIRM})
    if passed_since:
        sign(ines, block)
    with pytest.raises(RuleBroken) as caught:
        put_right(ines, passed)
    assert (caught.value.code, caught.value.field) == ("defect-without-cure", "cure_cracks")
    assert put_right(ines, passed, cures={"cracks": MENDED_BY_FIRM}).cures == passed.cures
    assert codes(block) == []


def test_a_correction_answers_no_defect_that_was_found_after_it(ines, block):
    first = sign(ines, block)
    fail(ines, block)
    assert put_right(ines, first).cures == []
    assert codes(block) == ["quarantined"]


def test_an_examination_that_says_all_is_good_has_no_cures(ines, block):
    assert sign(ines, block).cures == []
    assert Inspection.objects.filter(item=block).count() == 2


def test_defects_are_read_from_answers_measures_or_the_finding():
    answers = [{"point": "a", "words": "A", "answer": "good", "saw": ""},
               {"point": "b", "words": "B", "answer": "fail", "saw": "cut"}]  # fmt: skip
    measures = [
        {"measure": "wear", "label": "Wear", "passes": False},
        {"measure": "gap", "label": "Gap", "passes": True},
    ]
    found = defects_in(answers=answers, measures=measures, verdict="out_of_use", findings="")
    assert found == (Defect("b", "B: cut"), Defect("wear", "Wear: past its limit"))
    assert defects_in(answers=[], measures=[], verdict="remark", findings="bent") == (Defect(WHOLE, "bent"),)
    assert defects_in(answers=[], measures=[], verdict="fit", findings="bent") == ()


def test_open_defects_are_those_no_later_pass_settles(company):
    day = company.today()
    first = Examined(1, day, "thorough", "out_of_use", defects=(Defect("a", "first"), Defect("b", "other")))
    again = Examined(2, day, "thorough", "out_of_use", defects=(Defect("a", "newer"),))
    passed = Examined(3, day, "thorough", "fit")
    look = Examined(3, day, "pre_use", "fit")
    assert {d.key: d.words for d in open_defects([first, again])} == {"a": "newer", "b": "other"}
    assert open_defects([first, again, passed]) == ()
    assert len(open_defects([first, again, look])) == 2


def test_only_a_whole_cure_answers_a_defect():
    defects = (Defect("a", "x"), Defect("b", "y"))
    assert uncured(defects, ["b"], {"a": Cure(MENDED, "new pin", firm="us")}) == ()
    assert uncured(defects, [], {"a": Cure(MENDED, "new pin")}) == defects


def failed_in_a_round(member, item):
    draft = opened(member, item)
    answer(member, draft, item, **all_good(item, answer_cracks="fail", saw_cracks="hairline at the becket"))
    item.refresh_from_db()
    return draft


def test_what_failed_in_an_open_round_is_a_defect_that_a_pass_has_to_answer(ines, block):
    failed_in_a_round(ines, block)
    assert codes(block) == ["quarantined"]
    with pytest.raises(RuleBroken) as refused:
        sign(ines, block, Verdict("fit"), kind="after_event")
    assert (refused.value.code, refused.value.field) == ("defect-without-cure", "cure_cracks")
    sign(ines, block, Verdict("fit"), kind="after_event", cures={"cracks": MENDED_BY_FIRM})
    assert codes(block) == []


def test_another_round_cannot_pass_what_failed_in_an_open_one(ines, owner, block):
    failed_in_a_round(ines, block)
    other = opened(examiner(owner), block)
    answer_all(owner, other)
    (line,) = review_round(other)
    assert not line.is_signable
    assert "hairline at the becket" in line.why
    assert line.why.count("On record") == 1
