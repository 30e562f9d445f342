"""Items held against their records: what was registered and changed since, and the state that follows."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError

from crewlog.models import Company
from gear.fact_changes.applying import set_plain
from gear.fact_changes.words import label_of, value_words
from gear.fitness.dates import status_dates_of
from gear.fitness.facts import item_facts
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.refresh import STATUS_DATES, Evidence, load_evidence, state_for
from gear.fitness.set_parts import stays_by_part
from gear.fitness.use_limits import UseLimits
from gear.models import GearItem
from gear.register.editable import snapshot
from gear.sets.part_history import PartClashError, where_now
from gear.state_check.replay import RecordedValue, Registration, ReplayedFacts, registrations

# A retired item is left as it was when rules and limits change.
KEPT_BY_RULES = frozenset({"next_due_on", "next_due_basis", "uses_end_at", "overload_share_ratio", "life_ends_on",
                           "life_date_missing"})  # fmt: skip
STATE_WORDS = {
    "retired_on": "retired on",
    "retired_because": "retired because",
    "is_mistake": "entered by mistake",
    "quarantined_on": "out of use since",
    "quarantined_because": "out of use because",
    "examination_pending_since": "examination pending since",
    "examination_pending_because": "examination pending because",
    "pre_service_on": "examined before first use on",
    "pre_service_ends_on": "declaration ends on",
    "last_examined_on": "last examined on",
    "next_due_on": "next due on",
    "next_due_basis": "basis of the next due date",
    "remark_due_on": "to be mended by",
    "remark": "remark",
    "life_ends_on": "life ends on",
    "life_date_missing": "date of its life missing",
    "uses_made": "uses made",
    "uses_end_at": "uses end at",
    "overload_share_ratio": "share that counts as an overload",
    "recall_unresolved": "recall open",
    "recalled_on": "recalled on",
    "marking_illegible": "marking illegible",
    "residual_strength_ratio": "remaining strength",
    "falls_due_on": "falls due on",
    "overdue_from": "overdue from",
    "unfit_from": "out of use from",
}


def check_items(company: Company, told: ReplayedFacts) -> Iterator[str]:
    """One sentence for every column of an item that its records do not give. Queries by chunks of 500 items."""
    book, limits = InspectionRules.of(company), UseLimits.of(company)
    registered: set[int] = set()
    for chunk in registrations(company):
        yield from check_chunk(company, chunk, told, (book, limits))
        registered |= {each.item for each in chunk}
    for key, tag in GearItem.objects.for_company(company).order_by("pk").values_list("pk", "tag").iterator(2000):
        if key not in registered:
            yield f"{tag}: stands in the store, and no record registered it"


def check_chunk(
    company: Company, chunk: Sequence[Registration], told: ReplayedFacts, rules: tuple[InspectionRules, UseLimits]
) -> Iterator[str]:
    keys = [each.item for each in chunk]
    items = {item.pk: item for item in GearItem.objects.filter(pk__in=keys).select_related("company")}
    parts = defaultdict(list)
    for part in GearItem.objects.filter(assembly__in=keys):
        parts[part.assembly_id].append(part)
    evidence = load_evidence(items.values())
    sets = sets_of(chunk, items, told)
    for each in chunk:
        item = items.get(each.item)
        if item is None or item.company_id != company.pk:
            yield f"{each.tag}: registered by record {each.sequence}, and not in the store"
            continue
        yield from check_facts(each, item, told.facts.get(each.item, {}), sets.get(each.item))
        expected = as_recorded(each, item, told.facts.get(each.item, {}))
        yield from check_state(item, expected, evidence[item.pk], parts=parts[item.pk], rules=rules)


def recorded(each: Registration, changed: Mapping[str, RecordedValue]) -> dict[str, RecordedValue]:
    """The facts of an item as the chain has them last; a fact that its records never knew is left out."""
    return {name: RecordedValue(value, each.sequence) for name, value in each.facts.items()} | dict(changed)


def check_facts(
    each: Registration, item: GearItem, changed: Mapping[str, RecordedValue], assembly: int | str | None
) -> Iterator[str]:
    if item.tag != each.tag:
        yield f"{each.tag}: tag on record is {each.tag} by record {each.sequence}, the store says {item.tag}"
    if item.gear_class != each.gear_class:
        yield (
            f"{each.tag}: class on record is {each.gear_class} by record {each.sequence}, "
            f"the store says {item.gear_class}"
        )
    stands, units = snapshot(item), item.company.unit_system
    for name, said in recorded(each, changed).items():
        if name == "assembly" or name not in stands or stands[name] == said.value:
            continue
        yield (
            f"{each.tag}: {label_of(name).lower()} on record is {worded(name, said.value, units)} "
            f"by record {said.sequence}, the store says {worded(name, stands[name], units)}"
        )
    if assembly != item.assembly_id:
        yield (
            f"{each.tag}: tackle set on record is {worded('assembly', assembly, units)}, "
            f"the store says {worded('assembly', item.assembly_id, units)}"
        )


def worded(name: str, value: Any, units: str) -> str:
    return value_words(name, value, units).replace("\u00a0", " ")


def sets_of(
    chunk: Sequence[Registration], items: Mapping[int, GearItem], told: ReplayedFacts
) -> dict[int, int | str | None]:
    """The set each item is in by its records: what was put in and taken out since, else where it was registered."""
    parts = []
    for each in chunk:
        if each.item in items:
            said = recorded(each, told.facts.get(each.item, {})).get("assembly")
            part = copy(items[each.item])
            part.assembly_id = int(said.value) if said is not None and said.value is not None else None
            parts.append(part)
    try:
        stays = stays_by_part(parts)
    except PartClashError:
        return {part.pk: clash_of(part) for part in parts}
    return {part.pk: where_now(stays[part.pk]) for part in parts}


def clash_of(part: GearItem) -> int | str | None:
    """One part by itself where the records of one in the chunk contradict each other."""
    try:
        return where_now(stays_by_part([part])[part.pk])
    except PartClashError:
        return "two sets at once"


def as_recorded(each: Registration, item: GearItem, changed: Mapping[str, RecordedValue]) -> GearItem:
    """The item with the facts its records give, for working out its state; never saved."""
    expected = copy(item)
    stands = snapshot(item)
    for name, said in recorded(each, changed).items():
        if name in stands and name != "assembly" and stands[name] != said.value:
            try:
                set_plain(expected, name, said.value)
            except (ValidationError, TypeError, ValueError):
                continue  # said by the fact itself
    expected.gear_class = each.gear_class
    return expected


def check_state(
    item: GearItem,
    expected: GearItem,
    evidence: Evidence,
    *,
    parts: Sequence[GearItem],
    rules: tuple[InspectionRules, UseLimits],
) -> Iterator[str]:
    """State and status dates of one item against what its evidence gives."""
    state = asdict(state_for(expected, evidence, *rules))
    left = KEPT_BY_RULES if state["retired_on"] is not None else frozenset()
    wrong = [name for name, value in state.items() if name not in left and getattr(item, name) != value]
    for name in wrong:
        yield differing(item, name, state[name], getattr(item, name))
    if wrong:
        return
    for name, value in asdict(status_dates_of(item_facts(item, parts))).items():
        if name in STATUS_DATES and getattr(item, name) != value:
            yield differing(item, name, value, getattr(item, name))


def differing(item: GearItem, name: str, said: Any, stands: Any) -> str:
    return f"{item.tag}: {STATE_WORDS[name]}: by its records {plain_words(said)}, the store says {plain_words(stands)}"


def plain_words(value: Any) -> str:
    if value in (None, ""):
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value.isoformat() if hasattr(value, "isoformat") else str(value)
