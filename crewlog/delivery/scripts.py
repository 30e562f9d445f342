"""Scripts as pages load them: one file for a task, made of modules and of what packages ship.

`<app>/scripts/NAME.mjs` becomes `<app>/NAME.js`. A module says `import * as name from "./other.mjs";`,
`import { one, two } from "./other.mjs";` or `import "package/script.js";` for a script that an installed package has
among its static files; it exports functions and constants where it declares them. Nothing else is understood.
"""

import re
from collections.abc import Iterator
from pathlib import Path

from django.apps import apps
from django.contrib.staticfiles import finders
from django.core.exceptions import ImproperlyConfigured

IMPORT = re.compile(r'^import (?:(?:\* as (\w+)|(\{ (?:\w+, )*\w+ \})) from )?"([^"]+)";\n', re.MULTILINE)
EXPORT = re.compile(r"^export (?=(?:(?:async )?function\*?|const) (\w+))", re.MULTILINE)
NOT_UNDERSTOOD = re.compile(r"^(?:import|export)\b.*", re.MULTILINE)


def entries() -> Iterator[tuple[str, Path]]:
    """Name under which a script is delivered, and the module that it begins with."""
    for app in apps.get_app_configs():
        for path in sorted((Path(app.path) / "scripts").glob("*.mjs")):
            yield f"{app.label}/{path.stem}.js", path


def script(entry: Path) -> str:
    """One script of a module and all it imports, each after what it needs; each keeps its names to itself."""
    packaged: dict[str, str] = {}
    modules: dict[Path, str] = {}
    gather(entry.resolve(), packaged, modules)
    functions = "".join(as_function(path, text, list(modules)) for path, text in modules.items())
    return "".join(packaged.values()) + f'(() => {{\n"use strict";\n{functions}}})();\n'


def gather(path: Path, packaged: dict[str, str], modules: dict[Path, str]) -> None:
    """Add a module after what it imports. Packaged scripts are found among the static files."""
    text = path.read_text(encoding="utf-8")
    for _, _, source in IMPORT.findall(text):
        if not source.startswith("."):
            packaged[source] = packaged_text(source)
        elif (other := (path.parent / source).resolve()) not in modules:
            gather(other, packaged, modules)
    modules[path] = text


def packaged_text(name: str) -> str:
    """A package's script, ended: one that leaves out its last semicolon would call what follows."""
    found = finders.find(name)
    if not isinstance(found, str):
        raise ImproperlyConfigured(f"No installed package has the script {name}.")
    return Path(found).read_text(encoding="utf-8").rstrip() + "\n;\n"


def as_function(path: Path, text: str, order: list[Path]) -> str:
    """A module as a function that is called at once and gives back what the module exports."""

    def imported(found: re.Match[str]) -> str:
        whole, some, source = found.groups()
        wanted = whole or some
        return f"const {wanted} = m{order.index((path.parent / source).resolve())};\n" if wanted else ""

    exported = EXPORT.findall(text)
    body = EXPORT.sub("", IMPORT.sub(imported, text))
    if left := NOT_UNDERSTOOD.search(body):
        raise ImproperlyConfigured(f"{path.name}: “{left[0]}” is not understood (crewlog/delivery/scripts.py).")
    return f"const m{order.index(path)} = (() => {{\n{body}return {{ {', '.join(exported)} }};\n}})();\n"
