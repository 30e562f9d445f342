"""Three values of a field: as opened, as stored, as wanted; and what a form that comes too late has to ask."""

import datetime as dt

import pytest

from crewlog.stale import Opened, StaleEdit, check_opened
from crewlog.stale.opened import TOKEN

SHOWN = {"gust": 6.0, "haulers": 4, "day": dt.date(2026, 11, 26), "rows": [{"h": 1.0}]}


def opened(**changes):
    return Opened.now("plan:1", SHOWN | changes)


def sent(state, **choices):
    data = {TOKEN: state.token} | {f"choose-{name}": value for name, value in choices.items()}
    return Opened.sent("plan:1", data)


def refused(state, *, theirs, mine):
    with pytest.raises(StaleEdit) as error:
        check_opened(state, theirs=SHOWN | theirs, mine=mine)
    return error.value


def test_a_save_passes_where_nobody_else_saved():
    check_opened(sent(opened()), theirs=SHOWN, mine=SHOWN | {"gust": 9.0})


def test_what_was_shown_comes_back_with_the_form_to_the_last_digit():
    state = opened(gust=0.1 + 0.2)
    assert sent(state).values == {"gust": 0.1 + 0.2, "haulers": 4, "day": "2026-11-26", "rows": [{"h": 1.0}]}


def test_a_field_that_i_did_not_touch_takes_theirs_unless_i_say_otherwise():
    error = refused(sent(opened()), theirs={"gust": 9.0}, mine=SHOWN)
    (row,) = error.differences
    assert (row.name, row.opened, row.theirs, row.mine, row.default) == ("gust", 6.0, 9.0, 6.0, "theirs")


def test_a_field_that_both_touched_must_be_chosen():
    error = refused(sent(opened()), theirs={"gust": 9.0}, mine=SHOWN | {"gust": 5.0})
    assert [(row.name, row.default) for row in error.differences] == [("gust", "")]


def test_a_field_that_only_i_touched_is_kept_and_named():
    error = refused(sent(opened()), theirs={"gust": 9.0}, mine=SHOWN | {"haulers": 5})
    assert [row.name for row in error.differences] == ["gust"]
    assert [(row.name, row.mine) for row in error.kept] == [("haulers", 5)]


def test_child_rows_are_compared_like_a_field():
    error = refused(sent(opened()), theirs={"rows": [{"h": 2.0}]}, mine=SHOWN)
    assert [row.name for row in error.differences] == ["rows"]


def test_both_saying_the_same_is_no_conflict():
    check_opened(sent(opened()), theirs=SHOWN | {"gust": 9.0}, mine=SHOWN | {"gust": 9.0})


def test_a_figure_set_alone_counts_the_rest_as_it_was_shown():
    error = refused(sent(opened()), theirs={"gust": 9.0}, mine={"haulers": 5})
    assert [row.name for row in error.differences] == ["gust"]


@pytest.mark.parametrize("missing", [{}, {"haulers": "theirs"}])
def test_nothing_passes_until_everything_asked_is_chosen(missing):
    theirs = {"gust": 9.0, "haulers": 6}
    mine = SHOWN | {"gust": 5.0, "haulers": 5}
    again = refused(sent(opened()), theirs=theirs, mine=mine).opened
    error = refused(sent(again, **missing), theirs=theirs, mine=mine)
    assert [row.name for row in error.differences] == ["gust", "haulers"]
    assert [row.opened for row in error.differences] == [6.0, 4]
    assert error.opened.choices == missing


def test_what_was_chosen_passes():
    theirs, mine = {"gust": 9.0}, SHOWN | {"gust": 5.0}
    again = sent(refused(sent(opened()), theirs=theirs, mine=mine).opened, gust="mine")
    check_opened(again, theirs=SHOWN | theirs, mine=mine)


def test_a_third_save_between_the_choice_and_its_sending_is_asked_again():
    theirs, mine = {"gust": 9.0}, SHOWN | {"gust": 5.0}
    again = sent(refused(sent(opened()), theirs=theirs, mine=mine).opened, gust="mine")
    error = refused(again, theirs={"gust": 7.0}, mine=mine)
    assert error.differences[0].theirs == 7.0


@pytest.mark.parametrize("token", ["", "x", "eyJh:1:2", "\x00"])
def test_who_cannot_say_what_they_saw_is_asked_about_every_difference(token):
    state = Opened.sent("plan:1", {TOKEN: token})
    error = refused(state, theirs={}, mine=SHOWN | {"gust": 5.0})
    assert [(row.name, row.default, row.is_known) for row in error.differences] == [("gust", "", False)]
    check_opened(state, theirs=SHOWN, mine=SHOWN)


def test_the_token_of_another_row_says_nothing_of_this_one():
    assert Opened.sent("plan:2", {TOKEN: opened().token}).values is None


def test_a_caller_that_showed_nothing_is_not_asked():
    check_opened(None, theirs=SHOWN, mine={"gust": 5.0})
