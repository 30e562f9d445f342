"""Keeping an item's state columns in step with its evidence."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields
from typing import Any

from django.db.models import Sum

from crewlog.models import Company
from gear.catalogue.classes import BY_CODE
from gear.fitness.dates import StatusDates, status_dates_of
from gear.fitness.defects import defects_in
from gear.fitness.facts import item_facts
from gear.fitness.history import Ended, Examined, Found, Happened, LifeFacts, State, state_of
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.use_limits import UseLimits
from gear.models import EnteredByMistake, FailureFound, GearEvent, GearItem, Inspection, LoadRecord, Retirement

CHUNK = 500
NO_LIMITS = UseLimits()
STATUS_DATES = tuple(field.name for field in fields(StatusDates))


@dataclass(slots=True)
class Evidence:
    """What stands recorded about one item."""

    examined: list[Examined] = field(default_factory=list)
    happened: list[Happened] = field(default_factory=list)
    found: list[Found] = field(default_factory=list)
    ended: Ended | None = None
    uses_on_sheets: int = 0


def refresh_state(item: GearItem) -> GearItem:
    """Rebuild one item's state from its evidence and save it. Queries."""
    refresh_items(item.company, [item])
    return item


def refresh_items(company: Company, items: Sequence[GearItem]) -> None:
    """Rebuild the state of items of one company, read in chunks of 500. The items must be as the database has them."""
    book, limits = InspectionRules.of(company), UseLimits.of(company)
    for start in range(0, len(items), CHUNK):
        chunk = items[start : start + CHUNK]
        evidence = load_evidence(chunk)
        write_states({item: state_for(item, evidence[item.pk], book, limits) for item in chunk})
        write_status_dates(chunk)


def write_states(states: Mapping[GearItem, State]) -> None:
    """Save what has changed: one item by a plain update, many that changed in the same columns together."""
    changed = defaultdict(list)
    for item, state in states.items():
        names = differs(item, state)
        for name in names:
            setattr(item, name, getattr(state, name))
        if names:
            changed[tuple(names)].append(item)
    for columns, items in changed.items():
        if len(items) == 1:
            GearItem.objects.filter(pk=items[0].pk).update(**{name: getattr(items[0], name) for name in columns})
        else:
            GearItem.objects.bulk_update(items, columns, batch_size=100)


def write_status_dates(items: Iterable[GearItem]) -> int:
    """Save when items, and the tackle sets they are parts of, turn for the worse; how many had other days.

    Two queries, and one to write.
    """
    given = list(items)
    sets = {item.assembly_id for item in given if item.assembly_id is not None} - {item.pk for item in given}
    judged = [*given, *(GearItem.objects.filter(pk__in=sets) if sets else ())]
    parts = defaultdict(list)
    whole = [item.pk for item in judged if item.is_assembly]
    for part in GearItem.objects.filter(assembly__in=whole) if whole else ():
        parts[part.assembly_id].append(part)
    turned = []
    for item in judged:
        dates = asdict(status_dates_of(item_facts(item, parts[item.pk])))
        if any(getattr(item, name) != day for name, day in dates.items()):
            vars(item).update(dates)
            turned.append(item)
    if len(turned) == 1:
        kept = {name: getattr(turned[0], name) for name in STATUS_DATES}
        GearItem.objects.filter(pk=turned[0].pk).update(**kept)
    elif turned:
        GearItem.objects.bulk_update(turned, STATUS_DATES, batch_size=200)
    return len(turned)


def state_for(item: GearItem, evidence: Evidence, book: InspectionRules, limits: UseLimits) -> State:
    """The state an item's evidence gives."""
    return state_of(
        examined=evidence.examined,
        happened=evidence.happened,
        found=evidence.found,
        ended=evidence.ended,
        uses_on_sheets=evidence.uses_on_sheets,
        life=life_facts(item, book, limits),
    )


def life_facts(item: GearItem, book: InspectionRules, limits: UseLimits = NO_LIMITS) -> LifeFacts:
    """The life, intervals and limits in force: of the life the maker's own where given, else the class's.

    Due dates do not turn on limits of use; whoever asks for those alone may leave the limits out.
    """
    rule = BY_CODE[item.gear_class].life
    by_maker = item.life_from_maker
    allowed = limits.limits(item.gear_class)
    return LifeFacts(
        manufactured_on=item.manufactured_on,
        first_used_on=item.first_used_on,
        is_unused=item.is_unused,
        years_from_manufacture=item.life_years_from_manufacture if by_maker else rule.years_from_manufacture,
        years_from_first_use=item.life_years_from_first_use if by_maker else rule.years_from_first_use,
        maker_interval_months=item.maker_interval_months,
        scheme=book.intervals(gear_class=item.gear_class, uses=item.uses),
        uses_end_at=allowed.uses_end_at(item.permitted_uses),
        overload_share_ratio=allowed.peak_share_ratio,
    )


def load_evidence(items: Iterable[GearItem]) -> dict[int, Evidence]:
    """All standing evidence of some items, in five queries."""
    keys = [item.pk for item in items]
    found: dict[int, Evidence] = defaultdict(Evidence)
    inspections = Inspection.objects.filter(item__in=keys).select_related("record")
    for row, sequence in standing(inspections):
        found[row.item_id].examined.append(
            Examined(
                sequence=sequence,
                on=row.examined_on,
                kind=row.kind,
                verdict=row.verdict,
                marking_legible=row.marking_legible,
                findings=row.findings,
                remark_due_on=row.remark_due_on,
                next_due_on=row.next_due_on,
                next_due_basis=row.next_due_basis,
                declaration_dated_on=row.declaration_dated_on,
                residual_strength_ratio=row.residual_strength_ratio,
                defects=defects_in(
                    answers=row.answers, measures=row.measures, verdict=row.verdict, findings=row.findings
                ),
            )
        )
    for row in GearEvent.objects.filter(item__in=keys).select_related("record"):
        found[row.item_id].happened.append(
            Happened(row.record.sequence, row.happened_on, row.kind, row.description, row.recall_id, row.uses or 0)
        )
    for row, sequence in standing(FailureFound.objects.filter(item__in=keys).select_related("record", "mistaken")):
        if not hasattr(row, "mistaken"):
            found[row.item_id].found.append(
                Found(sequence, row.found_on, row.reason, "" if row.sort == "verdict" else row.point)
            )
    for row in Retirement.objects.filter(item__in=keys):
        found[row.item_id].ended = Ended(row.retired_on, row.reason)
    for mistake in EnteredByMistake.objects.filter(item__in=keys):
        found[mistake.item_id].ended = Ended(mistake.ended_on, mistake.reason, is_mistake=True)
    counted = LoadRecord.objects.filter(item__in=keys).standing().order_by().values_list("item")
    for key, uses in counted.annotate(total=Sum("uses")):
        found[key].uses_on_sheets = uses
    return found


def standing(rows: Iterable[Any]) -> list[tuple[Any, int]]:
    """Rows that no later one corrects, each with the place in the chain of the first it goes back to."""
    by_record: dict[int, Any] = {row.record_id: row for row in rows}
    corrected = {row.record.corrects_id for row in by_record.values()}
    result = []
    for key, row in by_record.items():
        if key in corrected:
            continue
        first = row
        while first.record.corrects_id in by_record:
            first = by_record[first.record.corrects_id]
        result.append((row, first.record.sequence))
    return result


def differs(item: GearItem, state: State) -> list[str]:
    """State columns of an item that are not what its evidence gives."""
    return [name for name, value in asdict(state).items() if getattr(item, name) != value]
