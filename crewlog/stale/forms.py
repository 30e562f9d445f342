"""A form that edits what others may edit too: it carries what it showed, and shows a comparison where it must."""

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.db.models import Model
from django.http import QueryDict

from crewlog.quantities.fields import QuantityField
from crewlog.stale.authors import Change
from crewlog.stale.comparing import Difference, StaleEdit
from crewlog.stale.opened import Opened

NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One field to choose: its words as opened, as stored by somebody else, as typed here."""

    name: str
    label: str
    opened: str
    theirs: str
    by: str
    mine: str
    chosen: str
    must_choose: bool
    is_missing: bool


@dataclass(frozen=True, slots=True)
class Comparison:
    """What the page says of a save that came too late."""

    title: str
    rows: tuple[ComparedRow, ...]
    kept: tuple[str, ...]
    beside: tuple[str, ...]
    missing: int


class EditedForm(forms.BaseForm):
    """Mixed into a form that changes a stored row.

    `open_with` is called in __init__, before the form is bound: it reads or makes `opened`. `edited` is what the page
    calls the row; `row_prefixes` gives, for a name that stands for child rows, the prefixes of their boxes.
    """

    edited: ClassVar[str] = "this page"
    row_prefixes: ClassVar[Mapping[str, tuple[str, ...]]] = {}
    row_labels: ClassVar[Mapping[str, str]] = {}

    opened: Opened | None = None
    stale: Comparison | None = None

    def full_clean(self) -> None:
        super().full_clean()
        for name, field in self.fields.items():  # a box shows minutes: one that nobody touched keeps its seconds
            if isinstance(field, forms.DateTimeField) and name in getattr(self, "cleaned_data", {}):
                initial = self.get_initial_for_field(field, name)
                shown = field.widget.format_value(field.prepare_value(initial)) if initial else ""
                if initial and shown == self.data.get(self.add_prefix(name)):
                    self.cleaned_data[name] = initial

    def tell_stale(self, error: StaleEdit) -> None:
        """Show what a service found instead of saving; the form carries on from what is stored now."""
        was_asked = bool(self.opened and self.opened.asked)
        self.opened = error.opened
        rows = tuple(self.compared(row, error.opened, was_asked=was_asked) for row in error.differences)
        self.stale = Comparison(
            title=title_of(error.changes, self.edited),
            rows=rows,
            kept=tuple(f"{self.label_of(row.name)}: {self.words_of(row.name, row.mine)}" for row in error.kept),
            beside=error.beside,
            missing=sum(row.is_missing for row in rows),
        )

    def tell_moved_on(self, error: StaleEdit, line: str) -> None:
        """Say on a form that shows what is stored now that a change offered for an earlier state was not made."""
        self.stale = Comparison(title=title_of(error.changes, self.edited), rows=(), kept=(), beside=(line,), missing=0)

    def compared(self, row: Difference, opened: Opened, *, was_asked: bool) -> ComparedRow:
        chosen = opened.choices.get(row.name, "") or row.default
        return ComparedRow(
            name=row.name,
            label=self.label_of(row.name),
            opened=self.words_of(row.name, row.opened) if row.is_known else "not known",
            theirs=self.words_of(row.name, row.theirs),
            by=f"{row.change.by}, {row.change.when}" if row.change else "",
            mine=self.words_of(row.name, row.mine),
            chosen=chosen,
            must_choose=not row.default,
            is_missing=was_asked and not chosen,
        )

    def label_of(self, name: str) -> str:
        field = self.fields.get(name)
        return self.row_labels.get(name) or str((field.label if field else None) or name.replace("_", " ").capitalize())

    def words_of(self, name: str, value: Any) -> str:
        """A plain value as a person reads it."""
        field = self.fields.get(name)
        return str(value) if field is None else field_words(field, value)


def title_of(changes: Iterable[Change], edited: str) -> str:
    """ "Saved since you opened this plan: Jonas Pellaw at 07:31", or without a name where no record tells of it."""
    listed = list(dict.fromkeys(f"{change.by} at {change.when}" for change in changes))
    if not listed:
        return f"Somebody else saved {edited} since you opened it"
    names = f"{', '.join(listed[:-1])} and {listed[-1]}" if len(listed) > 1 else listed[0]
    return f"Saved since you opened {edited}: {names}"


def field_words(field: forms.Field, value: Any) -> str:
    """A stored value in the words of the form's own field: unit, choice, name."""
    if value is None or value in ("", []):
        return NOTHING
    match field:
        case QuantityField():
            unit = getattr(field.widget, "unit_label", "")
            return f"{field.prepare_value(float(value))} {unit}".strip()
        case forms.ModelMultipleChoiceField():
            chosen = field.queryset.filter(pk__in=value) if field.queryset is not None else ()
            return ", ".join(sorted(str(each) for each in chosen)) or NOTHING
        case forms.ModelChoiceField():
            rows = field.queryset.model._default_manager.filter(pk=value) if field.queryset is not None else ()
            return next((str(row) for row in rows), "no longer there")
        case forms.ChoiceField():
            names = {str(code): str(words) for code, words in flat(field.choices)}
            values = value if isinstance(value, list) else [value]
            return ", ".join(names.get(str(each), str(each)) for each in values)
        case forms.DateTimeField():
            moment = dt.datetime.fromisoformat(value) if isinstance(value, str) else value
            shown = field.prepare_value(moment)
            return f"{shown:%-d %B %Y, %H:%M}" if isinstance(shown, dt.datetime) else str(shown)
        case forms.DateField():
            return f"{dt.date.fromisoformat(str(value)[:10]):%-d %B %Y}"
        case forms.TimeField():
            return str(value)[:5]
        case forms.BooleanField():
            return "yes" if value else "no"
        case _:
            return "yes" if value is True else "no" if value is False else str(value)


def flat(choices: Any) -> Iterable[tuple[Any, Any]]:
    for code, words in choices:
        if isinstance(words, list | tuple):
            yield from words
        else:
            yield code, words


def opened_of(about: str, data: Mapping[str, Any] | None, values: Callable[[], Mapping[str, Any]]) -> Opened:
    """What came back with a form that was sent, or what a form that is shown now shows."""
    return Opened.now(about, values()) if data is None else Opened.sent(about, data)


def put_back(row: Model, values: Mapping[str, Any]) -> None:
    """Set a copy of a row to what the form showed, so that an untouched box is told from one typed in."""
    for field in row._meta.concrete_fields:
        if field.name in values and not field.primary_key:
            setattr(row, field.attname, field.to_python(values[field.name]))


def with_theirs(data: Any, opened: Opened, shown: Iterable[forms.BaseForm], prefixes: Mapping[str, Any]) -> Any:
    """The posted boxes with the other person's values in those for which they were chosen.

    `shown` are the unbound forms of what is stored, rows included: their texts are taken.
    """
    names = opened.takes_theirs
    if not names:
        return data
    starts = tuple(start for name in names for start in prefixes.get(name, ()))
    boxes = set(names) | {f"{name}-unit" for name in names}
    chosen: QueryDict = data.copy()
    for box in [box for box in chosen if box in boxes or (starts and box.startswith(starts))]:
        del chosen[box]
    for form in shown:
        for bound in form:
            if bound.html_name in boxes or (starts and bound.html_name.startswith(starts)):
                texts = box_texts(bound)
                if texts:
                    chosen.setlist(bound.html_name, texts)
    return chosen


def box_texts(bound: forms.BoundField) -> list[str]:
    """What a browser would send for a box as the page shows it."""
    value = bound.value()
    if value is None or value == "" or value == []:
        return []
    if isinstance(bound.field, forms.BooleanField):
        return ["on"] if value else []
    if isinstance(bound.field, forms.ModelMultipleChoiceField):
        return [str(getattr(each, "pk", each)) for each in value]
    shown = bound.field.prepare_value(value)
    shown = bound.field.widget.format_value(shown)
    return [str(each) for each in shown if each is not None] if isinstance(shown, list) else [str(shown)]
