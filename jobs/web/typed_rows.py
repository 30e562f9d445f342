"""Rows of a table that is typed: a fixed number of small forms, where an empty row is no row."""

from collections.abc import Iterator, Sequence
from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.db.models import Model

from crewlog.quantities.columns import declared_columns
from crewlog.quantities.fields import UnitForm
from jobs.models.values import Facts

MISSING = "Missing in this row. Fill it, or empty the row."


def box(model: type[Model], name: str) -> Any:
    """The box of a row's column; it may stay empty, as the row may."""
    column = next(column for column in declared_columns(model) if column.name == name)
    return column.formfield(required=False)


class RowForm(UnitForm, forms.Form):
    """One row. All its `needed` boxes are filled or none is."""

    needed: ClassVar[tuple[str, ...]] = ()
    title = ""
    number = 1

    def clean(self) -> None:
        super().clean()
        data = self.cleaned_data
        if not self.is_empty():
            for name in self.needed:
                if name not in self.errors and data.get(name) in (None, ""):
                    self.add_error(name, MISSING)

    def is_empty(self) -> bool:
        """Whether nothing was typed or chosen in the row."""
        return not any(str(self[name].value() or "").strip() for name in self.fields)

    def has_start(self) -> bool:
        """Whether the row shows anything, typed or stored."""
        return any(self[name].value() not in (None, "") for name in self.fields)


Row = TypeVar("Row", bound=RowForm)


class Rows(Generic[Row]):
    """The rows in the order of the page."""

    def __init__(
        self,
        form: type[Row],
        *,
        prefix: str,
        count: int,
        unit_system: str,
        data: Any = None,
        initial: Sequence[Facts] | None = None,
        min_open: int = 1,
    ) -> None:
        starts = initial or []
        self.min_open = min_open
        self.forms: list[Row] = [
            form(
                data,
                prefix=f"{prefix}-{number}",
                initial=starts[number] if number < len(starts) else None,
                unit_system=unit_system,
            )
            for number in range(max(count, len(starts)))
        ]
        for number, row in enumerate(self.forms, 1):
            row.number = number

    def __iter__(self) -> Iterator[Row]:
        return iter(self.forms)

    def is_valid(self) -> bool:
        return not [form for form in self.forms if not form.is_valid()]  # every row says what is wrong with it

    def filled(self) -> list[Row]:
        """Rows with something in them."""
        return [form for form in self.forms if not form.is_empty()]

    @property
    def is_used(self) -> bool:
        """Whether any row shows something or is wrong."""
        return any(form.has_start() or form.errors for form in self.forms)

    @property
    def always(self) -> list[Row]:
        """The first rows, which a page always shows."""
        return self.forms[: self.min_open]

    @property
    def others(self) -> list[Row]:
        """All but the first rows."""
        return self.forms[self.min_open :]

    @property
    def has_more(self) -> bool:
        """Whether any of the others shows something or is wrong."""
        return any(form.has_start() or form.errors for form in self.others)

    @property
    def open(self) -> list[Row]:
        """The rows a page shows at once: those filled or wrong, and one more."""
        return self.forms[: self._open_count()]

    @property
    def rest(self) -> list[Row]:
        """The rows that are folded away until they are wanted."""
        return self.forms[self._open_count() :]

    def _open_count(self) -> int:
        last = max((form.number for form in self.forms if form.has_start() or form.errors), default=0)
        return max(self.min_open, last + 1)
