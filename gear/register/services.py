"""Registering items and changing what is on record about them."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append, append_row
from crewlog.models import Membership, Role
from crewlog.people.rights import require_role
from crewlog.stale import Opened, changes_since, check_opened
from crewlog.web.access import PLANNERS
from gear.catalogue.classes import BY_CODE, MATERIALS
from gear.fitness.apply_evidence import apply_evidence, apply_evidence_watched
from gear.fitness.changes import watch
from gear.fitness.entries import entry_for, lock, must_be_in_service
from gear.fitness.refresh import refresh_items, refresh_state
from gear.models import GearEvent, GearItem
from gear.recalls.services import catch_recalls
from gear.register.editable import EDITABLE, PLAIN, only_editable, registered_body, snapshot
from gear.register.search_index import FOUND_BY, rewrite_words, write_words
from gear.schemes.services import ensure_default_schemes
from gear.sets.services import move_item

CHANGE_KINDS = ("gear.item-changed",)
MOVED = "Set on record changed by the owner"
REGISTERED = "Registered as a part of it"


@transaction.atomic
def add_item(
    *, actor: Membership, tag: str, gear_class: str, description: str, entry: Entry | None = None, **facts: Any
) -> GearItem:
    """Register an item. It is not fit until it is examined, or its declaration of conformity is entered.

    `facts` are the columns in EDITABLE. Raises ValidationError for a fact that breaks a constraint, RuleBroken for
    a material its class refuses.
    """
    require_role(actor, Role.OWNER)
    company = actor.company
    only_editable(facts)
    ensure_default_schemes(company)
    facts.setdefault("design_factor", BY_CODE[gear_class].design_factor if gear_class in BY_CODE else None)
    item = GearItem(
        company=company,
        tag=tag.strip(),
        gear_class=gear_class,
        description=description,
        registered_on=company.today(),
        **facts,
    )
    check(item)
    facts_said = snapshot(item)
    assembly, item.assembly = item.assembly, None
    item.save(force_insert=True)
    entry = entry or Entry(actor=actor.person)
    append(company, "gear.item-registered", entry, body=registered_body(item, facts_said), people=[actor.person])
    write_words([item])
    refresh_state(item)
    move_item(actor, item, before=None, after=assembly, because=REGISTERED, entry=entry)
    catch_recalls(item, entry)
    return item


@transaction.atomic
def change_item(
    *,
    actor: Membership,
    item: GearItem,
    entry: Entry | None = None,
    opened: Opened | None = None,
    **changes: Any,
) -> GearItem:
    """Change what is in place about an item: place, words, papers, lender, set. The record holds each before and after.

    Raises like `add_item`, RuleBroken for a fact that is changed as an event, and StaleEdit where it would undo what
    was saved since `opened`.
    """
    require_role(actor, Role.OWNER)
    only_editable(changes)
    lock(actor, item)
    must_be_in_service(item)
    must_be_plain(item, changes)
    check_opened(
        opened,
        theirs={name: getattr(item, name) for name in changes},
        mine=changes,
        changes=lambda: changes_since(item.company, CHANGE_KINDS, item, opened.at) if opened else {},
    )
    before, old_set = snapshot(item), item.assembly
    watched = watch(item.company, [item])  # before its facts change: a day of return may be what is lost
    for name, value in changes.items():
        setattr(item, name, value)
    check(item)
    after, new_set = snapshot(item), item.assembly
    changed = {name: [before[name], after[name]] for name in EDITABLE if before[name] != after[name]}
    if not changed:
        return item
    item.assembly = old_set
    item.save(update_fields=list(changed))
    entry = entry or Entry(actor=actor.person)
    append(item.company, "gear.item-changed", entry, body={"item": item.pk, "changes": changed}, people=[actor.person])
    if "assembly" in changed:
        move_item(actor, item, before=old_set, after=new_set, because=MOVED, entry=entry)
    apply_evidence_watched(item.company, watched, entry)
    if FOUND_BY & set(changed):
        rewrite_words(item)
    if "assembly" in changed:
        refresh_items(item.company, list(GearItem.objects.filter(pk=changed["assembly"][0])))
    return item


@transaction.atomic
def start_use(*, actor: Membership, item: GearItem, on: dt.date, entry: Entry | None = None) -> GearItem:
    """Note the first day of use of an item that was unused; one already in use is left as it is."""
    require_role(actor, *PLANNERS)
    lock(actor, item)
    must_be_in_service(item)
    if not item.is_unused or item.first_used_on is not None:
        return item
    entry = entry_for(actor, on, entry=entry)
    item.is_unused = False
    item.first_used_on = on
    item.save(update_fields=["is_unused", "first_used_on"])
    changes = {"is_unused": [True, False], "first_used_on": [None, on]}
    append(item.company, "gear.item-changed", entry, body={"item": item.pk, "changes": changes}, people=[actor.person])
    apply_evidence(item, entry)
    return item


@transaction.atomic
def count_uses(*, actor: Membership, item: GearItem, on: dt.date, description: str, uses: int = 1) -> GearEvent:
    """Count uses of an item whose maker permits only so many, or of any other."""
    require_role(actor, *PLANNERS)
    lock(actor, item)
    must_be_in_service(item)
    entry = entry_for(actor, on)
    row = GearEvent(item=item, kind="used", happened_on=on, description=description, gear_loaded=True, uses=uses)
    append_row(item.company, entry, row, people=[actor.person])
    apply_evidence(item, entry)
    return row


def must_be_plain(item: GearItem, changes: Mapping[str, Any]) -> None:
    """Refuse a change in place of a fact that others lean on."""
    for name, value in changes.items():
        if name not in PLAIN and getattr(item, name) != value:
            raise RuleBroken(
                "This fact is changed with a reason and a source: use Change a fact.",
                code="fact-is-an-event",
                field=name,
            )


def check(item: GearItem) -> None:
    """Refuse facts that cannot be true of an item."""
    item.full_clean()
    check_class(item)
    if item.spliced_by is not None and item.spliced_by.company_id != item.company_id:
        raise RuleBroken("That person is not on record here.", code="other-company", field="spliced_by")


def check_class(item: GearItem) -> None:
    """Refuse what cannot be true of an item of its class, and a place in a set that is none."""
    declared = item.declared
    if item.material in declared.materials_refused:
        name = dict(MATERIALS)[item.material]
        raise RuleBroken(
            f"{name} melts on a drum and in a hitch: not for a {declared.name.lower()}. Choose another material.",
            code="material-refused",
            field="material",
        )
    if item.material and declared.materials and item.material not in declared.materials:
        names = ", ".join(dict(MATERIALS)[code].lower() for code in declared.materials_allowed)
        raise RuleBroken(
            f"A {declared.name.lower()} is made of one of: {names}. Leave it empty where it is not known.",
            code="material-unknown",
            field="material",
        )
    if item.construction and item.construction not in dict(declared.constructions):
        raise RuleBroken(
            f"Choose a construction of a {declared.name.lower()}.", code="construction-unknown", field="construction"
        )
    for other in (item.assembly, item.parent):
        if other is not None and other.company_id != item.company_id:
            raise RuleBroken("That item is not in this store.", code="other-company", field="assembly")
    if item.assembly is not None and not item.assembly.is_assembly:
        raise RuleBroken("Only a tackle set has parts.", code="not-a-set", field="assembly")
