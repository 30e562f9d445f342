"""DEVELOPERS.md names what is there: every path in it leads somewhere."""

import re
from itertools import product

import pytest

from tests.architecture.tree import ROOT

WRITTEN = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
BRACES = re.compile(r"\{([^{}]+)\}")


def spelled_out(path):
    """One path for each choice of words in braces."""
    choices = [part.split(",") for part in BRACES.findall(path)]
    pattern = BRACES.sub("{}", path)
    return [pattern.format(*words) for words in product(*choices)]


NAMED = sorted(
    {
        each
        for path in re.findall(r"`((?:crewlog|gear|jobs|tests|templates)/[\w/.*{},]*)`", WRITTEN)
        for each in spelled_out(path)
    }
)


@pytest.mark.parametrize("path", NAMED)
def test_named_path_is_there(path):
    assert any(ROOT.glob(path.rstrip("/"))), path
