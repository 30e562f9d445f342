"""Facts and their changes in the reader's words and units."""

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from crewlog.models import Person
from crewlog.quantities.columns import DayColumn, FlagColumn, ListedColumn, QuantityColumn, WholeColumn
from crewlog.quantities.display import factor_text, quantity_text
from gear.catalogue.classes import CLASSES, TERMINATIONS
from gear.fact_changes.rules import SUBJECTS, Subject
from gear.fitness.reasons import day_words
from gear.models import ITEM_COLUMNS, OTHER_HEADINGS, GearItem
from gear.register.editable import EDITABLE, snapshot

CONSTRUCTIONS = {code: words for declared in CLASSES for code, words in declared.constructions}


@dataclass(frozen=True, slots=True)
class Swap:
    """One fact as it was and as it is, in words."""

    label: str
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.label}: {self.old} → {self.new}"


def label_of(name: str) -> str:
    return ITEM_COLUMNS[name].heading if name in ITEM_COLUMNS else OTHER_HEADINGS.get(name, name)


def value_words(name: str, value: Any, units: str) -> str:
    """A fact as the chain writes it, worded. Queries for a person and for another item."""
    column = ITEM_COLUMNS.get(name)
    if isinstance(column, FlagColumn):
        return "Yes" if value else "No"
    if value in (None, "", []):
        return "None set" if isinstance(column, WholeColumn) and column.counted else "Not on record"
    match column:
        case QuantityColumn():
            return figure_words(column, float(value), units)
        case DayColumn():
            return day_words(dt.date.fromisoformat(str(value)))
        case ListedColumn():
            return dict(column.codes).get(value, str(value))
        case WholeColumn():
            return f"{value}\u00a0{column.counted}" if column.counted else str(value)
        case _:
            return other_words(name, value)


def figure_words(column: QuantityColumn[Any, Any], value: float, units: str) -> str:
    """A figure rounded to the safe side: limits down."""
    if column.kind == "percent":
        return f"{value * 100:.4g}\u00a0%"
    if column.kind == "number":
        return factor_text(value)
    return quantity_text(value, column.kind, units, direction="down" if column.kind == "force" else "nearest")


def other_words(name: str, value: Any) -> str:
    if name == "construction":
        return CONSTRUCTIONS.get(value, str(value))
    if name == "terminations":
        names = dict(TERMINATIONS)
        return ", ".join(names.get(code, code) for code in value)
    if name == "spliced_by":
        person = Person.objects.with_details().filter(pk=value).first()
        return str(person) if person is not None else "A person removed"
    if name in ("assembly", "parent"):
        return GearItem.objects.filter(pk=value).values_list("tag", flat=True).first() or "Another item"
    return str(value)


def swaps_of(changes: Mapping[str, Any], units: str) -> tuple[Swap, ...]:
    """Each [old, new] of a record in words, in the order of the register."""
    listed = [name for name in EDITABLE if name in changes]
    return tuple(Swap(label_of(name), *(value_words(name, value, units) for value in changes[name])) for name in listed)


@dataclass(frozen=True, slots=True)
class FactLine:
    """One subject of an item as it stands on record."""

    code: str
    title: str
    value: str


def subjects_of(item: GearItem) -> Iterator[Subject]:
    """What can be changed of an item: the subjects of its class, and any of which something is on record."""
    said = snapshot(item)
    for subject in SUBJECTS:
        is_said = any(said[name] not in (None, "", [], False) for name in subject.columns)
        if subject.is_of(item.declared) or is_said:
            yield subject


def facts_of(item: GearItem, units: str) -> list[FactLine]:
    """Every fact of an item that is changed as an event."""
    said = snapshot(item)
    return [FactLine(s.code, s.title, subject_words(s, said, units)) for s in subjects_of(item)]


def subject_words(subject: Subject, said: Mapping[str, Any], units: str) -> str:
    """The facts of a subject on one line."""
    if subject.code == "uses":
        named = [label_of(name) for name in subject.columns if said[name]]
        return ", ".join(named)
    if subject.code == "first_use":
        return "Not used yet" if said["is_unused"] else value_words("first_used_on", said["first_used_on"], units)
    if subject.code == "life" and not said["life_from_maker"]:
        return "As its class"
    if len(subject.columns) == 1:
        return value_words(subject.columns[0], said[subject.columns[0]], units)
    parts = [
        f"{label_of(name).lower()} {value_words(name, said[name], units)}"
        for name in subject.columns
        if name != "life_from_maker" and said[name] not in (None, "", [])
    ]
    text = ", ".join(parts)
    return f"{text[:1].upper()}{text[1:]}" if text else "Not on record"
