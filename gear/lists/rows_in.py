"""The rows of a checked list on their way into the register: all of them in one transaction, or none."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import IntegrityError, transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.models import Company, Membership, Person, Role
from crewlog.people.rights import require_role
from gear.events.retire import retire_item
from gear.fitness.entries import moment_of
from gear.lists.checking import Report, check_list, in_batches, items_by_tag
from gear.lists.faults import Fault
from gear.lists.reading import Plan
from gear.lists.references import depths
from gear.lists.source import Source
from gear.lists.spool import Kept, Spool
from gear.models import GearItem
from gear.register.bulk import add_items, new_item


class ListRefused(RuleBroken):
    """A list that is not brought in as it stands; the report names every fault or doubt."""

    def __init__(self, message: str, *, code: str, report: Report) -> None:
        super().__init__(message, code=code)
        self.report = report


@dataclass(frozen=True, slots=True)
class ListFile:
    """The file a list came in, as its record names it."""

    name: str
    sha256: str


@dataclass(frozen=True, slots=True)
class ImportResult:
    """What an import did: how many rows were registered, were in the store already, were registered as retired."""

    new: int
    same: int
    retired: int


def import_list(
    *, actor: Membership, source: Source, plan: Plan, file: ListFile, doubts_accepted: bool = False
) -> ImportResult:
    """Check a list and register its new rows in one transaction. Raises ListRefused with everything found."""
    require_role(actor, Role.OWNER)
    with Spool() as spool:
        report = check_list(actor.company, source, plan, spool)
        if report.fault_count:
            raise ListRefused(fault_line(report), code="list-has-faults", report=report)
        if report.doubt_count and not doubts_accepted:
            raise ListRefused(doubt_line(report), code="list-has-doubts", report=report)
        try:
            retired = register_rows(actor, spool, report, file)
        except IntegrityError as fault:
            message = "The register changed while the list was read. Check the list again."
            raise ListRefused(message, code="register-changed", report=report) from fault
        except RuleBroken as fault:  # what only shows as the items go in: a set that has no room
            report.add(Fault(0, "", "", "", fault.message))
            raise ListRefused(fault.message, code=fault.code, report=report) from fault
    return ImportResult(new=report.new, same=report.same, retired=retired)


def fault_line(report: Report) -> str:
    things = "1 thing" if report.fault_count == 1 else f"{report.fault_count:,} things"
    return f"{things} to correct in the list; nothing was imported."


def doubt_line(report: Report) -> str:
    rows = "1 row has" if report.doubt_count == 1 else f"{report.doubt_count:,} rows have"
    return f"{rows} the maker and serial number of another item. Confirm that they are other things."


@transaction.atomic
def register_rows(actor: Membership, spool: Spool, report: Report, file: ListFile) -> int:
    """Add the rows of a spool, sets and parents before what names them, then retire those that are; how many."""
    entry = Entry(actor=actor.person)
    if report.new:
        body = {"file": file.name, "sha256": file.sha256, "new": report.new, "already_there": report.same}
        append(actor.company, "gear.list-brought-in", entry, body=body, people=[actor.person])
    depth = spool_depths(spool)
    retired: list[tuple[int, dict[str, Any]]] = []
    for level in range(max(depth.values(), default=0) + 1):
        rows = (kept for kept in spool if depth.get(kept.tag.upper(), 0) == level)
        for batch in in_batches(rows):
            items = add_items(actor=actor, items=items_of(actor.company, batch), entry=entry)
            pairs = zip(items, batch, strict=True)
            retired += [(item.pk, kept.retirement) for item, kept in pairs if kept.retirement.get("retired_on")]
    for key, said in retired:
        retire_as_said(actor, key, said)
    return len(retired)


def spool_depths(spool: Spool) -> dict[str, int]:
    """By tag, after how many others of the list an item is registered; one that waits for none is left out."""
    tags: set[str] = set()
    waits: dict[str, list[str]] = {}
    for kept in spool:
        tags.add(kept.tag.upper())
        named = [tag.upper() for tag in kept.references.values() if tag]
        if named:
            waits[kept.tag.upper()] = named
    return depths({own: [tag for tag in named if tag in tags] for own, named in waits.items()})


def items_of(company: Company, batch: Sequence[Kept]) -> list[GearItem]:
    """Unsaved items of a batch, with the rows they name. Two queries at most."""
    named = {tag.upper() for kept in batch for tag in kept.references.values() if tag}
    others = items_by_tag(company, named) if named else {}
    people = people_of(company, (kept.facts.get("spliced_by") for kept in batch))
    items = []
    for kept in batch:
        facts = dict(kept.facts)
        if facts.get("spliced_by"):
            facts["spliced_by"] = people[facts["spliced_by"]]
        facts |= {name: others[tag.upper()] for name, tag in kept.references.items() if tag}
        items.append(new_item(company, **facts))
    return items


def people_of(company: Company, keys: Iterable[str | None]) -> dict[str, Person]:
    wanted = {key for key in keys if key}
    return {str(p.pk): p for p in Person.objects.for_company(company).filter(pk__in=wanted)} if wanted else {}


def retire_as_said(actor: Membership, key: int, said: dict[str, Any]) -> None:
    """Retire an item that the list calls retired, as entered from paper on the day of the import."""
    on = said["retired_on"]
    entry = Entry(actor=actor.person, happened_at=moment_of(actor.company, on), from_paper=True)
    item = GearItem.objects.for_company(actor.company).select_related("company").get(pk=key)
    because, disposal = said["retired_because"], said["disposal"]
    retire_item(actor=actor, item=item, because=because, disposal=disposal, on=on, entry=entry)
