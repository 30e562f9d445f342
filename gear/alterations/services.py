"""Alterations: each makes an examination pending."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import append
from crewlog.models import Membership, Person, Role
from crewlog.people.rights import must_be_ours, require_role
from gear.catalogue.classes import TERMINATIONS
from gear.catalogue.naming import renamed
from gear.events.services import write_event
from gear.fitness.entries import ALTERERS, entry_for, lock
from gear.models import GearEvent, GearItem
from gear.register.editable import EDITABLE
from gear.register.search_index import FOUND_BY, rewrite_words
from gear.register.services import add_item

# What a piece does not take over from the rope it was cut from.
NOT_CARRIED = {"length_m", "terminations", "assembly", "parent", "parts_expected", "spliced_by", "description"}


@transaction.atomic
def shorten_item(
    *, actor: Membership, item: GearItem, length_after_m: float, on: dt.date, description: str
) -> GearEvent:
    """Cut an item shorter [m]. Raises RuleBroken unless it gets shorter and something is left."""
    require_role(actor, *ALTERERS)
    lock(actor, item)
    before = item.length_m
    if not item.declared.is_rope or before is None or not 0 < length_after_m < before:
        raise RuleBroken(
            "Give a length shorter than the one on record, above zero.", code="not-shorter", field="length_after_m"
        )
    row = GearEvent(
        kind="shortened",
        happened_on=on,
        description=description,
        length_before_m=before,
        length_after_m=length_after_m,
    )
    name = renamed(item.description, before, length_after_m)
    set_facts(actor, item, on, {"length_m": length_after_m, "description": name})
    return write_event(actor, item, row)


@transaction.atomic
def make_new_end(
    *,
    actor: Membership,
    item: GearItem,
    terminations: list[str],
    on: dt.date,
    description: str,
    spliced_by: Person | None = None,
) -> GearEvent:
    """Note new ends that stay on the item; who spliced them may not examine it."""
    require_role(actor, *ALTERERS)
    lock(actor, item)
    if spliced_by is not None:
        must_be_ours(actor, spliced_by.company_id, "person", field="spliced_by")
    unknown = set(terminations) - {code for code, _ in TERMINATIONS}
    if unknown or not terminations:
        raise RuleBroken("Choose the ends it has.", code="termination-unknown", field="terminations")
    set_facts(actor, item, on, {"terminations": terminations, "spliced_by": spliced_by})
    return write_event(actor, item, GearEvent(kind="re_terminated", happened_on=on, description=description))


@transaction.atomic
def divide_item(
    *, actor: Membership, item: GearItem, pieces: Mapping[str, float], on: dt.date, description: str
) -> list[GearItem]:
    """Cut pieces [m] off a rope under tags of their own; each names its parent and carries its history.

    What is left keeps the old tag. Every piece and the rest have an examination pending. Raises RuleBroken unless the
    pieces leave something over.
    """
    require_role(actor, Role.OWNER)
    lock(actor, item)
    before = item.length_m
    rest = None if before is None else before - sum(pieces.values())
    if not item.declared.is_rope or before is None or rest is None or rest <= 0 or not pieces:
        raise RuleBroken("The pieces must be shorter than the rope together.", code="pieces-too-long", field="pieces")
    facts = {name: getattr(item, name) for name in EDITABLE if name not in NOT_CARRIED}
    made = []
    for tag, length_m in pieces.items():
        piece = add_item(
            actor=actor,
            tag=tag,
            gear_class=item.gear_class,
            description=renamed(item.description, before, length_m),
            length_m=length_m,
            parent=item,
            **facts,
        )
        row = GearEvent(kind="divided", happened_on=on, description=f"Cut from {item.tag}: {description}")
        write_event(actor, piece, row)
        made.append(piece)
    set_facts(actor, item, on, {"length_m": rest, "description": renamed(item.description, before, rest)})
    row = GearEvent(
        kind="divided",
        happened_on=on,
        description=f"{', '.join(pieces)} cut from it: {description}",
        length_before_m=before,
        length_after_m=rest,
    )
    write_event(actor, item, row)
    return made


def set_facts(actor: Membership, item: GearItem, on: dt.date, facts: Mapping[str, Any]) -> None:
    """Write changed facts of an alteration with their record; the event itself is the caller's."""
    changed = {name: [getattr(item, name), value] for name, value in facts.items() if getattr(item, name) != value}
    if not changed:
        return
    for name, value in facts.items():
        setattr(item, name, value)
    item.save(update_fields=list(facts))
    if FOUND_BY & set(changed):
        rewrite_words(item)
    append(
        item.company,
        "gear.item-changed",
        entry_for(actor, on),
        body={"item": item.pk, "changes": changed},
        people=[actor.person],
    )
