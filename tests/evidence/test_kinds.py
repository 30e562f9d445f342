"""Every kind of record that the code writes is declared, and none is declared twice."""

import ast
import re
from pathlib import Path

from crewlog.evidence import evidence_models, known_kinds
from crewlog.record_kinds import RECORD_KINDS as CREWLOG
from gear.record_kinds import RECORD_KINDS as GEAR
from jobs.record_kinds import RECORD_KINDS as JOBS

ROOT = Path(__file__).resolve().parents[2]
KIND = re.compile(r"(crewlog|gear|jobs)\.[a-z]+(-[a-z]+)+")
NO_KINDS = {"gear.round-item-opened"}  # a salt
ONE_WORD = {"gear.event", "gear.file", "gear.inspection", "gear.load", "gear.recall", "gear.retirement", "gear.round"}


def written():
    """Literals of the form of a kind in the code of the three apps, and what is given to `append` in any form."""
    for app in ("crewlog", "gear", "jobs"):
        for path in (ROOT / app).rglob("*.py"):
            if "migrations" in path.parts or path.name == "record_kinds.py" or path.match("retention/defaults.py"):
                continue
            for node in ast.walk(ast.parse(path.read_text())):
                if isinstance(node, ast.Constant) and isinstance(node.value, str) and KIND.fullmatch(node.value):
                    yield path, node.value
                yield from appended(path, node)


def appended(path, node):
    if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("append", "append_all") and len(node.args) > 1:
        kind = node.args[1]
        if isinstance(kind, ast.Constant):
            yield path, kind.value


def test_every_kind_that_the_code_writes_is_declared():
    unknown = {f"{path.relative_to(ROOT)}: {kind}" for path, kind in written() if kind not in known_kinds() | NO_KINDS}
    assert not unknown, "declare it in the app's record_kinds.py"


def test_the_search_finds_what_is_written():
    found = {kind for _, kind in written()}
    assert {"crewlog.role-changed", "gear.item-registered", "jobs.hazard-added"} <= found


def test_a_kind_is_declared_once_and_in_its_own_app():
    tables = [model.record_kind for model in evidence_models()]
    everything = [*(kind.name for kind in (*CREWLOG, *GEAR, *JOBS)), *tables]
    assert len(everything) == len(set(everything))
    for app, kinds in (("crewlog", CREWLOG), ("gear", GEAR), ("jobs", JOBS)):
        names = [kind.name for kind in kinds]
        assert all(name.startswith(f"{app}.") for name in names)
        assert names == sorted(names)
    assert set(tables) >= ONE_WORD
