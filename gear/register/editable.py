"""Which columns of an item are entered, which of them are changed in place, and what the records say of them."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import FieldDoesNotExist

from crewlog.evidence import to_plain
from crewlog.models.fields import column_of
from gear.models import GearItem

FIXED = {"tag", "gear_class", "registered_on"}
EDITABLE = tuple(
    field.name
    for field in GearItem._meta.concrete_fields
    if field.editable and not field.primary_key and field.name not in {"company", *FIXED}
)
# What is changed in place; every other fact is changed as an event: see gear/fact_changes.
PLAIN = frozenset(
    {
        "description",
        "colour_tracer",
        "notes",
        "documents",
        "storage_place",
        "borrowed_from",
        "due_back_on",
        "assembly",
    }
)
TRACED = ("maker", "maker_model", "batch", "serial")


def only_editable(facts: Mapping[str, Any]) -> None:
    for name in facts:
        if name not in EDITABLE:
            raise FieldDoesNotExist(f"{name} is not a fact of an item that can be set")


def snapshot(item: GearItem) -> dict[str, Any]:
    """What is on record about an item, as the chain writes it."""
    return {name: to_plain(getattr(item, column_of(item, name).attname)) for name in EDITABLE}


def registered_body(item: GearItem, facts: Mapping[str, Any]) -> dict[str, Any]:
    """What the record of an item's registration says; `facts` are its snapshot as it was said."""
    return {"item": item.pk, "tag": item.tag, "gear_class": item.gear_class, "facts": facts}
