"""How a finding's figures are read."""

import pytest

from jobs.reader import Reader


@pytest.mark.parametrize(("ratio", "text"), [(3.6363, "3.6"), (3.99, "3.9"), (4.0, "4.0")])
def test_bend_is_sheave_over_rope_rounded_down(ratio, text):
    assert Reader("metric").facts({"bend_ratio": ratio}) == f"Bend {text}."


def test_other_ratios_are_percent_rounded_up():
    assert Reader("metric").facts({"utilisation_ratio": 0.501}) == "Utilisation 51\N{NO-BREAK SPACE}%."


def test_limit_of_a_bend_is_read_as_the_bend_is_and_not_in_percent():
    assert Reader("metric").facts({"bend_ratio": 2.9, "limit_bend_ratio": 3.0}) == "Bend 2.9, limit bend 3.0."
