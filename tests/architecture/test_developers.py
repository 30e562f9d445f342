"""DEVELOPERS.md names what is there and is short: every path leads somewhere, every capability is in the Map."""

import re
from itertools import product

import pytest

from tests.architecture.tree import ROOT

WRITTEN = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
NOT_CAPABILITIES = {"management", "migrations", "models", "templatetags", "web"}
BRACES = re.compile(r"\{([^{}]+)\}")


def spelled_out(path):
    """One path for each choice of words in braces."""
    choices = [part.split(",") for part in BRACES.findall(path)]
    pattern = BRACES.sub("{}", path)
    return [pattern.format(*words) for words in product(*choices)]


def named_in(text):
    paths = re.findall(r"`((?:crewlog|fixtures|gear|jobs|templates|tests)/[\w/.*{},]*)`", text)
    return {each for path in paths for each in spelled_out(path)}


NAMED = sorted(named_in(WRITTEN))


@pytest.mark.parametrize("path", NAMED)
def test_named_path_is_there(path):
    assert any(ROOT.glob(path.rstrip("/"))), path


def test_every_capability_stands_in_the_map():
    packages = {
        f"{app}/{path.parent.name}"
        for app in ("crewlog", "gear", "jobs")
        for path in (ROOT / app).glob("*/__init__.py")
        if path.parent.name not in NOT_CAPABILITIES
    }
    shown = named_in(WRITTEN.partition("## Map")[2].partition("\n## ")[0])
    assert packages - {path.rstrip("/") for path in shown} == set()


def test_it_is_read_in_one_sitting():
    lines = WRITTEN.splitlines()
    assert len(lines) < 160
    assert [line for line in lines if len(line) > 120] == []
