"""What the commands say of a copy, as text or JSON."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from django.core.management.base import CommandError

from crewlog.backup.errors import CopyInputError, CopyRefused
from crewlog.backup.manifest import Manifest
from crewlog.backup.proof import Head, as_json
from crewlog.backup.rows import Counted
from crewlog.commands import INPUT_ERROR, REFUSED


@contextmanager
def said_in_one_line() -> Iterator[None]:
    """Turn what stops a copy into one line and its exit code."""
    try:
        yield
    except CopyRefused as error:
        raise CommandError(error.message, returncode=REFUSED) from error
    except CopyInputError as error:
        raise CommandError(str(error), returncode=INPUT_ERROR) from error


def rows_in(tables: list[Counted]) -> str:
    return f"{len(tables)} tables, {sum(t.rows for t in tables):,} rows"


def files_in(manifest: Manifest) -> str:
    kept = [size for place, (_, size) in manifest.files.items() if place.startswith("files/")]
    total = sum(size for _, size in manifest.files.values())
    return f"{len(kept)} file{'' if len(kept) == 1 else 's'}, {total / 1e6:,.1f} MB in all"


def summary(tables: list[Counted], heads: list[Head], **more: Any) -> Mapping[str, Any]:
    return {
        **more,
        "tables": len(tables),
        "rows": sum(t.rows for t in tables),
        "companies": [as_json(head) for head in heads],
    }
