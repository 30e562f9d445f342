"""Wide tables of rows, checked in one test a table that names every row that fails.

`every_row` stands where `pytest.mark.parametrize` would, takes the same arguments and leaves the test as it is written:
`pytest.param(…, id=…)`, `ids` and several decorators above each other work alike. Fixtures are made once for the whole
table, so it is for checks that leave nothing behind: a row that writes into the database is a test of its own.
"""

import functools
import inspect
import traceback
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

import pytest
from _pytest.mark import ParameterSet

TESTS = Path(__file__).resolve().parent
Test = Callable[..., Any]
Ids = Sequence[object] | Callable[[Any], object] | None


class RowsFailed(AssertionError):  # noqa: N818 - the name says what it is
    """Rows of one table that failed, each with its name and what was wrong."""

    def __init__(self, failures: Sequence[str], count: int) -> None:
        self.failures = tuple(failures)
        super().__init__("\n".join([f"{len(failures)} of {count} rows failed:", *failures]))


def every_row(names: str | Sequence[str], rows: Iterable[Any], *, ids: Ids = None) -> Callable[[Test], Test]:
    """Make one test of a table: it calls the function with each row and fails once, with every row that failed."""
    named = [name.strip() for name in names.split(",")] if isinstance(names, str) else list(names)
    table = tuple(rows_of(named, rows, ids))
    assert table, f"a table without rows: {', '.join(named)}"

    def make(test: Test) -> Test:
        @functools.wraps(test)
        def check_table(*args: Any, **fixtures: Any) -> None:
            failures = []
            for name, row in table:
                try:
                    test(*args, **fixtures, **row)
                except (Exception, pytest.fail.Exception, pytest.skip.Exception) as error:
                    failures += told(name, error)
            if failures:
                raise RowsFailed(failures, len(table))

        asked = inspect.signature(test)
        kept = [parameter for name, parameter in asked.parameters.items() if name not in named]
        assert len(kept) == len(asked.parameters) - len(named), f"{test.__name__} does not take {', '.join(named)}"
        vars(check_table).update(
            __signature__=asked.replace(parameters=kept), row_count=len(table) * getattr(test, "row_count", 1)
        )
        return check_table

    return make


def rows_of(named: Sequence[str], rows: Iterable[Any], ids: Ids) -> Iterable[tuple[str, dict[str, Any]]]:
    """Name and arguments of each row."""
    for number, row in enumerate(rows):
        values = row.values if isinstance(row, ParameterSet) else (row,) if len(named) == 1 else tuple(row)
        assert len(values) == len(named), f"row {number} has {len(values)} values for {', '.join(named)}"
        assert not (isinstance(row, ParameterSet) and row.marks), f"row {number} bears marks: it is a test of its own"
        yield name_of(number, row, values, ids), dict(zip(named, values, strict=True))


def name_of(number: int, row: object, values: Sequence[Any], ids: Ids) -> str:
    given = row.id if isinstance(row, ParameterSet) and isinstance(row.id, str) else None
    if given is None and callable(ids):
        given = "-".join(str(ids(value)) for value in values)
    if given is None and ids is not None and not callable(ids):
        given = str(ids[number])
    if given is not None:
        return given
    return "-".join(value.__name__ if inspect.isroutine(value) else shortened(repr(value)) for value in values)


def shortened(text: str) -> str:
    return text if len(text) <= 80 else f"{text[:77]}..."


def told(name: str, error: BaseException) -> list[str]:
    """How a failing row is told: its name, the line of the test it failed at, and the reason."""
    if isinstance(error, RowsFailed):
        return [f"{name}, {each}" for each in error.failures]
    frames = [f for f in traceback.extract_tb(error.__traceback__) if Path(f.filename).is_relative_to(TESTS)]
    place = f" ({Path(frames[-1].filename).name}:{frames[-1].lineno})" if frames else ""
    reason = f"{type(error).__name__}: {error}" if not isinstance(error, AssertionError) else str(error)
    return [f"[{name}]{place} {reason}"]
