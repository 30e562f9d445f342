"""Columns and codes in words: no name of a column and no raw code reaches a page."""

import re

import pytest

from crewlog.columns import declared_columns
from jobs.field_words import code_words, codes_words, field_words
from jobs.form_checks import STEM_ANSWERS
from jobs.models import PullPlan, Stem

PLAN_COLUMNS = tuple(column.name for column in declared_columns(PullPlan))


@pytest.mark.parametrize(("row", "names"), [(Stem(), STEM_ANSWERS), (PullPlan(), PLAN_COLUMNS)])
def test_no_answer_is_called_by_its_column(row, names):
    for name in names:
        words = field_words(row, name)
        assert "_" not in words
        assert not re.search(r" (m|n|deg|kg|ratio|m s)$", words), words


def test_code_about_a_position_names_the_position_first():
    assert code_words("unfit:fixed_block") == "fixed block: unfit"


def test_tag_in_a_code_keeps_its_dash():
    assert code_words("double-booked:D-02") == "D-02: double booked"


def test_codes_of_a_refusal_are_read_out_one_by_one():
    said = codes_words("hinge-thin, under-rated:moving_block")
    assert said.split("; ")[1].startswith("moving block: ")
    assert ":" not in said.split("; ")[0]
    assert "_" not in said
