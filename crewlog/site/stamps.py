"""When something was last done on this installation: small files, written whole or not at all."""

from __future__ import annotations

import datetime as dt
import json
import os
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

NAME = re.compile(r"[a-z][a-z0-9-]{0,39}")


@dataclass(frozen=True, slots=True)
class Stamp:
    """When it was done, and what was said of it."""

    at: dt.datetime
    facts: dict[str, Any]


def stamp_path(name: str) -> Path:
    """Where a stamp lies. Raises ValueError for what is no name."""
    if not NAME.fullmatch(name):
        raise ValueError(f"{name!r} is no name of a stamp: lower-case letters, digits and hyphens.")
    return Path(settings.VAR_DIR) / "stamps" / f"{name}.json"


def write_stamp(name: str, **facts: Any) -> None:
    """Say that `name` ("verify", "backup") was done now. Raises OSError where the folder cannot be written."""
    path = stamp_path(name)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, part = tempfile.mkstemp(dir=path.parent, prefix="part-")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump({"at": timezone.now().isoformat(), "facts": facts}, file)
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)
    except BaseException:
        Path(part).unlink(missing_ok=True)
        raise


def read_stamp(name: str) -> Stamp | None:
    """The last stamp of that name; None where there is none, or none that can be read."""
    try:
        said = json.loads(stamp_path(name).read_text(encoding="utf-8"))
        return Stamp(dt.datetime.fromisoformat(said["at"]), dict(said["facts"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None
