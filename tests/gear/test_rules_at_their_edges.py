"""The rules of gear on the very day and count they turn on, and where one of two facts is missing."""

import datetime as dt
from dataclasses import replace

import pytest

from gear.fitness.rules import (
    Interval,
    ItemFacts,
    RecallNotice,
    declaration_counts,
    fitness,
    life_end,
    next_due,
    recall_may_cover,
    verdict_allowed,
)

DAY = dt.date(2026, 11, 25)
NEXT_DAY = DAY + dt.timedelta(days=1)
FIT = ItemFacts(
    tag="B-06",
    carries_load=True,
    has_rating=True,
    pre_service_on=dt.date(2026, 3, 14),
    next_due_on=dt.date(2027, 3, 14),
    next_due_basis="12 months",
)


def codes(facts, day=DAY):
    return [reason.code for reason in fitness(facts, day)]


def life(**facts):
    unknown = {"years_from_manufacture": None, "years_from_first_use": None, "manufactured_on": None}
    return life_end(**{**unknown, "first_used_on": None, "is_unused": False, **facts})


def test_interim_look_does_not_put_off_the_thorough_examination():
    scheme = [Interval("thorough", 6, "LOLER")]
    due = next_due(examined_on=dt.date(2026, 1, 10), interim_on=dt.date(2026, 4, 5), scheme=scheme)
    assert due.on == dt.date(2026, 7, 10)


def test_interim_interval_runs_from_the_thorough_examination_while_there_was_no_interim_one():
    due = next_due(examined_on=dt.date(2026, 1, 10), scheme=[Interval("interim", 3, "own rule")])
    assert due.on == dt.date(2026, 4, 10)


def test_life_from_manufacture_ends_on_the_day_of_manufacture_so_many_years_on():
    ten_years = life(years_from_manufacture=10, manufactured_on=dt.date(2024, 3, 1))
    assert (ten_years.ends_on, ten_years.date_missing) == (dt.date(2034, 3, 1), False)


def test_unknown_first_use_of_a_used_item_is_missing_not_forgiven():
    used = life(years_from_first_use=5)
    assert (used.ends_on, used.date_missing) == (None, True)


def test_declaration_made_out_on_the_day_of_first_use_counts():
    assert declaration_counts(dated_on=DAY, first_used_on=DAY, is_unused=False)


@pytest.mark.parametrize("verdict", ["fit", "remark", "out_of_use"])
def test_verdict_that_the_answers_ask_for_is_allowed(verdict):
    assert verdict_allowed(verdict, best=verdict)


@pytest.mark.parametrize(
    "changes",
    [
        {"retired_on": NEXT_DAY, "retired_because": "cut strand"},
        {"quarantined_on": NEXT_DAY, "quarantined_because": "Dropped"},
        {"examination_pending_since": NEXT_DAY, "examination_pending_because": "Shortened"},
    ],
)
def test_what_happens_tomorrow_does_not_speak_against_today(changes):
    assert codes(replace(FIT, **changes)) == []
    assert len(codes(replace(FIT, **changes), NEXT_DAY)) == 1


def test_examined_on_the_day_itself_it_may_be_used_that_day():
    assert codes(replace(FIT, pre_service_on=DAY)) == []


def test_lapsed_declaration_is_not_said_to_be_missing():
    lapsed = fitness(replace(FIT, pre_service_ends_on=DAY - dt.timedelta(days=1)), DAY)[0]
    never = fitness(replace(FIT, pre_service_on=None), DAY)[0]
    to_come = fitness(replace(FIT, pre_service_on=NEXT_DAY, pre_service_ends_on=DAY + dt.timedelta(days=400)), DAY)[0]
    assert "24\N{NO-BREAK SPACE}November\N{NO-BREAK SPACE}2026" in lapsed.words
    assert lapsed.figure == DAY - dt.timedelta(days=1)
    assert never.words == to_come.words
    assert never.words != lapsed.words


@pytest.mark.parametrize(
    ("expected", "parts", "figure", "said"),
    [
        (3, (FIT, FIT), 1, "1 of 3 parts missing."),
        (4, (FIT,), 3, "3 of 4 parts missing."),
        (1, (replace(FIT, recall_unresolved=True),), 1, "Unfit: B-06."),
        # a part too many does not make up for an unfit one
        (1, (FIT, replace(FIT, tag="B-07", recall_unresolved=True)), 1, "Unfit: B-07."),
        (3, (FIT, replace(FIT, tag="B-07", recall_unresolved=True)), 2, "Unfit: B-07; 1 of 3 parts missing."),
    ],
)
def test_set_counts_its_missing_and_its_unfit_parts(expected, parts, figure, said):
    (reason,) = fitness(replace(FIT, parts_expected=expected, parts=parts), DAY)
    assert (reason.code, reason.figure, reason.words) == ("part-unfit", figure, said)


def caught(notice, *, model="Reach 14", batch="QR-24-118", serial="7"):
    return recall_may_cover(notice, maker="Quillmere Ropewalk", maker_model=model, batch=batch, serial=serial)


def test_recall_of_a_maker_without_a_model_covers_every_model():
    assert caught(RecallNotice("Quillmere Ropewalk"))


def test_recall_of_a_model_without_batch_or_serial_covers_all_of_it():
    notice = RecallNotice("Quillmere Ropewalk", "Reach 14")
    assert caught(notice)
    assert not caught(notice, model="Reach 12")


def test_recall_covers_each_batch_it_names():
    notice = RecallNotice("Quillmere Ropewalk", batches=("QR-24-117", "QR-24-118"))
    assert caught(notice)
    assert caught(notice, batch="QR-24-117")
    assert not caught(notice, batch="QR-24-119")


def test_serial_range_whose_ends_do_not_compare_matches_until_resolved():
    assert caught(RecallNotice("Quillmere Ropewalk", serial_from="QA-100", serial_to="QB-200"), serial="QC-7")


def test_serial_range_stands_beside_the_batches():
    notice = RecallNotice("Quillmere Ropewalk", batches=("QR-24-117",), serial_from="S-10", serial_to="S-20")
    assert caught(notice, batch="QR-24-200", serial="S-10")
    assert caught(notice, batch="QR-24-117", serial="S-30")
    assert not caught(notice, batch="QR-24-200", serial="S-21")
