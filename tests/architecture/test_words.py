"""Words that have no place in the project, in code or on screens."""

import ast
import re
from functools import cache

import pytest

from tests.architecture.tree import ROOT, modules, nodes, text_files, text_of

THIS = "tests/architecture/test_words.py"
NEVER = {
    "a path of one machine": r"/(?:work|root)/|/home/\w|(?<![\w.])/(?:tmp)/\w",
    "a package registry": r"https?://[\w.-]*(?:pypi|pythonhosted|npmjs|debian)\.",
    "work left for later": r"\b(?-i:TODO|FIXME|XXX|HACK)\b",
    "a number of a tracker": r"\b(?:issue|ticket|PR) #\d",
    "lorem": r"\blorem ipsum\b",
}


def places(pattern, files, flags=re.IGNORECASE):
    for path in files:
        name = path.relative_to(ROOT).as_posix()
        if name == THIS:
            continue
        text = text_of(path)
        for found in re.finditer(pattern, text, flags):
            yield f"{name}:{text.count(chr(10), 0, found.start()) + 1}: {found[0]}"


@pytest.mark.parametrize("what", NEVER)
def test_no_file_holds(what):
    assert list(places(NEVER[what], text_files())) == []


def words_of_templates():
    """Text of the templates without tags of Django and HTML."""
    for path in text_files("templates"):
        text = text_of(path)
        text = re.sub(r"{%\s*comment.*?endcomment\s*%}|{#.*?#}|{%.*?%}|{{.*?}}", " ", text, flags=re.DOTALL)
        yield path.relative_to(ROOT).as_posix(), re.sub(r"<[^>]*>", " ", text, flags=re.DOTALL)


def words_of_code():
    """String constants that are not docstrings, of the code that words pages and paper."""
    for name, _, tree in modules("crewlog", "gear", "jobs"):
        docstrings = {
            id(node.body[0].value)
            for node in nodes(tree)
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
            and node.body
            and isinstance(node.body[0], ast.Expr)
        }
        for node in nodes(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docstrings:
                yield f"{name}:{node.lineno}", node.value


@cache
def screen_words():
    return [*words_of_templates(), *words_of_code()]


# "Make safe" is what a crew does with a tree it leaves.
NOT_ON_SCREENS = {
    "a plan is never called safe": r"(?<!make )(?<!make-)(?<!made )\bsafe(?:ly)?\b",
    "nor OK": r"\b(?:OK|O\.K\.|okay)\b",
    "nobody is begged": r"\b[Pp]lease\b",
    "nobody is shouted at": r"\w!(?:\s|$)",
    "nobody is asked whether they are sure": r"\bAre you sure\b",
}


# What pages and paper of jobs once said, by what they say now.
SAID_OTHERWISE = {
    "Assign gear, not assigned": r"\b[Hh]ang (?:the|an?|another) |hangs here|what hangs",
    "Why it is refused": r"[Ww]hat refuses",
    "Find limits": r"backwards",
    "Sheet valid, valid while": r"Sheet stands|[Ss]tands while|no longer stands|still stand\?",
    "Hitch minder": r"[Hh]itch tender",
    "At the worst case within the tolerances": r"worst corner",
    "Maximum before the cut": r"Stop: no more",
    "Sheave efficiency": r"[Kk]ept at (?:each|a|the|its) sheave|passes on",
    "One haul gives": r"throw gives",
    "Latest record code": r"Head of the record",
    "PDF, PDF deleted": r"[Pp]aper (?:was )?(?:let go|kept)",
    "All limits are met": r"gravest first|plan is held against",
    "A refusal cannot be overridden": r"way round a refusal",
    "No line height passes": r"None in range",
    "Answers open": r"nothing is assumed",
}


@pytest.mark.parametrize("now", SAID_OTHERWISE)
def test_pages_and_paper_of_jobs_keep_to_the_words_of_the_trade(now):
    found = [
        f"{place}: {text.strip()[:80]}"
        for place, text in screen_words()
        if place.startswith(("jobs/", "templates/jobs/")) and re.search(SAID_OTHERWISE[now], text)
    ]
    assert found == []


# A report has to make the statements of the regulation in the regulation's words.
STATEMENTS = "gear/reports/schedule.py"


@pytest.mark.parametrize("what", NOT_ON_SCREENS)
def test_on_screens_and_paper(what):
    found = [
        f"{place}: {text.strip()[:80]}"
        for place, text in screen_words()
        if re.search(NOT_ON_SCREENS[what], text) and not place.startswith(STATEMENTS)
    ]
    assert found == []


def test_templates_mark_nothing_as_needing_no_escape():
    assert list(places(r"\|\s*safe\b|{%\s*autoescape\s+off", text_files("templates"))) == []


MAY_MARK_SAFE = {
    "gear/register/item_page.py": "the code of a tag, drawn by a library that escapes its title",
    "jobs/efficiency/pages.py": "a chart that an XML writer built, which escapes every text",
    "jobs/plans/page_drawings.py": "drawings that an XML writer built, which escapes every text",
}


def test_code_marks_as_safe_only_what_a_writer_escaped():
    found = {
        name
        for name, _, tree in modules()
        for node in nodes(tree)
        if isinstance(node, ast.Name) and node.id == "mark_safe" and isinstance(node.ctx, ast.Load)
    }
    assert found <= set(MAY_MARK_SAFE)
