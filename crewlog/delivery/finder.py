"""Lets Django and WhiteNoise find what is made from sources, as if it lay among the static files."""

import os
import tempfile
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import utils
from django.contrib.staticfiles.finders import BaseFinder
from django.core.checks import CheckMessage, Error
from django.core.files.storage import FileSystemStorage

from crewlog.delivery import fonts, scripts
from crewlog.delivery.stylesheet import stylesheet

STYLESHEET = "crewlog/crewlog.css"


class MadeFinder(BaseFinder):
    """Finds the fonts, the stylesheet and the scripts.

    A font is made once; a text whenever it is asked for, and written where it differs. `MADE_DIR` may be emptied.
    """

    def __init__(self, app_names: object = None, *args: object, **kwargs: object) -> None:
        self.storage = FileSystemStorage(location=settings.MADE_DIR / fonts.recipe())
        self.fonts = {f"crewlog/fonts/FiraSans-{weight}.woff2": weight for weight in fonts.WEIGHTS}

    def texts(self) -> dict[str, Callable[[], str]]:
        made_by = {name: partial(scripts.script, entry) for name, entry in scripts.entries()}
        return {STYLESHEET: stylesheet, **made_by}

    def check(self, **kwargs: Any) -> list[CheckMessage]:
        files = [fonts.file_of(weight) for weight in fonts.WEIGHTS]
        faults = [f"The font package has no {path.name}." for path in files if not path.is_file()]
        if find_spec("brotli") is None:
            faults.append("Fonts for the pages are made with the package brotli, which is not installed.")
        return [Error(words, id="crewlog.E090") for words in faults]

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        texts = self.texts()
        if path not in self.fonts and path not in texts:
            return []
        file = self.made(path, texts)
        return [str(file)] if find_all else str(file)

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, FileSystemStorage]]:
        texts = self.texts()
        for name in (*self.fonts, *texts):
            if not utils.matches_patterns(name, list(ignore_patterns or ())):
                self.made(name, texts)
                yield name, self.storage

    def made(self, name: str, texts: dict[str, Callable[[], str]]) -> Path:
        """The file of that name, made where it is not there or no longer what it would be."""
        path = Path(self.storage.path(name))
        if name in self.fonts:
            if not path.is_file():
                write_whole(path, fonts.subset(self.fonts[name]))
            return path
        content = texts[name]().encode()
        if not path.is_file() or path.read_bytes() != content:
            write_whole(path, content)
        return path


def write_whole(path: Path, content: bytes) -> None:
    """Write beside its place, then move it there in one step: another process reads the old file or the new one."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as part:
        part.write(content)
    os.replace(part.name, path)
