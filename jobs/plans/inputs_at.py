"""A place in the plan's inputs, where answers of rows are taken or refused by the name they have there."""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from jobs.mechanics.convert import FormatError, from_json
from jobs.mechanics.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class InputsAt:
    """One object of the inputs by its path ("inputs.line.anchor"). Methods raise FormatError with the full path."""

    path: str = "inputs"

    def part(self, name: str) -> "InputsAt":
        """An object within this one."""
        return InputsAt(f"{self.path}.{name}")

    def number(self, name: str, value: float | None) -> float:
        """A finite number that has to be there."""
        if value is None:
            raise FormatError("a number expected, not null", f"{self.path}.{name}")
        if not math.isfinite(value):
            raise FormatError("a finite number expected", f"{self.path}.{name}")
        return float(value)

    def number_or_none(self, name: str, value: float | None) -> float | None:
        """A finite number, or None where nothing was answered."""
        return None if value is None else self.number(name, value)

    def whole(self, name: str, value: int | None) -> int:
        """A whole number that has to be there."""
        return int(from_json(int, value, f"{self.path}.{name}"))

    def word(self, kind: Any, name: str, value: object) -> Any:
        """One of the words of a Literal, or None where it allows that."""
        return from_json(kind, value, f"{self.path}.{name}")

    @contextmanager
    def made(self) -> Iterator[None]:
        """Around the making of the object: a figure out of its range is refused with its path."""
        try:
            yield
        except OutOfRange as error:
            raise FormatError(str(error), f"{self.path}.{error.name}") from error
