"""Makers' recalls: what they catch, now and later, and settling them item by item."""

import datetime as dt

from django.db import transaction
from django.db.models import QuerySet

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row
from crewlog.models import Company, Membership, Role
from crewlog.people.rights import require_role
from gear.catalogue.classes import BY_CODE
from gear.fitness.apply_evidence import apply_evidence, apply_evidence_to_all
from gear.fitness.entries import entry_for, lock
from gear.fitness.rules import RecallNotice, recall_may_cover
from gear.models import GearEvent, GearItem, Recall


@transaction.atomic
def record_recall(
    *,
    actor: Membership,
    maker: str,
    announced_on: dt.date,
    source: str,
    maker_model: str = "",
    gear_classes: tuple[str, ...] = (),
    batches: tuple[str, ...] = (),
    serial_from: str = "",
    serial_to: str = "",
    description: str = "",
    entry: Entry | None = None,
) -> Recall:
    """Record a recall and mark every item it may cover; an unknown batch is a match until resolved.

    `gear_classes` are those it concerns; none named: every class.
    """
    require_role(actor, Role.OWNER, Role.INSPECTOR, Role.CREW_LEAD)
    unknown = set(gear_classes) - set(BY_CODE)
    if unknown:
        raise RuleBroken("Choose classes of gear.", code="class-unknown", field="gear_classes")
    entry = entry_for(actor, announced_on, entry=entry)
    recall = Recall(
        maker=maker.strip(),
        maker_model=maker_model.strip(),
        gear_classes=sorted(gear_classes),
        batches=[batch.strip() for batch in batches if batch.strip()],
        serial_from=serial_from.strip(),
        serial_to=serial_to.strip(),
        announced_on=announced_on,
        source=source,
        description=description,
    )
    append_row(actor.company, entry, recall, people=[actor.person])
    items = matches(actor.company, notice_of(recall))
    for item in items:
        mark_recalled(item, recall, entry)
    apply_evidence_to_all(actor.company, items, entry)
    return recall


@transaction.atomic
def resolve_recall(*, actor: Membership, item: GearItem, recall: Recall, because: str) -> GearEvent:
    """Settle a recall for one item that turned out not to be covered, or was mended by the maker."""
    require_role(actor, Role.OWNER, Role.INSPECTOR)
    lock(actor, item)
    if recall.record.company_id != item.company_id or not open_recalls(item).filter(pk=recall.pk).exists():
        raise RuleBroken(f"No such recall is open for {item.tag}.", code="recall-not-open")
    on = item.company.today()
    entry = entry_for(actor, on)
    row = GearEvent(item=item, kind="recall_resolved", happened_on=on, description=because, recall=recall)
    append_row(item.company, entry, row, people=[actor.person])
    apply_evidence(item, entry)
    return row


def open_recalls(item: GearItem) -> "QuerySet[Recall]":
    """Recalls that stand open for an item. Queries."""
    last: dict[int, str] = {}
    rows = GearEvent.objects.filter(item=item, recall__isnull=False).order_by("record__sequence")
    for recall, kind in rows.values_list("recall_id", "kind"):
        last[recall] = kind
    return Recall.objects.filter(pk__in=[recall for recall, kind in last.items() if kind == "recall"])


def catch_recalls(item: GearItem, entry: Entry) -> None:
    """Mark an item with every recall on record that may cover it and has not been held against it yet."""
    catch_recalls_of(item, item, entry)


def catch_recalls_of(described: GearItem, item: GearItem, entry: Entry) -> None:
    """The same for an item as it is described otherwise than on record."""
    held = set(GearEvent.objects.filter(item=item, kind="recall").values_list("recall_id", flat=True))
    caught = [
        recall
        for recall in Recall.objects.for_company(item.company)
        if recall.pk not in held and covers(recall, described)
    ]
    for recall in caught:
        mark_recalled(item, recall, entry)
    if caught:
        apply_evidence(item, entry)


def matches(company: Company, notice: RecallNotice) -> list[GearItem]:
    """Items in service that a recall may cover, by tag: those it marks when it is recorded. One query."""
    rows = GearItem.objects.for_company(company).in_service().select_related("company", "assembly")
    return [item for item in rows.order_by("tag", "pk") if may_cover(notice, item)]


def notice_of(recall: Recall) -> RecallNotice:
    return RecallNotice(
        maker=recall.maker,
        maker_model=recall.maker_model,
        batches=tuple(recall.batches),
        serial_from=recall.serial_from,
        serial_to=recall.serial_to,
        gear_classes=tuple(recall.gear_classes),
    )


def may_cover(notice: RecallNotice, item: GearItem) -> bool:
    return recall_may_cover(
        notice,
        maker=item.maker,
        maker_model=item.maker_model,
        batch=item.batch,
        serial=item.serial,
        gear_class=item.gear_class,
    )


def covers(recall: Recall, item: GearItem) -> bool:
    return may_cover(notice_of(recall), item)


def mark_recalled(item: GearItem, recall: Recall, entry: Entry) -> None:
    row = GearEvent(
        item=item,
        kind="recall",
        happened_on=item.company.today(),
        description=f"{recall}: {recall.source}",
        recall=recall,
    )
    append_row(item.company, entry, row)
