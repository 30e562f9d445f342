"""Retiring an item. There is no service that brings one back."""

import datetime as dt

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row
from crewlog.models import Membership, Role
from crewlog.people.rights import require_role
from gear.errors import AlreadyRetired
from gear.fitness.apply_evidence import apply_evidence
from gear.fitness.entries import entry_for, lock
from gear.fitness.history import shortened
from gear.models import GearItem, Retirement


@transaction.atomic
def retire_item(
    *,
    actor: Membership,
    item: GearItem,
    because: str,
    disposal: str,
    on: dt.date | None = None,
    entry: Entry | None = None,
) -> Retirement:
    """Retire an item for good. Raises AlreadyRetired when someone else did, RuleBroken without a reason."""
    require_role(actor, Role.OWNER)
    lock(actor, item)
    day = on or item.company.today()
    entry = entry_for(actor, day, entry=entry)
    row = write_retirement(item, entry=entry, on=day, because=because, disposal=disposal)
    apply_evidence(item, entry)
    return row


def write_retirement(item: GearItem, *, entry: Entry, on: dt.date, because: str, disposal: str) -> Retirement:
    """One compare-and-set, so that two people cannot both retire it, and the record. The caller settles the state."""
    reason = shortened(because)
    if not reason:
        raise RuleBroken("Say why it is retired.", code="retirement-without-reason", field="because")
    won = GearItem.objects.in_service().filter(pk=item.pk).update(retired_on=on, retired_because=reason)
    if not won:
        raise AlreadyRetired(f"{item.tag} is retired already.")
    row = Retirement(item=item, retired_on=on, reason=reason, disposal=disposal)
    return append_row(item.company, entry, row)
