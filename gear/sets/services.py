"""Parts of tackle sets: put in, taken out, swapped. Each is evidence and an alteration of the set."""

import datetime as dt

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row
from crewlog.models import Membership
from crewlog.people.rights import require_role
from gear.events.services import write_event
from gear.fitness.entries import ALTERERS, entry_for, lock, must_be_in_service
from gear.fitness.history import shortened
from gear.fitness.refresh import write_status_dates
from gear.fitness.set_parts import stays_by_part
from gear.models import GearEvent, GearItem, PartChange
from gear.models.assembly import PUT_IN, TAKEN_OUT
from gear.sets.part_history import PartClashError, where_now


@transaction.atomic
def put_in(
    *, actor: Membership, assembly: GearItem, part: GearItem, on: dt.date, because: str, entry: Entry | None = None
) -> PartChange:
    """Put a part into a set. Raises RuleBroken for one that is in a set already, or a set that has all its parts."""
    entry = begin(actor, assembly, on, entry)
    row = write_change(actor, assembly, part, PartChange(change=PUT_IN, day=on, because=because), entry=entry)
    alter_set(actor, assembly, on, f"{part.tag} put in: {because}", entry=entry)
    return row


@transaction.atomic
def take_out(
    *, actor: Membership, assembly: GearItem, part: GearItem, on: dt.date, because: str, entry: Entry | None = None
) -> PartChange:
    """Take a part out of a set. Raises RuleBroken for one that was not in it then."""
    entry = begin(actor, assembly, on, entry)
    row = write_change(actor, assembly, part, PartChange(change=TAKEN_OUT, day=on, because=because), entry=entry)
    alter_set(actor, assembly, on, f"{part.tag} taken out: {because}", entry=entry)
    return row


@transaction.atomic
def swap_part(
    *,
    actor: Membership,
    assembly: GearItem,
    out: GearItem,
    in_: GearItem,
    on: dt.date,
    because: str,
    entry: Entry | None = None,
) -> tuple[PartChange, PartChange]:
    """Put one part into a set in place of another; the set then waits for an examination. Raises RuleBroken."""
    entry = begin(actor, assembly, on, entry)
    gone = write_change(actor, assembly, out, PartChange(change=TAKEN_OUT, day=on, because=because), entry=entry)
    come = write_change(actor, assembly, in_, PartChange(change=PUT_IN, day=on, because=because), entry=entry)
    alter_set(actor, assembly, on, f"{in_.tag} in place of {out.tag}: {because}", entry=entry)
    return gone, come


@transaction.atomic
def correct_change(
    *, actor: Membership, change: PartChange, on: dt.date, because: str, part: GearItem | None = None
) -> PartChange:
    """Say later that a change was of another day or another part; the wrong record stays and counts no more."""
    require_role(actor, *ALTERERS)
    assembly = GearItem.objects.get(pk=change.assembly_id)
    lock(actor, assembly)
    if change.record.corrections.exists():
        raise RuleBroken("A later record corrects it already. Correct that one.", code="corrected-already")
    begun = entry_for(actor, on)
    entry = Entry(actor=actor.person, happened_at=begun.happened_at, corrects=change.record)
    wrong, right = change.part, part or change.part
    row = PartChange(change=change.change, day=on, because=because)
    append_change(actor, assembly, right, row, entry=entry)
    if wrong.pk != right.pk:
        keep_in_step(lock(actor, wrong))
    keep_in_step(right)
    return row


def begin(actor: Membership, assembly: GearItem, on: dt.date, entry: Entry | None) -> Entry:
    require_role(actor, *ALTERERS)
    lock(actor, assembly)
    return entry_for(actor, on, entry=entry)


def write_change(actor: Membership, assembly: GearItem, part: GearItem, row: PartChange, *, entry: Entry) -> PartChange:
    """Append one change and bring the part's column in step with it."""
    append_change(actor, assembly, part, row, entry=entry)
    keep_in_step(part)
    return row


def append_change(
    actor: Membership, assembly: GearItem, part: GearItem, row: PartChange, *, entry: Entry
) -> PartChange:
    if not assembly.is_assembly:
        raise RuleBroken("Only a tackle set has parts.", code="not-a-set", field="assembly")
    lock(actor, part)
    if part.is_assembly:
        raise RuleBroken("A tackle set cannot be a part of another.", code="set-in-set", field="part")
    if row.is_in and entry.corrects is None:
        must_be_in_service(part)
        must_be_in_service(assembly)
    row.because = shortened(row.because)
    if not row.because:
        raise RuleBroken("Say why.", code="change-without-reason", field="because")
    must_follow_registration(assembly, part, row)
    row.assembly, row.part = assembly, part
    return append_row(part.company, entry, row, people=[actor.person])


def must_follow_registration(assembly: GearItem, part: GearItem, row: PartChange) -> None:
    """The first change of a part that was registered into a set, or into none, starts from there."""
    if part.set_changes.exists():
        return
    if row.is_in and part.assembly is not None:
        raise RuleBroken(in_two_sets(part.tag, part.assembly.tag), code="in-another-set", field="part")
    if not row.is_in and part.assembly_id != assembly.pk:
        raise RuleBroken(not_in(part.tag, assembly.tag, part.assembly), code="not-in-set", field="out")


def not_in(tag: str, set_tag: str, inside: GearItem | None) -> str:
    return f"{tag} was not in {set_tag} then: it was in {inside.tag if inside else 'no set'}."


def in_two_sets(tag: str, inside: str) -> str:
    return f"{tag} was in {inside} then. A part cannot be in two sets: take it out there first."


def keep_in_step(part: GearItem) -> None:
    """Set the part's column to what the evidence says. Raises RuleBroken where the changes cannot all have been."""
    try:
        now = where_now(stays_by_part([part])[part.pk])
    except PartClashError as clash:
        raise impossible(part, clash) from None
    if now is not None and now != part.assembly_id:
        must_have_room(GearItem.objects.get(pk=now), part)
    if now != part.assembly_id:
        sets = [key for key in (part.assembly_id, now) if key is not None]
        part.assembly_id = now
        part.save(update_fields=["assembly"])
        write_status_dates(GearItem.objects.filter(pk__in=sets))


def must_have_room(assembly: GearItem, part: GearItem) -> None:
    """A set that says it has four parts takes no fifth."""
    held = assembly.parts.exclude(pk=part.pk).count()
    if assembly.parts_expected is not None and held >= assembly.parts_expected:
        raise RuleBroken(
            f"{assembly.tag} has its {assembly.parts_expected} parts. Swap one, or have the owner change how many "
            "it has.",
            code="set-full",
            field="part",
        )


def impossible(part: GearItem, clash: PartClashError) -> RuleBroken:
    """What a person reads of changes that contradict each other."""
    inside = None if clash.inside is None else GearItem.objects.get(pk=clash.inside)
    if clash.move.is_in and inside is not None:
        return RuleBroken(in_two_sets(part.tag, inside.tag), code="in-another-set", field="part")
    assembly = GearItem.objects.get(pk=clash.move.assembly)
    return RuleBroken(not_in(part.tag, assembly.tag, inside), code="not-in-set", field="out")


def alter_set(actor: Membership, assembly: GearItem, on: dt.date, description: str, *, entry: Entry) -> None:
    """A changed part makes an examination of the set pending; a set nobody has examined yet waits for its first."""
    if assembly.retired_on is None and assembly.pre_service_on is not None:
        row = GearEvent(kind="part_swapped", happened_on=on, description=description)
        write_event(actor, assembly, row, entry=entry)


def move_item(
    actor: Membership,
    item: GearItem,
    *,
    before: GearItem | None,
    after: GearItem | None,
    because: str,
    entry: Entry,
) -> None:
    """Record that an item went from one set to another today, or into or out of one."""
    on = item.company.today()
    for assembly, change, words in ((before, TAKEN_OUT, "taken out"), (after, PUT_IN, "put in")):
        if assembly is not None:
            write_change(actor, assembly, item, PartChange(change=change, day=on, because=because), entry=entry)
            alter_set(actor, assembly, on, f"{item.tag} {words}: {because}", entry=entry)
