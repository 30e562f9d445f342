"""What README promises is what is there: the two commands, the table of commands, the settings, the layout."""

import json
import re
import subprocess
import sys
import tomllib

import pytest
from django.core.management import get_commands, load_command_class

from tests.architecture.tree import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
CI = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
SETUP = "python3 -m venv .venv && .venv/bin/pip install --require-hashes -r "
TEST = f"{SETUP}.ci/requirements-dev.lock && .venv/bin/python -m pytest -n auto --dist loadfile"
DEMO = f"{SETUP}requirements.lock && .venv/bin/python manage.py demo"
LAYOUT = {
    "README.md", "DEVELOPERS.md", "LICENSE", "manage.py", "pyproject.toml", "requirements.lock",
    "crewlog", "gear", "jobs", "templates", "tests", "fixtures",
}  # fmt: skip
MADE_HERE = {"var", "build", "mutants"}


def own_commands():
    return {name for name, app in get_commands().items() if app in ("crewlog", "gear", "jobs")}


def test_readme_gives_both_commands_on_lines_of_their_own():
    assert TEST in README.splitlines()
    assert DEMO in README.splitlines()


def test_ci_runs_the_very_commands_of_the_readme():
    assert TEST in CI.splitlines()
    assert f"{DEMO} --no-serve" in CI.splitlines()


def test_table_lists_every_command_there_is_and_no_other():
    listed = set(re.findall(r"^\| `([a-z_]+)[ `]", README, flags=re.MULTILINE)) - {"var"}
    assert listed == own_commands()


def test_flags_named_in_the_readme_exist():
    known = {"-c", "-m", "-n", "-r", "--dist", "--require-hashes", "--noinput"}
    for name in own_commands():
        parser = load_command_class(get_commands()[name], name).create_parser("manage.py", name)
        known |= {flag for action in parser._actions for flag in action.option_strings}
    assert set(re.findall(r"(?<=[\s`\[])--?[a-z][a-z-]*", README)) - known == set()


def test_table_of_settings_names_what_the_settings_read():
    settings = (ROOT / "crewlog" / "settings.py").read_text(encoding="utf-8")
    read = set(re.findall(r'"((?:CREWLOG|DATABASE)_[A-Z_]+)"', settings))
    assert set(re.findall(r"^\| `([A-Z_]+)` ", README, flags=re.MULTILINE)) == read


def test_example_of_the_readme_gives_what_it_says():
    request = re.search(r"echo '(\{.*\})' \| \.venv/bin/python manage\.py solve_plan -", README)[1]
    done = subprocess.run(
        [sys.executable, "manage.py", "solve_plan", "-"],
        cwd=ROOT,
        input=request,
        capture_output=True,
        text=True,
        check=True,
    )
    results = json.loads(done.stdout)["results"]
    assert re.search(r'`"hauling_advantage": ([\d.]+)`', README)[1] == f"{results['hauling_advantage']:.4f}"
    assert f"{results['hauling_force_n'] / 1000:.2f} kN of hauling for 6 kN" in README
    assert f"frictionless 5:1 would need {6 / results['ideal_advantage']:.2f} kN" in README.replace("\n", " ")


def test_top_of_the_tree_holds_only_what_belongs_there():
    names = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    names = {name for name in names if not name.endswith((".egg-info", ".sqlite3"))}
    assert names - LAYOUT - MADE_HERE == set()
    assert LAYOUT - names == set()


def test_links_of_the_documents_lead_somewhere():
    for name in ("README.md", "DEVELOPERS.md"):
        text = (ROOT / name).read_text(encoding="utf-8")
        for target in re.findall(r"\]\(([^)#:]+)\)", text):
            assert (ROOT / target).exists(), f"{name}: {target}"


@pytest.mark.parametrize(
    ("lock", "extras"), [("requirements.lock", ()), (".ci/requirements-dev.lock", ("dev",))], ids=["runtime", "dev"]
)
def test_lock_pins_with_a_hash_whatever_the_project_asks_for(lock, extras):
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *(one for extra in extras for one in project["optional-dependencies"][extra])]
    text = (ROOT / lock).read_text(encoding="utf-8")
    pinned = set(re.findall(r"^([a-z0-9-]+)==", text, flags=re.MULTILINE))
    assert {re.match(r"[\w-]+", one)[0].lower().replace("_", "-") for one in asked} - pinned == set()
    assert "http" not in text
    entries = re.split(r"\n(?=[a-z0-9])", text.strip())
    assert [entry.splitlines()[0] for entry in entries if "--hash=sha256:" not in entry] == []


def test_version_is_the_newest_of_the_changes():
    changes = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Changes")[2]
    newest = re.search(r"^- (\d+\.\d+\.\d+)", changes, re.MULTILINE)
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    assert newest
    assert newest[1] == declared
