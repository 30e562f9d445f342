"""Rows that passed, waiting on disk between the check and the register: memory does not grow with them."""

import datetime as dt
import json
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import Any, Self

from gear.lists.columns import BY_NAME


@dataclass(frozen=True, slots=True)
class Kept:
    """One row ready for the register."""

    number: int
    facts: dict[str, Any]
    references: dict[str, str]
    retirement: dict[str, Any]

    @property
    def tag(self) -> str:
        return str(self.facts["tag"])


class Spool:
    """A file without a name that goes when it is closed."""

    def __init__(self) -> None:
        self.file = tempfile.TemporaryFile("w+", encoding="utf-8", newline="\n")  # noqa: SIM115 - closed on exit

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.file.close()

    def keep(self, kept: Kept) -> None:
        row = [kept.number, kept.facts, kept.references, kept.retirement]
        self.file.write(json.dumps(row, default=_iso) + "\n")

    def __iter__(self) -> Iterator[Kept]:
        self.file.seek(0)
        for line in self.file:
            number, facts, references, retirement = json.loads(line)
            yield Kept(number, _with_days(facts), references, _with_days(retirement))


def _iso(value: Any) -> str:
    if isinstance(value, dt.date):
        return value.isoformat()
    raise TypeError(f"{value!r} is no fact of an item")


def _with_days(facts: dict[str, Any]) -> dict[str, Any]:
    return {
        name: dt.date.fromisoformat(value) if value and BY_NAME[name].kind == "day" else value
        for name, value in facts.items()
    }
