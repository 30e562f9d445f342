"""What happens to gear: events, taking out of use, and the one thing that is only a near miss."""

import datetime as dt

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row
from crewlog.files.photographs import Photograph
from crewlog.models import Membership, Role
from crewlog.people.rights import require_role
from gear.catalogue.events import EVENTS_BY_CODE
from gear.files.services import store_photograph
from gear.fitness.apply_evidence import apply_evidence
from gear.fitness.entries import entry_for, lock, must_be_in_service
from gear.fitness.set_parts import parts_at_any_time_of
from gear.models import GearEvent, GearItem

REPORTERS = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR, Role.CREW)


@transaction.atomic
def record_event(
    *,
    actor: Membership,
    item: GearItem,
    kind: str,
    happened_on: dt.date,
    description: str,
    gear_loaded: bool | None = None,
    load_n: float | None = None,
    from_paper: bool = False,
    photograph: Photograph | None = None,
    entry: Entry | None = None,
) -> GearEvent:
    """Record an event, with its photograph where there is one; the item goes out of use where its kind asks for that.

    A near miss with the gear not loaded never takes it out of use, or none would be reported. `load_n` is a measured
    or estimated load [N], None where there is none. Raises RuleBroken for a retired item or an unknown kind.
    """
    require_role(actor, *REPORTERS)
    declared = EVENTS_BY_CODE.get(kind)
    if declared is None or not declared.by_hand:
        raise RuleBroken("Choose what happened.", code="event-kind-unknown", field="kind")
    if kind == "part_swapped" and item.is_assembly:
        raise RuleBroken(f"Use the page of {item.tag}'s parts to swap it.", code="swap-names-parts", field="kind")
    event = write_event(
        actor,
        item,
        GearEvent(
            kind=kind,
            happened_on=happened_on,
            description=description,
            gear_loaded=gear_loaded if declared.loaded is None else declared.loaded,
            load_n=load_n,
        ),
        from_paper=from_paper,
        entry=entry,
    )
    if photograph is not None:
        store_photograph(actor=actor, item=item, upload=photograph, event=event, entry=entry)
    return event


@transaction.atomic
def take_out_of_use(*, actor: Membership, item: GearItem, because: str, entry: Entry | None = None) -> GearEvent:
    """Quarantine an item; only a later examination by a competent person returns it."""
    require_role(actor, Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR)
    row = GearEvent(kind="taken_out_of_use", happened_on=actor.company.today(), description=because)
    return write_event(actor, item, row, entry=entry)


def write_event(
    actor: Membership, item: GearItem, row: GearEvent, *, from_paper: bool = False, entry: Entry | None = None
) -> GearEvent:
    """Put an event of an item in service on the chain and apply it to its state.

    What befalls a tackle set befalls the parts that were in it that day: each gets the event too, for it is the parts
    that hang in the positions of a sheet.
    """
    lock(actor, item)
    must_be_in_service(item)
    if not row.description.strip():
        raise RuleBroken("Say what happened.", code="event-without-words", field="description")
    entry = entry_for(actor, row.happened_on, from_paper=from_paper, entry=entry)
    row.item = item
    row.validate_constraints(exclude=["record"])
    append_row(item.company, entry, row, people=[actor.person])
    apply_evidence(item, entry)
    if item.is_assembly and EVENTS_BY_CODE[row.kind].applies_to_parts:
        for part in parts_at_any_time_of(item, row.happened_on):
            if part.retired_on is None:
                write_event(actor, part, part_event(item, row), entry=entry)
    return row


def part_event(assembly: GearItem, row: GearEvent) -> GearEvent:
    """The event of a set as its part's own; a load on the set is not the part's."""
    return GearEvent(
        kind=row.kind,
        happened_on=row.happened_on,
        description=f"As a part of {assembly.tag}: {row.description}",
        gear_loaded=row.gear_loaded,
    )
