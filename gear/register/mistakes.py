"""Ending an entry that was made by mistake: wrong class, wrong tag, entered twice. Never for an item that was used."""

import datetime as dt
from collections.abc import Iterator

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row
from crewlog.models import Membership, Role
from crewlog.people.rights import require_role
from gear.errors import AlreadyRetired
from gear.fitness.apply_evidence import apply_evidence
from gear.fitness.dependents import dependents_of
from gear.fitness.entries import lock, must_be_in_service
from gear.fitness.history import shortened
from gear.fitness.reasons import day_words
from gear.fitness.usage_since_pass import suppliers
from gear.models import EnteredByMistake, GearEvent, GearItem, Inspection, LoadRecord, LoadSource

NO_USE = ("recall", "recall_resolved", "taken_out_of_use")  # events that say nothing of an item having been used
BEFORE_USE = ("declaration", "thorough")


@transaction.atomic
def end_mistake(*, actor: Membership, item: GearItem, because: str) -> EnteredByMistake:
    """End an entry that is no item. Its tag stays taken; it counts nowhere, also not among the retired.

    Raises RuleBroken without a reason and for an item that was used, with what it was used for.
    """
    require_role(actor, Role.OWNER)
    lock(actor, item)
    must_be_in_service(item)
    reason = shortened(because)
    if not reason:
        raise RuleBroken("Say what was wrong with the entry.", code="mistake-without-reason", field="because")
    used = next(uses_of(item), "")
    if used:
        raise RuleBroken(
            f"{item.tag} was used: {used}. Retire an item that was used; it cannot be closed as a mistake.",
            code="item-was-used",
        )
    entry, today = Entry(actor=actor.person), item.company.today()
    won = GearItem.objects.in_service().filter(pk=item.pk)
    if not won.update(retired_on=today, retired_because=reason, is_mistake=True):
        raise AlreadyRetired(f"{item.tag} is retired already.")
    row = append_row(
        item.company, entry, EnteredByMistake(item=item, ended_on=today, reason=reason), people=[actor.person]
    )
    apply_evidence(item, entry)
    return row


def uses_of(item: GearItem) -> Iterator[str]:
    """What shows that an item was used, in words. Queries."""
    yield from examinations_of(item)
    for load in LoadRecord.objects.filter(item=item).standing().exclude(source=LoadSource.NOT_USED)[:1]:
        yield f"on {day_words(load.day)}, {load.reference}"
    for event in GearEvent.objects.filter(item=item).exclude(kind__in=NO_USE)[:1]:
        yield f"{event.get_kind_display().lower()} on {day_words(event.happened_on)}"
    for piece in item.children.all()[:1]:
        yield f"{piece.tag} was cut from it"
    for part in item.parts.all()[:1]:
        yield f"{part.tag} is a part of it"
    if item.assembly is not None:
        yield f"it is a part of {item.assembly.tag}"
    for supplier in suppliers:
        for work in supplier(item, None, dt.date.max)[:1]:
            yield work.title
    for paper in dependents_of(item.company).get(item.pk, ())[:1]:
        yield paper.title


def examinations_of(item: GearItem) -> Iterator[str]:
    """Inspections beyond the one before first use."""
    found = list(Inspection.objects.filter(item=item).standing().order_by("examined_on", "pk"))
    allowed = found[:1] if found and found[0].kind in BEFORE_USE and found[0].verdict != "retire" else []
    for row in found[len(allowed) :]:
        yield f"{row.get_kind_display().lower()} on {day_words(row.examined_on)}"
