"""History of load: what each item carried on a sheet. A measured or derived peak above the limit is an overload."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from crewlog.evidence import Entry, append_row
from crewlog.models import Membership, Record, Role
from crewlog.people.rights import must_be_ours, require_role
from crewlog.quantities.display import demand_text, limit_text, percent_text
from gear.fitness.apply_evidence import apply_evidence_to_all
from gear.fitness.entries import entry_for, lock
from gear.models import GearEvent, GearItem, LoadRecord, LoadSource

LONGEST_BASIS = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What one item carried. `peak_n` is None where nothing was read that it could be worked out from."""

    item: GearItem
    source: str
    position: str = ""
    peak_n: float | None = None
    limit_n: float | None = None
    gauge: GearItem | None = None
    basis: str = ""


@transaction.atomic
def record_loads(
    *,
    actor: Membership,
    loads: Sequence[Load],
    on: dt.date,
    reference: str,
    work: Record | None = None,
    earlier: Sequence[LoadRecord] = (),
    entry: Entry | None = None,
) -> list[LoadRecord]:
    """Record the loads of one day's work, one use an item. `earlier` are the standing records of the same work: each
    is corrected by the item's new one, or by one that says it was not used.

    An item over its limit goes out of use in the same transaction. Raises RuleBroken for a day ahead.
    """
    require_role(actor, Role.OWNER, Role.CREW_LEAD)
    if work is not None:
        must_be_ours(actor, work.company_id, "sheet")
    entry = entry_for(actor, on, entry=entry)
    before = {row.item_id: row for row in earlier}
    kept = {load.item.pk for load in loads}
    gone = [Load(item=row.item, source=LoadSource.NOT_USED, position=row.position) for row in earlier]
    items, rows = [], []
    for load in (*loads, *(load for load in gone if load.item.pk not in kept)):
        item = lock(actor, load.item)
        row = load_row(load, on, reference, work)
        row.overload_above_ratio = item.overload_share_ratio
        append_row(item.company, correcting(entry, before.get(item.pk)), row, people=[actor.person])
        was_over = item.pk in before and before[item.pk].is_overload
        if row.is_overload and not was_over and item.retired_on is None:
            append_row(item.company, entry, overload_event(row), people=[actor.person])
        items.append(item)
        rows.append(row)
    apply_evidence_to_all(actor.company, items, entry)
    return rows


def load_row(load: Load, on: dt.date, reference: str, work: Record | None) -> LoadRecord:
    share = None
    if load.peak_n is not None and load.limit_n is not None and load.limit_n > 0:
        share = load.peak_n / load.limit_n
    return LoadRecord(
        item=load.item,
        day=on,
        source=load.source,
        peak_n=load.peak_n,
        limit_n=load.limit_n,
        share_ratio=share,
        uses=0 if load.source == LoadSource.NOT_USED else 1,
        position=load.position,
        reference=reference,
        work=work,
        gauge=load.gauge,
        basis=load.basis[:LONGEST_BASIS],
    )


def correcting(entry: Entry, row: LoadRecord | None) -> Entry:
    if row is None:
        return entry
    return Entry(
        actor=entry.actor,
        happened_at=entry.happened_at,
        on_behalf_of=entry.on_behalf_of,
        from_paper=entry.from_paper,
        device_time=entry.device_time,
        device_offset_min=entry.device_offset_min,
        corrects=row.record,
    )


def overload_event(row: LoadRecord) -> GearEvent:
    """The event that takes an item out of use for what it carried."""
    units = row.item.company.unit_system
    how = "measured" if row.source == LoadSource.MEASURED else "calculated from a reading"
    return GearEvent(
        item=row.item,
        kind="overload",
        happened_on=row.day,
        description=f"{demand_text(row.peak_n, units)} {how}, {percent_text(row.share_ratio, direction='up')} of its "
        f"limit of {limit_text(row.limit_n, units)} as {row.position.lower() or 'rigged'}: {row.reference}",
        gear_loaded=True,
        load_n=row.peak_n,
    )
