"""The one stylesheet, joined from the files it is written in."""

import re
from pathlib import Path

from django.apps import apps

COMMENT = re.compile(r"/\*.*?\*/\n?", re.DOTALL)
IMPORT = re.compile(r'^@import url\("([^"]+)"\)(?: layer\(([a-z]+)\))?;$', re.MULTILINE)


def stylesheet() -> str:
    """`<app>/styles/<label>.css` of each app that has one, in the order of the apps."""
    paths = [Path(app.path) / "styles" / f"{app.label}.css" for app in apps.get_app_configs()]
    return "".join(joined(path) for path in paths if path.is_file())


def joined(path: Path) -> str:
    """The rules of a file without its comments; what it imports stands in its place, in the layer the import names."""

    def imported(found: re.Match[str]) -> str:
        name, layer = found.groups()
        css = joined(path.parent / name)
        return f"@layer {layer} {{\n{css}}}" if layer else css

    return IMPORT.sub(imported, COMMENT.sub("", path.read_text(encoding="utf-8")))
