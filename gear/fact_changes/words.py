"""Facts and their changes in the reader's words and units."""

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from crewlog.models import Person
from crewlog.quantity_display import factor_text, quantity_text
from crewlog.units import Direction
from gear.classes import CLASSES, EFFICIENCY_ORIGINS, GATES, MATERIALS, TERMINATIONS, USES
from gear.fact_changes.rules import FACTS, SUBJECTS, Subject
from gear.models import GearItem
from gear.reasons import day_words
from gear.services.register import EDITABLE, snapshot

# Column -> kind of quantity, and how it is rounded: limits down.
QUANTITIES: dict[str, tuple[str, Direction]] = {
    **dict.fromkeys(
        (
            "breaking_strength_n", "working_load_limit_n", "vertical_rating_n", "choker_rating_n", "basket_rating_n",
            "minor_axis_strength_n", "proven_hold_n",
        ),
        ("force", "down"),
    ),
    **dict.fromkeys(("length_m", "extended_length_m", "two_blocked_length_m"), ("length", "nearest")),
    **dict.fromkeys(
        ("diameter_mm", "rope_diameter_min_mm", "rope_diameter_max_mm", "sheave_diameter_mm"),
        ("diameter_gear", "nearest"),
    ),
    "mass_kg": ("mass", "nearest"),
}  # fmt: skip
RATIOS = ("sheave_efficiency", "reference_elongation_ratio", "reference_load_ratio")
CHOICES: dict[str, dict[str, str]] = {
    "gate": dict(GATES),
    "material": dict(MATERIALS),
    "construction": {code: words for declared in CLASSES for code, words in declared.constructions},
    "sheave_efficiency_origin": dict(EFFICIENCY_ORIGINS),
}
COUNTED = {
    "life_years_from_manufacture": "years",
    "life_years_from_first_use": "years",
    "maker_interval_months": "months",
    "permitted_uses": "uses",
}
LIMITS = ("permitted_uses", "life_years_from_manufacture", "life_years_from_first_use", "maker_interval_months")
DAYS = ("manufactured_on", "first_used_on", "due_back_on")
FLAGS = ("is_unused", "life_from_maker", *(column for _, column, _ in USES))
OTHER_LABELS = {
    "description": "What it is",
    "colour_tracer": "Colour or tracer",
    "notes": "Notes",
    "documents": "Papers",
    "storage_place": "Kept at",
    "borrowed_from": "Borrowed from",
    "due_back_on": "Due back on",
    "assembly": "Part of tackle set",
    "parent": "Cut from",
}


@dataclass(frozen=True, slots=True)
class Swap:
    """One fact as it was and as it is, in words."""

    label: str
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.label}: {self.old} → {self.new}"


def label_of(name: str) -> str:
    return FACTS[name].label if name in FACTS else OTHER_LABELS.get(name, name)


def value_words(name: str, value: Any, units: str) -> str:
    """A fact as the chain writes it, worded. Queries for a person and for another item."""
    if name in FLAGS:
        return "Yes" if value else "No"
    if value in (None, "", []):
        return "None set" if name in LIMITS else "Not on record"
    if name in QUANTITIES:
        kind, direction = QUANTITIES[name]
        return quantity_text(float(value), kind, units, direction=direction)
    if name in RATIOS:
        return f"{float(value) * 100:.4g}\u00a0%"
    if name == "design_factor":
        return factor_text(float(value))
    if name in DAYS:
        return day_words(dt.date.fromisoformat(str(value)))
    return other_words(name, value)


def other_words(name: str, value: Any) -> str:
    if name in CHOICES:
        return CHOICES[name].get(value, str(value))
    if name == "terminations":
        names = dict(TERMINATIONS)
        return ", ".join(names.get(code, code) for code in value)
    if name == "spliced_by":
        person = Person.objects.with_details().filter(pk=value).first()
        return str(person) if person is not None else "A person removed"
    if name in ("assembly", "parent"):
        return GearItem.objects.filter(pk=value).values_list("tag", flat=True).first() or "Another item"
    return f"{value}\u00a0{COUNTED[name]}" if name in COUNTED else str(value)


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
