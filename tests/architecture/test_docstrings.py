"""Every relation of the mechanics says its range and its source, and carries its units in its names."""

import ast
import re

import pytest

from jobs.mechanics.sources import SOURCES
from tests.architecture.tree import ROOT, modules, text_of
from tests.rows import every_row

# Modules and packages without relations: they read, write, look up or word what the relations give.
NO_RELATIONS = {
    "checks", "convert", "defaults", "errors", "exchange", "findings", "numeric", "roles", "schema", "sources",
    "topics", "working",
}  # fmt: skip
UNITS = (
    "_n", "_m", "_m2", "_m3", "_m4", "_mm", "_kg", "_kg_m", "_kg_m2", "_kg_m3", "_deg", "_rad", "_s", "_m_s",
    "_m_s2", "_nm", "_n_m", "_n_m2", "_n_per_m", "_pa", "_j", "_w", "_turns",
)  # fmt: skip
DIMENSIONLESS = ("_ratio", "_coeff", "_advantage", "_efficiency", "_factor", "_wraps", "_exponent")
ANY_KIND = {"base", "bases", "values", "value", "one", "other"}  # of whatever input is studied or asked for
SOURCE_ID = re.compile(r"\b[A-Z]+(?:-[A-Z]+)*-\d\d\b")


def is_overload(function):
    return any(isinstance(d, ast.Name) and d.id == "overload" for d in function.decorator_list)


def relations():
    for name, _, tree in modules("jobs/mechanics"):
        if name.removeprefix("jobs/mechanics/").removesuffix(".py").partition("/")[0] in NO_RELATIONS:
            continue
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and not is_overload(node):
                yield pytest.param(node, id=f"{name}:{node.name}")


RELATIONS = list(relations())


def is_number(annotation):
    """Whether a parameter or a result is a number of some kind; counts and words are none."""
    said = ast.unparse(annotation) if annotation is not None else ""
    return bool(re.search(r"\b(float|FloatArray|Number|Value|Ratio|Real)\b", said)) and "Sequence" not in said


def faults(function):
    """What a relation fails to say: its range, a source of the list, the unit of its result and of its numbers."""
    said = ast.get_docstring(function) or ""
    found = []
    if not re.search(r"^Range: \S", said, flags=re.MULTILINE):
        found.append("no range")
    source = re.search(r"^Source: (.+(?:\n.+)*)", said, flags=re.MULTILINE)
    cited = SOURCE_ID.findall(source[1]) if source else []
    if not cited:
        found.append("no source")
    found += [f"source {name} is not listed" for name in cited if name not in SOURCES]
    if is_number(function.returns) and not re.search(r"\[[^\]]+\]", said):
        found.append("no unit of the result")
    arguments = function.args.posonlyargs + function.args.args + function.args.kwonlyargs
    numbers = [a.arg for a in arguments if is_number(a.annotation) and a.arg not in ANY_KIND]
    return found + [f"no unit in {name}" for name in numbers if not name.endswith((*UNITS, *DIMENSIONLESS))]


@every_row("function", RELATIONS)
def test_relation_states_range_source_and_units(function):
    assert faults(function) == []


SOUND = '''
def pressure(air_density_kg_m3: float, gust_m_s: Real) -> Real:
    """Pressure of a gust [Pa].

    q = rho V^2/2
    Range: V not negative.
    Source: WIND-01.
    """
'''


@pytest.mark.parametrize(
    ("taken", "put_in", "fault"),
    [
        ("", "", None),
        (" [Pa]", "", "no unit of the result"),
        ("gust_m_s", "gust", "no unit in gust"),
        ("    Range: V not negative.\n", "", "no range"),
        ("Range: V not negative.", "Range:", "no range"),
        ("Source: WIND-01.", "", "no source"),
        ("Source: WIND-01.", "Source: a textbook.", "no source"),
        ("WIND-01", "WIND-99", "source WIND-99 is not listed"),
    ],
)
def test_a_missing_unit_range_or_source_is_caught(taken, put_in, fault):
    assert taken in SOUND
    (function,) = ast.parse(SOUND.replace(taken, put_in)).body
    assert faults(function) == ([fault] if fault else [])


def test_relations_were_found():
    assert len(RELATIONS) > 150


def test_every_source_that_is_listed_is_cited_or_kept_for_a_table():
    text = "\n".join(text_of(p) for _, p, _ in modules("jobs") if p.name != "sources.py")
    text += "\n".join(p.read_text(encoding="utf-8") for p in (ROOT / "fixtures").rglob("*.*"))
    assert [key for key in SOURCES if key not in text] == []
