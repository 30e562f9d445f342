"""Writing changed facts into an item's columns, with everything that leans on them."""

from collections.abc import Mapping
from copy import copy
from typing import Any

from crewlog.evidence import Entry
from gear.fitness.apply_evidence import apply_evidence_watched, tell_of_facts
from gear.fitness.changes import watch
from gear.models import GearItem
from gear.recalls.services import catch_recalls
from gear.register.editable import TRACED
from gear.register.search_index import FOUND_BY, rewrite_words
from gear.register.services import check


def write_facts(item: GearItem, facts: Mapping[str, Any], entry: Entry) -> None:
    """Set columns to values as the chain writes them; what no longer holds is withdrawn in the same transaction.

    Raises ValidationError and RuleBroken for what cannot be true of the item. The record is the caller's.
    """
    watched, before = watch(item.company, [item]), copy(item)
    for name, value in facts.items():
        set_plain(item, name, value)
    check(item)
    item.save(update_fields=list(facts))
    apply_evidence_watched(item.company, watched, entry)
    if FOUND_BY & set(facts):
        rewrite_words(item)
    if set(TRACED) & set(facts):
        catch_recalls(item, entry)
    tell_of_facts(before, item, entry)


def with_facts(item: GearItem, facts: Mapping[str, Any]) -> GearItem:
    """A copy of an item as it would be, never saved. Raises like `write_facts` for what cannot be true of it."""
    tried = copy(item)
    for name, value in facts.items():
        set_plain(tried, name, value)
    check(tried)
    return tried


def set_plain(item: GearItem, name: str, value: Any) -> None:
    """Set a column from the value the chain writes for it: dates and people come as text."""
    field: Any = item._meta.get_field(name)
    if field.is_relation:
        setattr(item, field.attname, None if value is None else field.target_field.to_python(value))
    else:
        setattr(item, name, None if value is None else field.to_python(value))
