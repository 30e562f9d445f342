"""How a finding's figures are read."""

import ast
from pathlib import Path
from string import Formatter

import pytest

import jobs.mechanics
from jobs.mechanics.findings.codes import CODES
from jobs.plans.findings import facts_sentence
from jobs.plans.labels import RATINGS as READ_RATINGS
from jobs.plans.watched import RATINGS
from jobs.wording.finding_facts import FACTS, told
from jobs.wording.unit_formatter import UnitFormatter


def said(facts, code="sheave-small"):
    return facts_sentence(code, facts, UnitFormatter("metric"))


@pytest.mark.parametrize(("ratio", "text"), [(3.6363, "3.6"), (3.99, "3.9"), (4.0, "4.0")])
def test_bend_is_sheave_over_rope_rounded_down(ratio, text):
    assert said({"bend_ratio": ratio}) == f"Bend {text}."


def test_other_ratios_are_percent_rounded_up():
    assert said({"utilisation_ratio": 0.501}) == "Utilisation 51\N{NO-BREAK SPACE}%."


def test_limit_of_a_bend_is_read_as_the_bend_is_and_not_in_percent():
    assert said({"bend_ratio": 2.9, "limit_bend_ratio": 3.0}) == "Bend 2.9, limit bend 3.0."


def test_what_hands_keep_up_is_read_as_a_force_of_hands_and_rounded_down():
    facts = {"hand_force_n": 641.0, "limit_n": 579.0}
    assert said(facts, "too-few-people") == "Hand force 650\N{NO-BREAK SPACE}N, limit 570\N{NO-BREAK SPACE}N."


def test_a_text_stands_as_it_is_and_an_empty_one_is_not_known():
    assert said({"where": "the bight", "gate": ""}) == "Where the bight, gate not known."


def test_no_fact_is_nothing_said():
    assert said({}) == ""


def noted_names():
    """Names of the facts that the mechanics note or refuse with, from their source."""
    for path in Path(jobs.mechanics.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if not isinstance(node, ast.Call):
                continue
            called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if called == "note":
                yield from (keyword.arg for keyword in node.keywords if keyword.arg)
            elif called == "Refused":
                dicts = [argument for argument in node.args if isinstance(argument, ast.Dict)]
                keys = [key for each in dicts for key in each.keys]
                assert all(isinstance(key, ast.Constant) for key in keys), ast.unparse(node)
                yield from (str(key.value) for key in keys if isinstance(key, ast.Constant))


def test_every_fact_of_the_mechanics_says_how_it_is_read():
    names = set(noted_names())
    assert len(names) > 40
    assert names <= set(FACTS)


def test_every_watched_figure_of_an_item_says_how_it_is_read():
    assert set(RATINGS) <= set(READ_RATINGS)


def in_words(code, **facts):
    words = told(code, next(each.sentences for each in CODES if each.name == code), facts)
    return UnitFormatter("metric").text(words).replace("\N{NO-BREAK SPACE}", " ") if words else None


def test_a_finding_is_one_sentence_with_both_figures():
    assert in_words("hold-critical", moment_n_m=6260.0, limit_n_m=4100.0) == (
        "After the back cut, lean and gust push back with 6.26 kN m and the hinge alone holds only 4.10 kN m."
    )


def test_people_are_counted_in_words():
    facts = {"hand_force_n": 460.0, "limit_n": 250.0, "people": 1.0, "people_needed": 2.0}
    assert in_words("too-few-people", **facts) == "One person can hold 250 N; the pull takes 460 N. Two are needed."


def test_a_sentence_without_all_its_figures_is_not_told():
    assert in_words("hold-critical", moment_n_m=6260.0) is None
    assert in_words("no-throw", throw_m=-0.5).endswith("one haul gives -0.50 m.")


def test_a_code_of_gear_is_told_without_underscores():
    assert in_words("item-kind", kind="tackle_rope") == "An item of kind tackle rope cannot be used here."


def test_every_figure_that_a_sentence_names_is_one_that_has_words():
    named = {name for code in CODES for each in code.sentences for _, name, _, _ in Formatter().parse(each) if name}
    assert len(named) > 30
    assert named <= set(FACTS)
