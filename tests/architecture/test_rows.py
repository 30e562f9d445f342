"""One test a table: every failing row is named, and nothing passes because a row was not looked at."""

import pytest

from tests.rows import RowsFailed, every_row


def failures_of(check, **fixtures):
    with pytest.raises(RowsFailed) as failed:
        check(**fixtures)
    return failed.value.failures


def test_every_row_that_fails_is_named_with_its_place_and_reason():
    seen = []

    @every_row(("number", "limit"), [(1, 2), pytest.param(3, 2, id="too much"), (5, 4)])
    def check(number, limit):
        seen.append(number)
        assert number <= limit

    first, second = failures_of(check)
    assert seen == [1, 3, 5]
    assert first.startswith("[too much] (test_rows.py:")
    assert "assert 3 <= 2" in first
    assert second.startswith("[5-4] (test_rows.py:")


@pytest.mark.parametrize("ids", [("a", "b"), {1: "a", 2: "b"}.get])
def test_rows_bear_the_names_given_to_them(ids):
    @every_row("number", [1, 2], ids=ids)
    def check(number):
        assert number == 1

    (failure,) = failures_of(check)
    assert failure.startswith("[b]")


def test_tables_above_each_other_check_every_pair():
    @every_row("one", [1, 2])
    @every_row("other", "ab")
    def check(one, other):
        assert one == 1

    assert [failure[:10] for failure in failures_of(check)] == ["2, ['a'] (", "2, ['b'] ("]
    assert vars(check)["row_count"] == 4


def test_any_error_is_a_failing_row_and_so_is_a_row_that_skips_itself():
    @every_row("raises", [KeyError("k"), pytest.fail.Exception("failed"), pytest.skip.Exception("skipped")])
    def check(raises):
        raise raises

    assert [failure.rsplit(") ", 1)[1] for failure in failures_of(check)] == [
        "KeyError: 'k'", "Failed: failed", "Skipped: skipped",
    ]  # fmt: skip


@every_row("number", [1, 2])
def test_fixtures_reach_every_row(number, tmp_path):
    assert tmp_path.is_dir()


def test_a_table_without_rows_and_a_name_nobody_takes_are_refused():
    with pytest.raises(AssertionError, match="a table without rows"):
        every_row("number", [])
    with pytest.raises(AssertionError, match="does not take other"):
        every_row("other", [1])(lambda number: None)
