"""The worked examples of the model's definition: tackle, travel, restraint, ratings and whole plans, through JSON."""

import pytest

from jobs.mechanics.exchange import solve
from tests.mechanics.plans import EXAMPLES
from tests.rows import every_row

TOPICS = {"tackle", "travel", "restraint", "plan", "utilisations"}
OURS = [example for example in EXAMPLES if example["topic"] in TOPICS]


def assert_same(found, expected, where):
    if isinstance(expected, dict):
        assert found.keys() == expected.keys(), where
        for key in expected:
            assert_same(found[key], expected[key], f"{where}.{key}")
    elif isinstance(expected, list):
        assert len(found) == len(expected), where
        for number, (one, other) in enumerate(zip(found, expected, strict=True)):
            assert_same(one, other, f"{where}[{number}]")
    elif isinstance(expected, float | int) and not isinstance(expected, bool):
        assert not isinstance(found, bool), where
        assert found == pytest.approx(expected, rel=1e-3, abs=1e-6), where
    else:
        assert found == expected, where


def test_there_are_seven_examples_on_the_tackle_side():
    assert len(OURS) == 7


@pytest.mark.parametrize("example", OURS, ids=lambda example: example["title"])
def test_worked_example_is_met_to_a_tenth_of_a_percent(example):
    answer = solve({"topic": example["topic"], "inputs": example["inputs"]})
    assert answer.keys() == {"topic", "results"}
    assert_same(answer["results"], example["results"], example["title"])


@every_row("example", EXAMPLES, ids=lambda example: example["title"])
def test_every_topic_of_the_examples_goes_through_the_exchange(example):
    answer = solve({"topic": example["topic"], "inputs": example["inputs"]})
    assert_same(answer["results"], example["results"], example["title"])
