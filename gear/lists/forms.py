"""The forms by which a list comes in: the file, what its columns are, and the confirmation."""

import dataclasses
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from django import forms
from django.core.files import File
from django.forms import BoundField

from crewlog.errors import RuleBroken
from crewlog.web.form_boxes import choices_of
from gear.lists.columns import BY_NAME, COLUMNS, USE_WORDS
from gear.lists.csv_source import ENCODINGS
from gear.lists.days import ORDERS
from gear.lists.faults import Fault
from gear.lists.headings import IN_CELL, HeadedColumn, chosen, heading_faults, unit_choices
from gear.lists.limits import LIMITS_IN_WORDS, MAX_BYTES
from gear.lists.reading import Plan
from gear.lists.source import Source
from gear.web.form_fields import choice_field

TARGETS = [("", "Leave out"), *((column.name, column.heading) for column in COLUMNS)]


class ListFileForm(forms.Form):
    """The file itself. What it holds is told by the services."""

    file = forms.FileField(
        label="The list",
        help_text=f"CSV or .xlsx. {LIMITS_IN_WORDS}",
        error_messages={"required": "Choose a file.", "empty": "The file is empty. Choose the list itself."},
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
    )

    def clean_file(self) -> "File[bytes]":
        file: File[bytes] = self.cleaned_data["file"]
        if file.size is not None and file.size > MAX_BYTES:
            raise forms.ValidationError(f"The file is too large: {file.size / 1024 / 1024:.1f} MB. {LIMITS_IN_WORDS}")
        return file


@dataclasses.dataclass(frozen=True, slots=True)
class ColumnBoxes:
    """One column of a list on the page that asks what it is."""

    column: HeadedColumn
    cells: Sequence[str]
    target: BoundField
    unit: BoundField | None


class ColumnsForm(forms.Form):
    """What each column of one list is taken for, in which unit, and how the list writes days and letters."""

    date_order = choice_field("Days are written", ORDERS, empty="Like 2026-11-25, or so that they cannot be mistaken")
    uses = forms.MultipleChoiceField(
        label="Uses of rows without one", choices=USE_WORDS, required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, source: Source, plan: Plan, **kwargs: Any) -> None:
        kwargs["initial"] = {"date_order": plan.habits.date_order, "uses": list(plan.uses)}
        super().__init__(*args, **kwargs)
        self.plan = plan
        self.read_columns = [column for column in plan.columns if not column.is_reading_only]
        if not source.encoding_is_certain:
            odd = ", ".join(source.sample)
            self.fields["encoding"] = forms.ChoiceField(
                label="Letters are written in",
                choices=ENCODINGS,
                initial=plan.encoding,
                help_text=f"The file is not in UTF-8. Read as chosen here, it says: {odd}" if odd else "",
            )
        if len(source.sheets) > 1:
            self.fields["sheet"] = forms.ChoiceField(
                label="Sheet", choices=[(name, name) for name in source.sheets], initial=plan.sheet or source.sheets[0]
            )
        for column in self.read_columns:
            self._add_column(column)

    def _add_column(self, column: HeadedColumn) -> None:
        place = f"column {column.letter}, {column.heading}"
        name = f"column-{column.index}"
        self.fields[name] = forms.ChoiceField(
            label=f"Read as: {place}", choices=TARGETS, required=False, initial=column.target
        )
        target = self.data.get(name, column.target) if self.is_bound else column.target
        declared = BY_NAME.get(str(target))
        if declared is not None and declared.needs_unit:
            choices = [("", "Choose a unit"), (IN_CELL, "In each cell"), *unit_choices(declared)]
            self.fields[f"unit-{column.index}"] = forms.ChoiceField(
                label=f"Unit: {place}", choices=choices, required=False, initial=column.unit
            )

    def clean(self) -> dict[str, Any]:
        if not self.errors:
            for fault in heading_faults(self.columns(), self.cleaned_data["uses"]):
                self._show(fault)
        return self.cleaned_data

    def _show(self, fault: Fault) -> None:
        column = next((c for c in self.read_columns if c.letter == fault.column), None)
        unit, name = (f"unit-{column.index}", f"column-{column.index}") if column else ("", "")
        asks_unit = bool(column) and unit in self.fields and not self.cleaned_data.get(unit)
        self.add_error(unit if asks_unit else name or None, fault.words)

    def columns(self) -> list[HeadedColumn]:
        """The columns as chosen here."""
        data = self.cleaned_data
        return [
            dataclasses.replace(
                column, target=data[f"column-{column.index}"], unit=data.get(f"unit-{column.index}", ""), asked=""
            )
            for column in self.read_columns
        ]

    def rows(self, cells: Mapping[int, Sequence[str]]) -> Iterator[ColumnBoxes]:
        """Each column with its boxes and its first cells, for the page."""
        for column in self.read_columns:
            unit = f"unit-{column.index}"
            yield ColumnBoxes(
                column,
                cells.get(column.index, ()),
                self[f"column-{column.index}"],
                self[unit] if unit in self.fields else None,
            )

    def about_file(self) -> dict[str, str]:
        """What is said of the file itself: it may change the very headings."""
        return {name: str(self.data.get(name, "")) for name in ("encoding", "sheet") if name in self.fields}

    def reads_otherwise(self) -> bool:
        """Whether the file is said to be another sheet, or in other letters, than the page showed."""
        return self.is_bound and any(
            said != self.fields[name].initial and said in choices_of(self, name)
            for name, said in self.about_file().items()
        )

    def reread_by(self, service: Callable[..., None], **facts: Any) -> bool:
        """Run the service that reads the file as is said here; False when it cannot be read so, with the reason."""
        try:
            service(said=self.about_file(), **facts)
        except RuleBroken as fault:
            self.add_error("encoding" if "encoding" in self.fields else "sheet", fault.message)
            return False
        return True

    def choices(self) -> dict[str, Any]:
        """Everything chosen, as the upload keeps it."""
        return {
            **self.about_file(),
            "columns": chosen(self.columns()),
            "uses": self.cleaned_data["uses"],
            "date_order": self.cleaned_data["date_order"],
        }


class ConfirmListForm(forms.Form):
    """The confirmation of a list as it was previewed."""

    seal = forms.CharField(max_length=64, widget=forms.HiddenInput)
    other_things = forms.BooleanField(label="They are different items: import them", required=False)

    def __init__(self, *args: Any, doubts: int = 0, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not doubts:
            del self.fields["other_things"]

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        return {"seal": said.get("seal", ""), "doubts_accepted": said.get("other_things", False)}


class TakeOutForm(forms.Form):
    """What goes out, as what, narrowed as the store's page is."""

    what = forms.ChoiceField(
        label="What",
        choices=[("register", "The register: every item and its facts"), ("history", "The history: every record")],
    )
    form = forms.ChoiceField(
        label="As", choices=[("csv", "CSV"), ("xlsx", "Excel workbook (.xlsx)"), ("json", "JSON, for programs")]
    )
    shown = forms.BooleanField(
        label="Figures in our units as well",
        required=False,
        help_text="In columns of their own, ratings rounded down; they are ignored when the list is imported again",
    )
