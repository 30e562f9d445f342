"""Due dates, lives, recalls and fitness, as plain functions of facts and dates."""

import datetime as dt
from dataclasses import replace

import pytest

from gear.fitness.reasons import CODES
from gear.fitness.rules import (
    Interval,
    ItemFacts,
    RecallNotice,
    add_months,
    declaration_counts,
    fitness,
    life_end,
    next_due,
    recall_may_cover,
    verdict_allowed,
    verdict_from_answers,
)
from tests.rows import every_row

DAY = dt.date(2026, 11, 25)
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


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        (dt.date(2026, 8, 31), 6, dt.date(2027, 2, 28)),
        (dt.date(2027, 8, 31), 6, dt.date(2028, 2, 29)),
        (dt.date(2024, 2, 29), 12, dt.date(2025, 2, 28)),
        (dt.date(2026, 12, 15), 1, dt.date(2027, 1, 15)),
        (dt.date(2027, 1, 31), -1, dt.date(2026, 12, 31)),
    ],
)
def test_months_are_added_to_the_last_day_a_month_has(start, months, end):
    assert add_months(start, months) == end


def test_the_earliest_of_scheme_maker_and_inspector_is_due():
    scheme = [Interval("thorough", 12, "PUWER"), Interval("thorough", 6, "LOLER")]
    start = dt.date(2026, 6, 15)
    assert next_due(examined_on=start, scheme=scheme).on == dt.date(2026, 12, 15)
    assert next_due(examined_on=start, scheme=scheme, maker_months=3).on == dt.date(2026, 9, 15)
    due = next_due(examined_on=start, scheme=scheme, maker_months=3, inspector_set=dt.date(2026, 7, 1))
    assert (due.on, due.basis) == (dt.date(2026, 7, 1), "set by the inspector")


def test_the_due_date_names_the_rule_it_comes_from():
    due = next_due(examined_on=DAY, scheme=[Interval("thorough", 6, "LOLER reg. 9")])
    assert due.basis == "6 months: LOLER reg. 9"


def test_nothing_is_due_where_nothing_sets_an_interval():
    assert next_due(examined_on=DAY, scheme=[]) is None


def test_an_interim_interval_runs_from_the_later_of_interim_and_thorough():
    scheme = [Interval("interim", 3, "own rule"), Interval("thorough", 12, "PUWER")]
    due = next_due(examined_on=dt.date(2026, 1, 10), interim_on=dt.date(2026, 4, 5), scheme=scheme)
    assert due.on == dt.date(2026, 7, 5)
    due = next_due(examined_on=dt.date(2026, 6, 1), interim_on=dt.date(2026, 4, 5), scheme=scheme)
    assert due.on == dt.date(2026, 9, 1)


def test_an_item_without_fault_is_fit():
    assert fitness(FIT, DAY) == ()


def test_an_item_due_on_a_day_may_be_used_on_it_and_not_the_day_after():
    due = replace(FIT, next_due_on=DAY)
    assert codes(due, DAY) == []
    assert codes(due, DAY + dt.timedelta(days=1)) == ["overdue"]


def test_an_item_with_no_interval_at_all_is_not_fit():
    assert codes(replace(FIT, next_due_on=None)) == ["overdue"]


def test_it_is_retired_from_the_day_itself():
    gone = replace(FIT, retired_on=DAY, retired_because="cut strand")
    assert codes(gone, DAY) == ["retired"]
    assert codes(gone, DAY - dt.timedelta(days=1)) == []


@every_row(
    ("changes", "code"),
    [
        ({"quarantined_on": DAY, "quarantined_because": "Dropped"}, "quarantined"),
        ({"examination_pending_since": DAY, "examination_pending_because": "Shortened"}, "examination-pending"),
        ({"pre_service_on": None}, "never-inspected"),
        ({"pre_service_on": DAY + dt.timedelta(days=1)}, "never-inspected"),
        ({"pre_service_ends_on": DAY - dt.timedelta(days=1)}, "never-inspected"),
        ({"remark_due_on": DAY - dt.timedelta(days=1), "remark": "whip the end"}, "remark-overdue"),
        ({"due_back_on": DAY - dt.timedelta(days=1), "borrowed_from": "Heron Trust"}, "due-back"),
        ({"life_ends_on": DAY - dt.timedelta(days=1)}, "life-ends"),
        ({"uses_end_at": 20, "uses_made": 20}, "life-ends"),
        ({"life_date_missing": True}, "dates-missing"),
        ({"recall_unresolved": True}, "recall-unresolved"),
        ({"marking_illegible": True}, "marking-illegible"),
        ({"has_rating": False}, "unrated"),
        ({"parts_expected": 3, "parts": (FIT, FIT)}, "part-unfit"),
        ({"parts_expected": 2, "parts": (FIT, replace(FIT, recall_unresolved=True))}, "part-unfit"),
    ],
)
def test_each_rule_alone_makes_an_item_unfit(changes, code):
    assert codes(replace(FIT, **changes)) == [code]


@pytest.mark.parametrize(
    "changes",
    [
        {"remark_due_on": DAY, "remark": "whip the end"},
        {"life_ends_on": DAY},
        {"due_back_on": DAY, "borrowed_from": "Heron Trust"},
        {"uses_end_at": 20, "uses_made": 19},
        {"pre_service_ends_on": DAY},
        {"carries_load": False, "has_rating": False},
        {"parts_expected": 2, "parts": (FIT, FIT)},
    ],
)
def test_the_last_day_of_a_limit_is_still_within_it(changes):
    assert codes(replace(FIT, **changes)) == []


def test_reasons_come_in_the_order_of_the_declared_codes():
    long_ago = dt.date(2020, 1, 1)
    worst = ItemFacts(
        tag="X",
        carries_load=True,
        has_rating=False,
        retired_on=long_ago,
        quarantined_on=long_ago,
        examination_pending_since=long_ago,
        pre_service_on=long_ago,
        next_due_on=long_ago,
        remark_due_on=long_ago,
        due_back_on=long_ago,
        life_ends_on=long_ago,
        life_date_missing=True,
        recall_unresolved=True,
        marking_illegible=True,
        parts_expected=2,
    )
    assert codes(worst) == [code for code in CODES if code != "never-inspected"]


def test_every_reason_says_a_figure_or_rule_and_a_cure():
    reason = fitness(replace(FIT, next_due_on=dt.date(2026, 11, 12)), DAY)[0]
    assert "12\N{NO-BREAK SPACE}November\N{NO-BREAK SPACE}2026" in reason.words
    assert reason.figure == dt.date(2026, 11, 12)
    assert reason.title == "Inspection lapses"
    assert reason.cure


def test_a_set_names_its_unfit_parts():
    part = replace(FIT, tag="B-04", recall_unresolved=True)
    reason = fitness(replace(FIT, parts_expected=3, parts=(part, FIT)), DAY)[0]
    assert reason.words == "Unfit: B-04; 1 of 3 parts missing."


def test_the_earlier_life_ends_it():
    life = life_end(
        years_from_manufacture=10,
        years_from_first_use=5,
        manufactured_on=dt.date(2024, 3, 1),
        first_used_on=dt.date(2024, 5, 14),
        is_unused=False,
    )
    assert (life.ends_on, life.date_missing) == (dt.date(2029, 5, 14), False)


def test_an_unknown_date_of_manufacture_is_missing_not_forgiven():
    life = life_end(
        years_from_manufacture=10,
        years_from_first_use=5,
        manufactured_on=None,
        first_used_on=dt.date(2024, 5, 14),
        is_unused=False,
    )
    assert (life.ends_on, life.date_missing) == (dt.date(2029, 5, 14), True)


def test_life_from_first_use_has_not_begun_for_an_unused_item():
    life = life_end(
        years_from_manufacture=None,
        years_from_first_use=5,
        manufactured_on=None,
        first_used_on=None,
        is_unused=True,
    )
    assert (life.ends_on, life.date_missing) == (None, False)


@pytest.mark.parametrize(
    ("first_used_on", "is_unused", "counts"),
    [
        (None, True, True),
        (dt.date(2027, 2, 1), False, True),
        (dt.date(2027, 2, 2), False, False),
        (dt.date(2026, 1, 31), False, False),
        (None, False, False),
    ],
)
def test_a_declaration_counts_for_gear_unused_within_twelve_months(first_used_on, is_unused, counts):
    dated = dt.date(2026, 2, 1)
    assert declaration_counts(dated_on=dated, first_used_on=first_used_on, is_unused=is_unused) is counts


@pytest.mark.parametrize(
    ("answers", "passes", "best"),
    [
        (["good", "good"], True, "fit"),
        (["good", "remark"], True, "remark"),
        (["remark", "fail"], True, "out_of_use"),
        (["good"], False, "out_of_use"),
    ],
)
def test_the_verdict_is_no_milder_than_the_worst_answer(answers, passes, best):
    assert verdict_from_answers(answers, measures_pass=passes) == best


def test_an_inspector_may_be_stricter_than_the_answers_never_milder():
    assert verdict_allowed("retire", best="fit")
    assert not verdict_allowed("fit", best="remark")
    assert verdict_allowed("not_examined", best="remark")
    assert not verdict_allowed("not_examined", best="out_of_use")  # what failed was examined


BATCH = RecallNotice(maker="Quillmere Ropewalk", maker_model="Reach 14", batches=("QR-24-118",))


@pytest.mark.parametrize(
    ("maker", "model", "batch", "caught"),
    [
        ("Quillmere Ropewalk", "Reach 14", "QR-24-118", True),
        ("quillmere  ropewalk", "reach 14", "qr-24-118", True),
        ("Quillmere Ropewalk", "Reach 14", "QR-24-119", False),
        ("Quillmere Ropewalk", "Reach 14", "", True),
        ("Quillmere Ropewalk", "", "", True),
        ("Quillmere Ropewalk", "Reach 12", "QR-24-118", False),
        ("Dunnock Forge", "Reach 14", "QR-24-118", False),
        ("", "", "", True),
    ],
)
def test_an_unknown_batch_is_a_match_until_resolved(maker, model, batch, caught):
    assert recall_may_cover(BATCH, maker=maker, maker_model=model, batch=batch, serial="7") is caught


@pytest.mark.parametrize(
    ("serial", "caught"),
    [
        ("DF-100", True),
        ("DF-150", True),
        ("DF-151", False),
        ("DF-99", False),
        ("XX-120", False),
        ("", True),
        ("n/a", True),
    ],
)
def test_a_serial_number_is_caught_within_the_range_or_when_it_cannot_be_read(serial, caught):
    notice = RecallNotice(maker="Dunnock Forge", serial_from="DF-100", serial_to="DF-150")
    assert recall_may_cover(notice, maker="Dunnock Forge", maker_model="", batch="", serial=serial) is caught
