"""Dependencies flow one way: the contracts stand in pyproject.toml."""

import ast
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.architecture.tree import ROOT, modules, nodes, tree_of

LINTER = Path(sys.executable).with_name("lint-imports")
CONTRACTS = 11


def run_linter(folder, *arguments):
    return subprocess.run([LINTER, "--no-cache", *arguments], cwd=folder, capture_output=True, text=True, check=False)


def test_every_contract_of_imports_holds():
    done = run_linter(ROOT)
    assert done.returncode == 0, done.stdout
    assert f"Contracts: {CONTRACTS} kept, 0 broken." in done.stdout


BREAKING = [
    ("gear/fitness/rules.py", "django", "Fitness rules and gear classes are plain Python"),
    ("jobs/mechanics/stem.py", "pint", "The mechanics know NumPy and SciPy only"),
    ("jobs/mechanics/pull.py", "jobs.mechanics.plan", "The mechanics lie in layers"),
    ("crewlog/quantities/units.py", "jobs.models", "Dependencies flow one way: jobs, gear, crewlog"),
    ("jobs/drawing/scene.py", "gear.models", "Drawings and papers take plain data"),
    ("crewlog/pdf/styles.py", "django", "Drawings and papers take plain data"),
    ("gear/register/services.py", "gear.register.views", "Layers inside gear and jobs"),
    ("gear/fitness/refresh.py", "gear.register.search_index", "Order of the capabilities of gear"),
    ("jobs/plans/tolerances.py", "jobs.sheets.check", "Order of the capabilities of jobs"),
    ("jobs/plans/presentation.py", "jobs.models", "Rows of figures and words are plain data"),
    ("jobs/plans/page_rows.py", "jobs.sheet_pdf.front", "Pages print rows and never import what makes PDFs"),
]


def told_of(contract, printed):
    """What the linter says of this contract and those after it."""
    assert f"{contract} BROKEN" in printed
    return printed.split(f"\n{contract}\n", 1)[1]


def test_each_contract_breaks_when_its_rule_does(tmp_path):
    (tmp_path / "tests").mkdir()
    for name in ("crewlog", "gear", "jobs", "pyproject.toml", "tests/__init__.py", "tests/architecture"):
        source = ROOT / name
        copy = shutil.copytree if source.is_dir() else shutil.copy
        copy(source, tmp_path / name)
    for module, imported, _ in BREAKING:
        changed = tmp_path / module
        changed.write_text(f"{changed.read_text(encoding='utf-8')}\nimport {imported}\n", encoding="utf-8")
    done = run_linter(tmp_path)
    assert done.returncode == 1
    for module, imported, contract in BREAKING:
        importer = module.removesuffix(".py").replace("/", ".")
        assert f"{importer} -> {imported} (" in told_of(contract, done.stdout)
    assert "- .pull -> .plan (1 import)" in told_of("The mechanics have no circles", done.stdout)


STANDARD_ONLY = ("gear/fitness/rules.py", "gear/catalogue/classes.py")


@pytest.mark.parametrize("name", STANDARD_ONLY)
def test_rules_and_classes_import_the_standard_library_or_each_other(name):
    tree = tree_of(ROOT / name)
    imported = {a.name for n in nodes(tree) if isinstance(n, ast.Import) for a in n.names}
    imported |= {n.module for n in nodes(tree) if isinstance(n, ast.ImportFrom) and n.module}
    outside = {m for m in imported if m.split(".")[0] not in sys.stdlib_module_names and not m.startswith("gear.")}
    assert outside == set()


# What would make a figure depend on the day, the machine or a person's typing.
FORBIDDEN_IN_MECHANICS = {"logging", "time", "datetime", "pathlib", "os", "io", "random", "decimal", "secrets"}


def test_mechanics_know_no_files_clock_or_log():
    found = []
    for name, _, tree in modules("jobs/mechanics"):
        for node in nodes(tree):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            found += [f"{name}: {each}" for each in names if each.split(".")[0] in FORBIDDEN_IN_MECHANICS]
    assert found == []


def test_pint_is_imported_in_one_module():
    users = {
        name
        for name, _, tree in modules()
        for node in nodes(tree)
        if (isinstance(node, ast.Import) and any(a.name.split(".")[0] == "pint" for a in node.names))
        or (isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "pint")
    }
    assert users == {"crewlog/quantities/units.py"}
