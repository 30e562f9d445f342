"""Every relation of the mechanics says its range and its source, and carries its units in its names."""

import ast
import re

import pytest

from jobs.mechanics.sources import SOURCES
from tests.architecture.tree import ROOT, modules

# Modules without relations: they read, write, look up or word what the relations give.
NO_RELATIONS = {
    "checks", "code", "codes", "convert", "defaults", "errors", "exchange", "numeric", "roles", "schema", "sources",
    "topics", "working", "working_gear", "working_plan", "working_stem", "working_window",
}  # fmt: skip
UNITS = ("_n", "_m", "_m2", "_m3", "_m4", "_mm", "_kg", "_kg_m", "_kg_m2", "_kg_m3", "_deg", "_rad", "_s", "_m_s")
UNITS += ("_m_s2", "_nm", "_n_m", "_n_m2", "_n_per_m", "_pa", "_j", "_w", "_turns")
DIMENSIONLESS = ("_ratio", "_coeff", "_advantage", "_efficiency", "_factor", "_wraps", "_exponent")
ANY_KIND = {"base", "bases", "values", "one", "other"}  # samples of whatever input is studied
SOURCE_ID = re.compile(r"\b[A-Z]+(?:-[A-Z]+)*-\d\d\b")


def is_overload(function):
    return any(isinstance(d, ast.Name) and d.id == "overload" for d in function.decorator_list)


def relations():
    for name, _, tree in modules("jobs/mechanics"):
        if name.removeprefix("jobs/mechanics/").removesuffix(".py") in NO_RELATIONS:
            continue
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and not is_overload(node):
                yield pytest.param(node, id=f"{name}:{node.name}")


RELATIONS = list(relations())


@pytest.mark.parametrize("function", RELATIONS)
def test_relation_states_its_range_and_a_source_that_is_listed(function):
    said = ast.get_docstring(function) or ""
    assert re.search(r"^Range: \S", said, flags=re.MULTILINE), said
    source = re.search(r"^Source: (.+(?:\n.+)*)", said, flags=re.MULTILINE)
    assert source, said
    cited = SOURCE_ID.findall(source[1])
    assert cited, source[0]
    assert set(cited) <= set(SOURCES)


def test_relations_were_found():
    assert len(RELATIONS) > 150


def is_float(annotation):
    """Whether a parameter is a number of some kind; counts and words are none."""
    said = ast.unparse(annotation) if annotation is not None else ""
    return bool(re.search(r"\b(float|FloatArray|Number|Value|Ratio|Real)\b", said)) and "Sequence" not in said


def wrong_names(function):
    arguments = function.args.posonlyargs + function.args.args + function.args.kwonlyargs
    return [a.arg for a in arguments if is_float(a.annotation) and not a.arg.endswith((*UNITS, *DIMENSIONLESS))]


@pytest.mark.parametrize("function", RELATIONS)
def test_every_number_a_relation_takes_ends_in_its_unit(function):
    assert set(wrong_names(function)) <= ANY_KIND


def test_every_source_that_is_listed_is_cited_or_kept_for_a_table():
    text = "\n".join(p.read_text(encoding="utf-8") for _, p, _ in modules("jobs") if p.name != "sources.py")
    text += "\n".join(p.read_text(encoding="utf-8") for p in (ROOT / "fixtures").rglob("*.*"))
    assert [key for key in SOURCES if key not in text] == []
