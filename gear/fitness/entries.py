"""How a fact of the store gets onto the chain: when it happened, and the item it is about held meanwhile."""

import datetime as dt
import zoneinfo

from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry
from crewlog.models import Company, Membership, Person, Role
from crewlog.people.rights import must_be_ours
from gear.errors import AlreadyRetired
from gear.models import GearItem

ALTERERS = (Role.OWNER, Role.INSPECTOR, Role.CREW_LEAD)


def moment_of(company: Company, on: dt.date) -> dt.datetime | None:
    """Noon of a past day in the company's zone; None for today, which means now. Raises RuleBroken for a day ahead."""
    today = company.today()
    if on > today:
        raise RuleBroken("This day is in the future. Give the day it happened.", code="happened-in-future")
    if on == today:
        return None
    noon = dt.datetime.combine(on, dt.time(12), zoneinfo.ZoneInfo(company.time_zone))
    return min(noon, timezone.now())


def entry_for(
    actor: Membership,
    on: dt.date,
    *,
    from_paper: bool = False,
    on_behalf_of: Person | None = None,
    entry: Entry | None = None,
) -> Entry:
    """The entry of a fact of a day; one that the caller brings (device time, paper) is taken as it is."""
    happened_at = moment_of(actor.company, on)
    if entry is not None:
        return entry
    return Entry(actor=actor.person, happened_at=happened_at, from_paper=from_paper, on_behalf_of=on_behalf_of)


def lock(actor: Membership, item: GearItem) -> GearItem:
    """Take the item's row for this transaction and read it afresh. Raises RuleBroken for another company's item."""
    must_be_ours(actor, item.company_id, "item")
    GearItem.objects.select_for_update().get(pk=item.pk)
    item.refresh_from_db()
    return item


def must_be_in_service(item: GearItem) -> None:
    if item.retired_on is not None:
        how = "was entered by mistake" if item.is_mistake else "is retired"
        raise AlreadyRetired(f"{item.tag} {how}. This cannot be undone; use another tag.")
