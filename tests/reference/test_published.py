"""Our functions against printed values, row by row, and facts of the trade against our functions."""

import inspect as inspection
import re
from decimal import Decimal

import pytest

from gear.models import GearItem
from jobs.mechanics import ratings, topics
from jobs.mechanics.rating_data import TERMINATIONS
from jobs.mechanics.ratings import Item, capacity
from tests.reference.calls import CALLS
from tests.reference.loader import FOLDER, ReferenceRow, half_last_digit, load_ids, load_rows, load_unused

ROWS = load_rows()
PRACTICE = {row.id for row in ROWS if row.obtained == "common practice"}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.label)
def test_printed_value_is_reproduced(row):
    computed = CALLS[row.call](**row.given)
    assert row.agrees(computed), f"{row.source}, {row.where}: printed {row.printed} {row.unit}, ours {computed}"


def test_every_row_of_the_list_is_used_or_left_out_with_a_reason():
    listed, used, unused = set(load_ids()), {row.id for row in ROWS} - PRACTICE, load_unused()
    assert len(listed) == len(load_ids()) == 129
    assert used | set(unused) == listed
    assert not used & set(unused)
    assert all(len(reason) > 20 and reason.endswith(".") for reason in unused.values())


def test_facts_of_the_trade_are_all_there():
    assert {
        "five-parts-five-times",
        "five-of-haul-for-one",
        "friction-takes-some",
        "starts-extended",
        "reset-when-two-blocked",
    } == PRACTICE


def test_every_call_is_used():
    assert set(CALLS) == {row.call for row in ROWS}


@pytest.mark.parametrize(("printed", "half"), [("2.83", "0.005"), ("406", "0.5"), ("1.000", "0.0005"), ("40", "0.5")])
def test_tolerance_is_half_the_last_printed_digit(printed, half):
    assert half_last_digit(printed) == Decimal(half)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.label)
def test_a_value_off_by_twice_its_tolerance_would_be_caught(row):
    if _is_words(row):
        assert not row.agrees(f"{row.printed}, other")
        return
    slack = float(half_last_digit(row.printed) if row.tolerance is None else row.tolerance)
    printed = float(row.printed)
    wrong = {
        "equals": [printed + 2 * slack, printed - 2 * slack],
        "at most": [printed + 2 * slack],
        "at least": [printed - 2 * slack],
        "below": [printed, printed + slack],
    }[row.compare]
    assert not any(row.agrees(value) for value in wrong)


def _is_words(row):
    return not re.fullmatch(r"-?\d+(\.\d+)?", row.printed)


def test_a_row_that_says_too_little_is_refused(tmp_path):
    whole = '[[row]]\nid = "X"\nsource = "S"\nwhere = "p. 1"\nobtained = "read in a copy"\ncall = "default"\n'
    (tmp_path / "a.toml").write_text(whole + 'unit = ""\nprinted = "1"\n', encoding="utf-8")
    assert load_rows(tmp_path)[0].id == "X"
    for wrong in (
        whole + 'unit = ""\nprinted = "1"\nsurce = "S"\n',
        whole.replace('"S"', '""') + 'unit = ""\nprinted = "1"\n',
        whole + 'unit = ""\nprinted = "1"\ncompare = "nearly"\n',
        whole.replace("read in a copy", "heard") + 'unit = ""\nprinted = "1"\n',
    ):
        (tmp_path / "a.toml").write_text(wrong, encoding="utf-8")
        with pytest.raises(ValueError, match=r"^a\.toml: X "):
            load_rows(tmp_path)


def test_sources_name_books_and_rules_and_no_address():
    for path in FOLDER.glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"https?:|www\.|/home|/tmp|github|pypi|\.(com|org|net)\b", text, re.IGNORECASE), path.name


def test_the_wraps_of_a_friction_hitch_promise_no_hold():
    """Common practice: about seven wraps is a rule of thumb; what the hitch holds is proved by loading it."""
    assert not any("wrap" in name for name in inspection.signature(ratings.Item).parameters)
    assert not TERMINATIONS["friction_hitch_on_line"].ends_the_rope
    assert not any("hitch_hold" in topic for topic in topics.TOPICS)
    rules = [c for c in GearItem._meta.constraints if c.name.endswith("hold_has_basis")]
    assert [rule.violation_error_message for rule in rules] == [
        "Say how the hold was proven: cord, host rope, wraps and how it was loaded."
    ]


def test_a_hitch_cord_is_rated_by_its_strength_and_not_by_its_hold():
    """Common practice, as above: the cord's own strength, less its knots and the hitch, is all that is computed."""
    cord = Item("hitch_cord", breaking_strength_n=20_000.0, terminations=("sewn_eye", "friction_hitch_on_line"))
    assert capacity(cord).capacity_n == pytest.approx(20_000.0 / 5 * 0.80)


def test_a_row_knows_where_it_stands():
    assert all(isinstance(row, ReferenceRow) and row.where and row.file for row in ROWS)
