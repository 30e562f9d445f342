"""The demo's store: every item registered by the owner, before anything was examined."""

from gear.models import GearItem
from gear.register.services import add_item
from jobs.demo.scenario import Cast, Facts, demo_data

# What the list says about an item's story rather than about the item.
STORY = {"tag", "kind", "made", "used", "due_in", "retire", "examiner", "uses", "declared", "place", "due_back"}


def add_store(cast: Cast, listed: list[Facts]) -> None:
    """Register the items. What was put into tackle sets is part of their history."""
    kinds = demo_data()["kinds"]
    for facts in listed:
        cast.items[facts["tag"]] = register(cast, kinds[facts["kind"]], facts)


def register(cast: Cast, kind: Facts, facts: Facts) -> GearItem:
    columns = {"pulls_at_ground": True} | kind | {name: value for name, value in facts.items() if name not in STORY}
    if columns.get("spliced_by"):
        columns["spliced_by"] = cast.members[columns["spliced_by"]].person
    made, used = facts.get("made"), facts.get("used")
    columns |= {
        "manufactured_on": cast.day(made) if made is not None else None,
        "first_used_on": cast.day(used) if used is not None else None,
        "is_unused": used is None,
        "storage_place": facts["place"],
        "due_back_on": cast.day(facts["due_back"]) if "due_back" in facts else None,
    }
    gear_class, description = columns.pop("gear_class"), columns.pop("description")
    return add_item(
        actor=cast.members["owner"], tag=facts["tag"], gear_class=gear_class, description=description, **columns
    )
