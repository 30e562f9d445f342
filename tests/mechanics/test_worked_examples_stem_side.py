"""The worked examples of the model's definition: stem, hinge, line, pull and window."""

import json
from dataclasses import asdict, fields, is_dataclass
from pathlib import Path

import pytest

from jobs.mechanics.hinge import Hinge, hinge
from jobs.mechanics.line import Line, Redirect, SitePoint, line
from jobs.mechanics.pull import pull
from jobs.mechanics.stem import CrownLump, Section, Tree, stem
from jobs.mechanics.wind import Wind
from jobs.mechanics.window import window

EVERY = json.loads((Path(__file__).parents[2] / "fixtures/reference/worked_examples.json").read_text("utf-8"))
TOPICS = {"stem", "hinge", "line", "pull", "window"}
EXAMPLES = [example for example in EVERY if example["topic"] in TOPICS]


def tree_from(data):
    lists = {"sections": Section, "crown": CrownLump}
    made = {key: tuple(kind(**row) for row in data.get(key, [])) for key, kind in lists.items()}
    return Tree(**{**data, **made})


def line_from(data):
    redirects = tuple(Redirect(**row) for row in data.get("redirects", []))
    return Line(**{**data, "redirects": redirects, "anchor": SitePoint(**data["anchor"])})


def answer(topic, inputs):
    if topic == "stem":
        return stem(tree_from(inputs))
    if topic == "hinge":
        return hinge(Hinge(**inputs))
    made = {"tree": tree_from(inputs["tree"]), "hinge": Hinge(**inputs["hinge"]), "line": line_from(inputs["line"])}
    if topic == "line":
        return line(**made)
    made["wind"] = Wind(**inputs["wind"])
    if topic == "pull":
        return pull(**made, table_angles_deg=tuple(inputs.get("table_angles_deg", ())))
    return window(**made)


def shown(result):
    """A result as plain values, without the fields that are left out when they are None."""
    if is_dataclass(result):
        left_out = {f.name for f in fields(result) if f.metadata.get("omit_none") and getattr(result, f.name) is None}
        return {f.name: shown(getattr(result, f.name)) for f in fields(result) if f.name not in left_out}
    return [shown(item) for item in result] if isinstance(result, tuple) else result


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
        assert found == pytest.approx(expected, rel=1e-3, abs=1e-6), where
    else:
        assert found == expected, where


def test_there_are_seven_examples_on_the_stem_side():
    assert len(EXAMPLES) == 7


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example["title"])
def test_worked_example_is_met(example):
    assert_same(shown(answer(example["topic"], example["inputs"])), example["results"], example["title"])


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example["title"])
def test_results_hold_plain_numbers_only(example):
    def walk(value):
        for item in value.values() if isinstance(value, dict) else value:
            if isinstance(item, dict | list | tuple):
                walk(item)
            else:
                assert item is None or type(item) in (bool, int, float, str), item

    walk(asdict(answer(example["topic"], example["inputs"])))
