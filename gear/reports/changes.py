"""Changes of facts that a report of an examination names: those entered since the one before it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from gear.fact_changes.words import swaps_of
from gear.models import ChangeAnswer, FactChange, Inspection
from gear.reports.choice import REPORTED_KINDS
from gear.reports.content import ChangeLine


def changes_since(inspections: Sequence[Inspection], units: str) -> dict[int, tuple[ChangeLine, ...]]:
    """Changes by the key of the examination that follows them. Two queries, and one for each person they name."""
    rows = defaultdict(list)
    items = [each.item_id for each in inspections]
    for change in FactChange.objects.filter(item__in=items).select_related("record", "answer__record").order_by("pk"):
        rows[change.item_id].append(change)
    signed = defaultdict(list)
    examined = Inspection.objects.standing().filter(item__in=items, kind__in=REPORTED_KINDS)
    for item, sequence in examined.values_list("item_id", "record__sequence"):
        signed[item].append(sequence)
    return {
        each.pk: tuple(
            line
            for change in rows[each.item_id]
            if is_between(change, last_before(each, signed[each.item_id]), each)
            for line in lines_of(change, each, units)
        )
        for each in inspections
    }


def last_before(inspection: Inspection, signed: Sequence[int]) -> int:
    """Where in the chain the examination before was signed; nought for none."""
    return max((sequence for sequence in signed if sequence < inspection.record.sequence), default=0)


def is_between(change: FactChange, before: int, inspection: Inspection) -> bool:
    """Whether a change was entered or answered after the examination before, and no later than with this one."""
    answer = getattr(change, "answer", None)
    if answer is not None and answer.inspection_id == inspection.pk:
        return True
    said = [change.record.sequence, *([answer.record.sequence] if answer is not None else [])]
    return any(before < sequence <= inspection.record.sequence for sequence in said)


def lines_of(change: FactChange, inspection: Inspection, units: str) -> Iterator[ChangeLine]:
    for swap in swaps_of(change.changes, units):
        yield ChangeLine(
            what=swap.label,
            old=swap.old,
            new=swap.new,
            why=f"{change.get_reason_display()}: {change.words}",
            counts=counts_words(change, inspection),
        )


def counts_words(change: FactChange, inspection: Inspection) -> str:
    """Whether the new one counted when the examination was signed."""
    if not change.waits:
        return f"counts, record {change.record.sequence}"
    answer = getattr(change, "answer", None)
    if answer is None or (
        answer.record.sequence > inspection.record.sequence and answer.inspection_id != inspection.pk
    ):
        return f"waits, record {change.record.sequence}"
    if answer.answer == ChangeAnswer.AGREES:
        return f"counts, read on it, record {answer.record.sequence}"
    return f"does not count, record {answer.record.sequence}"
