"""What an item of a round still needs, by name; and that what is called complete can be signed."""

import itertools

import pytest
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.quantities.number_style import numbers_with
from gear.rounds.completeness import Completeness, completeness_of, listed
from gear.rounds.pages import progress_of, round_rows
from gear.rounds.reading import values_of
from gear.rounds.sign import review_round
from tests.factories.gear import ItemFactory, examiner
from tests.gear.rounds import all_good, answer, opened, row_of, sign

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines(inspector):
    return examiner(inspector)


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, rope=True, tag="R-01", overdue=True)


def how_far(draft, item):
    row = row_of(draft, item)
    return completeness_of(row, values_of(row))


def points_of(item):
    return {name: value for name, value in all_good(item).items() if name.startswith("answer_")}


def test_measures_are_counted_and_named(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, **points_of(rope))
    complete = how_far(draft, rope)
    assert complete.words == "6 of 7: smallest diameter found still to measure."
    assert not complete.is_complete
    answer(ines, draft, rope, measure_diameter_mm="13,4")  # cannot be read, so it is not measured
    assert not how_far(draft, rope).is_complete
    answer(ines, draft, rope, measure_diameter_mm="13.4")
    assert how_far(draft, rope).words == "7 of 7."


def test_a_thorough_round_is_signed_where_the_company_writes_a_comma(ines, company):
    company.decimal_mark = "comma"
    company.save()
    rope = ItemFactory(company=company, rope=True, overdue=True)
    with numbers_with("comma"):
        draft = opened(ines, rope)
        answer(ines, draft, rope, **all_good(rope, measure_diameter_mm="13,4"))
        assert how_far(draft, rope).is_complete
        inspection = sign(ines, draft).round.lines.get().inspection
    assert inspection.measures[0]["value"] == 13.4


def test_points_that_are_open_are_named_too(ines, rope):
    draft = opened(ines, rope)
    typed = all_good(rope)
    del typed["answer_ends"], typed["measure_diameter_mm"]
    answer(ines, draft, rope, **typed)
    words = how_far(draft, rope).words
    assert words.startswith("5 of 7: ")
    assert "still to answer; smallest diameter found still to measure." in words


def test_an_interim_inspection_asks_for_no_measure(ines, rope):
    draft = opened(ines, rope, kind="interim")
    answer(ines, draft, rope, **points_of(rope))
    assert how_far(draft, rope).words == "6 of 6."


def test_the_list_the_page_before_the_signature_and_the_refusal_say_the_same(ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, **points_of(rope))
    words = "6 of 7: smallest diameter found still to measure."
    (row,) = round_rows(draft)
    assert (row.state, row.missing) == ("begun", words)
    assert progress_of([row]).done == 0
    assert review_round(draft)[0].why == words
    with pytest.raises(RuleBroken) as refused:
        sign(ines, draft)
    assert words in refused.value.message


def test_three_names_are_listed_and_of_many_the_first():
    assert Completeness(21, 18, to_measure=("Sheave wear", "Groove width", "Side play")).words == (
        "18 of 21: sheave wear, groove width and side play still to measure."
    )
    assert listed(("A1", "Bb", "Cc", "Dd", "Ee", "Ff", "Gg")).endswith("and 3 more")


ANSWERS = ("", "good", "remark", "fail")
SAW = ("", "seen")
VERDICTS = ("", "remark", "out_of_use", "retire", "not_examined", "not_presented")
DIAMETERS = ("", "14", "12.5", "1,2")
DAYS = ("", "2099-01-01")


def every_way():
    ways = itertools.product(ANSWERS, SAW, VERDICTS, DIAMETERS, DAYS, ("", "destroyed"))
    return [way for number, way in enumerate(ways) if number % 3 == 0]


def test_what_is_called_complete_is_signable_and_what_is_not_is_refused(ines, rope, company):
    """Over the ways to answer an item, without another's event or a lapsed competence between."""
    draft = opened(ines, rope)
    row = row_of(draft, rope)
    wrong = []
    for way in every_way():
        sheath, saw, verdict, diameter, day, disposal = way
        row.answers.all().delete()
        typed = all_good(rope) | {
            "answer_sheath": sheath, "saw_sheath": saw, "verdict": verdict, "measure_diameter_mm": diameter,
            "remark_due_on": day, "disposal": disposal,
        }  # fmt: skip
        row.answers.bulk_create(made(row, name, value) for name, value in typed.items() if value)
        (line,) = review_round(draft)
        if "1,2" in way or is_too_mild(way):
            assert not line.is_signable, (way, line.group)
        elif line.is_signable != line.complete.is_complete:
            wrong.append((way, line.group, line.why, line.complete.words))
    assert wrong == []


def is_too_mild(way):
    """A verdict that is milder than a failure is refused with words of its own."""
    sheath, _, verdict, diameter, _, _ = way
    return (sheath == "fail" or diameter == "12.5") and verdict in ("remark", "not_examined", "not_presented")


def made(row, name, value):
    now = timezone.now()
    return row.answers.model(row=row, name=name, value=value, answered_at=now, device="phone", device_time=now)
