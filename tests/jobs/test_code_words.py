"""Codes in words: no raw code reaches a page."""

from jobs.plans.code_words import code_words, codes_words


def test_code_about_a_position_names_the_position_first():
    assert code_words("unfit:fixed_block") == "fixed block: unfit"


def test_tag_in_a_code_keeps_its_dash():
    assert code_words("double-booked:D-02") == "D-02: double booked"


def test_codes_of_a_refusal_are_read_out_one_by_one():
    said = codes_words("hinge-thin, under-rated:moving_block")
    assert said.split("; ")[1].startswith("moving block: ")
    assert ":" not in said.split("; ")[0]
    assert "_" not in said
