"""What the chain says of items' facts, of inspection intervals and of limits, record after record."""

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from crewlog.models import Company, Record

REGISTERED = "gear.item-registered"
CHANGED = "gear.item-changed"
FACT_CHANGE = "gear.fact-change"
FACT_ANSWER = "gear.fact-change-answer"
SETTINGS = (
    "gear.scheme-switched",
    "gear.interval-changed",
    "gear.scheme-rule-added",
    "gear.class-limit-set",
    "gear.fact-check-set",
)
CHUNK = 500


@dataclass(frozen=True, slots=True)
class RecordedValue:
    """A value as JSON gives it, and the sequence number of the record that says it."""

    value: Any
    sequence: int


@dataclass(slots=True)
class ReplayedFacts:
    """What the chain says beyond the registrations: the last value of each fact that changed, and the settings."""

    facts: dict[int, dict[str, RecordedValue]] = field(default_factory=dict)
    active: dict[str, RecordedValue] = field(default_factory=dict)
    months: dict[tuple[str, Any], list[RecordedValue]] = field(default_factory=dict)
    added: list[tuple[dict[str, Any], int]] = field(default_factory=list)
    limits: dict[str, RecordedValue] = field(default_factory=dict)
    check_by: RecordedValue | None = None

    def fact(self, item: int, changes: dict[str, Any], sequence: int) -> None:
        known = self.facts.setdefault(item, {})
        known |= {name: RecordedValue(pair[1], sequence) for name, pair in changes.items()}


@dataclass(frozen=True, slots=True)
class Registration:
    """What the record of a registration says."""

    item: int
    tag: str
    gear_class: str
    facts: dict[str, Any]
    sequence: int


def bodies(company: Company, *kinds: str) -> Iterator[tuple[Record, dict[str, Any]]]:
    """Records of some kinds with their bodies read, in the order of the chain; memory does not grow with them."""
    rows = Record.objects.for_company(company).filter(kind__in=kinds).order_by("sequence")
    for record in rows.only("sequence", "kind", "body").iterator(chunk_size=2000):
        yield record, json.loads(record.body)


def told_by(company: Company) -> ReplayedFacts:
    """Read every record that changes a fact or a setting. One query; memory grows with what changed."""
    told = ReplayedFacts()
    waiting: dict[int, tuple[int, dict[str, Any]]] = {}
    for record, body in bodies(company, CHANGED, FACT_CHANGE, FACT_ANSWER, *SETTINGS):
        if record.kind == CHANGED:
            told.fact(int(body["item"]), body["changes"], record.sequence)
        elif record.kind == FACT_CHANGE:
            if body["waits"]:
                waiting[record.pk] = int(body["item_id"]), body["changes"]
            else:
                told.fact(int(body["item_id"]), body["changes"], record.sequence)
        elif record.kind == FACT_ANSWER:
            item, changes = waiting.pop(int(body["change_id"]), (0, {}))
            if body["answer"] == "agrees":
                told.fact(item, changes, record.sequence)
        else:
            note_setting(told, record, body)
    return told


def note_setting(told: ReplayedFacts, record: Record, body: dict[str, Any]) -> None:
    place = record.sequence
    if record.kind == "gear.scheme-switched":
        told.active[body["scheme"]] = RecordedValue(body["is_active"][1], place)
    elif record.kind == "gear.interval-changed":
        # Records of before name the rule by its basis alone, which several rules of a scheme may share.
        key = (body["scheme"], body.get("rule", body["basis"]))
        told.months.setdefault(key, []).append(RecordedValue(body["months"][1], place))
    elif record.kind == "gear.scheme-rule-added":
        told.added.append((body, place))
    elif record.kind == "gear.class-limit-set":
        told.limits[body["gear_class"]] = RecordedValue((body["most_uses"][1], body["peak_share_ratio"][1]), place)
    else:
        told.check_by = RecordedValue(body["check_by"][1], place)


def registrations(company: Company) -> Iterator[list[Registration]]:
    """Every registration, 500 at a time, in the order of the chain."""
    chunk: list[Registration] = []
    for record, body in bodies(company, REGISTERED):
        chunk.append(Registration(int(body["item"]), body["tag"], body["gear_class"], body["facts"], record.sequence))
        if len(chunk) == CHUNK:
            yield chunk
            chunk = []
    if chunk:
        yield chunk
