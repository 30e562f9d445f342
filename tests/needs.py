"""Programs some tests need. A user's machine without them skips those tests and says why; CI fails."""

import os
import shutil
from pathlib import Path
from typing import NoReturn

import pytest


def missing(what: str) -> NoReturn:
    """Skip a test for want of a program; in CI (CI=true) that is a failure."""
    if os.environ.get("CI", "").lower() in {"1", "true", "yes"}:
        pytest.fail(f"{what} is missing, and CI runs every test.", pytrace=False)
    pytest.skip(f"{what} is missing; install it to run this test.")


def program(name: str) -> str:
    """Path of a program on the search path."""
    return shutil.which(name) or missing(name)


def chromium() -> str:
    """Path of the browser: CREWLOG_CHROMIUM, or the first one found by its usual names."""
    given = os.environ.get("CREWLOG_CHROMIUM")
    if given:
        return given
    names = ("chromium", "chromium-browser")
    return next((path for name in names if (path := shutil.which(name))), None) or missing("Chromium")


def postgresql_folder() -> Path:
    """Folder of initdb and pg_ctl; Debian keeps them off the search path."""
    found = shutil.which("initdb")
    if found:
        return Path(found).parent
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3]))
    return folders[-1].parent if folders else missing("PostgreSQL (initdb, pg_ctl)")
