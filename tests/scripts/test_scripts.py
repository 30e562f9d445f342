"""Scripts: their own tests run by node, and how modules become the files that pages load."""

import shutil
import subprocess
from pathlib import Path

import playwright
import pytest
from django.core.exceptions import ImproperlyConfigured

from crewlog.delivery.scripts import entries, script
from tests.needs import program

HERE = Path(__file__).parent
ROOT = HERE.parents[1]


def node() -> str:
    """The machine's, or the one that drives the browsers of the tests."""
    driver = Path(playwright.__file__).parent / "driver" / "node"
    return shutil.which("node") or (str(driver) if driver.is_file() else program("node"))


def run(source: str) -> str:
    done = subprocess.run([node(), "-"], input=source, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_the_scripts_own_tests_pass():
    tests = sorted(str(path) for path in HERE.glob("*.test.mjs"))
    done = subprocess.run([node(), "--test", *tests], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-2000:]


def test_every_script_that_is_delivered_is_one_a_browser_reads(tmp_path):
    names = dict(entries())
    assert set(names) == {"crewlog/crewlog.js", "crewlog/passkeys.js", "gear/rounds.js"}
    for name, entry in names.items():
        made = tmp_path / Path(name).name
        made.write_text(script(entry), encoding="utf-8")
        done = subprocess.run([node(), "--check", made], capture_output=True, text=True, check=False)
        assert done.returncode == 0, f"{name}: {done.stderr}"


def modules(folder, **texts):
    for name, text in texts.items():
        (folder / f"{name}.mjs").write_text(text, encoding="utf-8")
    return folder / "entry.mjs"


def test_modules_run_once_each_after_what_they_need_and_keep_their_names_apart(tmp_path):
    entry = modules(
        tmp_path,
        base='console.log("base");\nconst own = 1;\nexport const shown = 10;\n'
        "export function twice(n) { return 2 * n; }\n",
        left='import { twice, shown } from "./base.mjs";\nconst own = 2;\n'
        "export function left() { return twice(own) + shown; }\n",
        right='import * as base from "./base.mjs";\nconst own = 3;\n'
        "export async function* right() { yield base.twice(own); }\n",
        entry='import { left } from "./left.mjs";\nimport * as other from "./right.mjs";\n'
        "(async () => { for await (const n of other.right()) console.log(left(), n); })();\n",
    )
    assert run(script(entry)).split() == ["base", "14", "6"]


def test_a_script_of_a_package_stands_before_the_modules_and_is_seen_by_all(tmp_path):
    entry = modules(tmp_path, entry='import "account/js/onload.js";\nconsole.log("own");\n')
    made = script(entry)
    assert made.index("data-allauth-onload") < made.index("own")
    assert "\n;\n" in made, "a package's script may leave out its last semicolon"
    missing = modules(tmp_path, entry='import "no/such/script.js";\n')
    with pytest.raises(ImproperlyConfigured, match="no/such/script"):
        script(missing)


@pytest.mark.parametrize(
    "text",
    [
        "export default 1;\n",
        "export { a };\n",
        'import a from "./base.mjs";\n',
        'import { a as b } from "./base.mjs";\n',
        "export let a = 1;\n",
    ],
)
def test_a_form_of_import_or_export_that_is_not_understood_is_refused(tmp_path, text):
    modules(tmp_path, base="export const a = 1;\n")
    with pytest.raises(ImproperlyConfigured, match="not understood"):
        script(modules(tmp_path, entry=text))
