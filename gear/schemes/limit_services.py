"""Setting how many uses, and how much of its limit, a company allows a class of gear."""

from django.db import transaction

from crewlog.evidence import Entry, append
from crewlog.models import Company, Membership, Role
from crewlog.people.rights import require_role
from gear.fitness.apply_evidence import apply_evidence_to_all
from gear.fitness.use_limits import strictest
from gear.models import ClassLimit, GearItem


@transaction.atomic
def set_class_limit(
    *, actor: Membership, gear_class: str, most_uses: int | None, peak_share_ratio: float | None
) -> ClassLimit:
    """Set a class's limits for the actor's company; None takes one back to the default.

    Items that are used up by the new limit are unfit at once, and sheets that list them are withdrawn. Peaks recorded
    before are not judged again. Raises RuleBroken, and ValidationError for what the columns refuse.
    """
    require_role(actor, Role.OWNER)
    company = actor.company
    found = ClassLimit.objects.for_company(company).filter(gear_class=gear_class).first()
    row = found or ClassLimit(company=company, gear_class=gear_class)
    before = [row.most_uses, row.peak_share_ratio]
    row.most_uses, row.peak_share_ratio = most_uses, peak_share_ratio
    row.full_clean()
    row.save()
    entry = Entry(actor=actor.person)
    body = {
        "gear_class": gear_class,
        "most_uses": [before[0], most_uses],
        "peak_share_ratio": [before[1], peak_share_ratio],
    }
    append(company, "gear.class-limit-set", entry, body=body, people=[actor.person])
    items = GearItem.objects.for_company(company).in_service().of_class(gear_class)
    apply_evidence_to_all(company, list(items.select_related("company", "assembly").prefetch_related("parts")), entry)
    return row


def used_up_by(*, company: Company, gear_class: str, most_uses: int | None) -> list[GearItem]:
    """Items in service that a limit of uses would put out of use, and that are not used up today. One query."""
    limits = strictest(gear_class, most_uses, None)
    items = GearItem.objects.for_company(company).in_service().of_class(gear_class).order_by("tag")
    return [
        item
        for item in items
        if is_used_up(item.uses_made, limits.uses_end_at(item.permitted_uses))
        and not is_used_up(item.uses_made, item.uses_end_at)
    ]


def is_used_up(uses_made: int, uses_end_at: int | None) -> bool:
    return uses_end_at is not None and uses_made >= uses_end_at
