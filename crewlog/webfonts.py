"""Serves the four weights of the one font family from the installed font package, as static files."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import fontpkg_fira_sans
from django.contrib.staticfiles import utils
from django.contrib.staticfiles.finders import BaseFinder
from django.core.checks import CheckMessage, Error
from django.core.files.storage import FileSystemStorage

FONT_DIR = Path(fontpkg_fira_sans.ROOT) / "files"
PREFIX = "crewlog/fonts"
FILES = ("FiraSans-Regular.ttf", "FiraSans-Medium.ttf", "FiraSans-SemiBold.ttf", "FiraSans-Bold.ttf")


class WebFontFinder(BaseFinder):
    """Finds `crewlog/fonts/FiraSans-*.ttf`; the package's other fourteen files stay out of the site."""

    def __init__(self, app_names: object = None, *args: object, **kwargs: object) -> None:
        self.storage = FileSystemStorage(location=FONT_DIR)
        self.storage.prefix = PREFIX  # type: ignore[attr-defined]

    def check(self, **kwargs: Any) -> list[CheckMessage]:
        missing = [name for name in FILES if not (FONT_DIR / name).is_file()]
        return [Error(f"The font package has no {name}.", id="crewlog.E090") for name in missing]

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        folder, _, name = path.rpartition("/")
        if folder != PREFIX or name not in FILES:
            return []
        return [str(FONT_DIR / name)] if find_all else str(FONT_DIR / name)

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, FileSystemStorage]]:
        for name in FILES:
            if not utils.matches_patterns(name, list(ignore_patterns or ())):
                yield name, self.storage
