"""The records of the store as a table: one row a record, with its place in the chain and its hash."""

import datetime as dt
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from crewlog.dates import local_day
from crewlog.models import Company, Person, Record
from gear.event_kinds import EVENTS_BY_CODE, INSPECTION_KINDS, VERDICTS
from gear.lists.checking import in_batches
from gear.lists.columns import BY_NAME
from gear.lists.table import Heading, Table, Value
from gear.models import ChangeAnswer, ChangeReason, Disposal, GearItem
from gear.querysets import STATUSES
from gear.store_list import StoreFilter

CHUNK = 500
HEADINGS = (
    Heading("sequence", "Record no."),
    Heading("kind", "Kind of record"),
    Heading("tag", "Tag"),
    Heading("item", "Item"),
    Heading("what", "What"),
    Heading("on", "On"),
    Heading("words", "In words"),
    Heading("verdict", "Verdict"),
    Heading("next_due_on", "Next due on"),
    Heading("remark_due_on", "Remark due on"),
    Heading("load_n", "Load (N)"),
    Heading("by", "By"),
    Heading("by_id", "By (id)"),
    Heading("happened_at", "Happened at (UTC)"),
    Heading("entered_at", "Entered at (UTC)"),
    Heading("entered_late", "Entered late"),
    Heading("from_paper", "From paper"),
    Heading("entered_by", "Entered by"),
    Heading("entered_by_id", "Entered by (id)"),
    Heading("on_behalf_of_id", "On behalf of (id)"),
    Heading("corrects", "Corrects record no."),
    Heading("body", "All that was said (JSON, as hashed)"),
    Heading("previous_hash", "Hash of the one before"),
    Heading("hash", "Hash"),
)


def history_table(*, company: Company, on: dt.date, narrow: StoreFilter) -> Table:
    """Every record about gear in the order of the chain, or those of the items a filter leaves.

    One query for the records, two more for each 500 of them.
    """
    about = {"list": "history", "company": company.name, "on": on}
    return Table("History", HEADINGS, history_rows(company, on, narrow), about)


def history_rows(company: Company, on: dt.date, narrow: StoreFilter) -> Iterator[Sequence[Value]]:
    records = (
        Record.objects.for_company(company)
        .filter(kind__startswith="gear.")
        .select_related("corrects", "entered_by__details")
        .order_by("sequence")
    )
    is_narrowed = narrow != StoreFilter()
    for chunk in in_batches(records.iterator(chunk_size=CHUNK), CHUNK):
        bodies = [json.loads(record.body) for record in chunk]
        items = items_named(company, bodies, on=on, narrow=narrow)
        people = people_named(company, bodies)
        for record, body in zip(chunk, bodies, strict=True):
            item = items.get(item_key(body) or 0)
            if item is not None or not is_narrowed:
                yield record_cells(record, body, item, people, time_zone=company.time_zone)


def item_key(body: Mapping[str, Any]) -> int | None:
    """The key of the item a record is about."""
    key = body.get("item_id", body.get("item"))
    return key if isinstance(key, int) else None


def items_named(
    company: Company, bodies: Iterable[Mapping[str, Any]], *, on: dt.date, narrow: StoreFilter
) -> dict[int, GearItem]:
    """Items that some records are about, as far as the filter leaves them. One query."""
    keys = {key for body in bodies if (key := item_key(body)) is not None}
    rows = narrow.apply(company, on).filter(pk__in=keys)
    if narrow.status in STATUSES:
        rows = rows.with_status(on).filter(status=narrow.status)
    return {item.pk: item for item in rows.only("pk", "tag", "description", "company")}


def people_named(company: Company, bodies: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """Names of the inspectors of some records, as far as they are kept. One query."""
    keys = {body["inspector_id"] for body in bodies if body.get("inspector_id")}
    return {str(p.pk): str(p) for p in Person.objects.for_company(company).filter(pk__in=keys).with_details()}


def record_cells(
    record: Record, body: Mapping[str, Any], item: GearItem | None, people: Mapping[str, str], *, time_zone: str
) -> Sequence[Value]:
    inspector = body.get("inspector_id")
    said = {
        "sequence": record.sequence,
        "kind": record.kind,
        "tag": item.tag if item is not None else body.get("tag"),
        "item": item.description if item is not None else None,
        "happened_at": record.happened_at.astimezone(dt.UTC),
        "entered_at": record.entered_at.astimezone(dt.UTC),
        "entered_late": record.is_late,
        "from_paper": record.from_paper,
        "entered_by": str(record.entered_by) if record.entered_by else None,
        "entered_by_id": str(record.entered_by_id) if record.entered_by_id else None,
        "on_behalf_of_id": str(record.on_behalf_of_id) if record.on_behalf_of_id else None,
        "corrects": record.corrects.sequence if record.corrects else None,
        "by": people.get(str(inspector)) if inspector else None,
        "by_id": str(inspector) if inspector else None,
        "body": record.body,
        "previous_hash": record.previous_hash,
        "hash": record.hash,
        **told(record.kind, body, on=day_said(record, body, time_zone)),
    }
    return [said.get(heading.key) for heading in HEADINGS]


def day_said(record: Record, body: Mapping[str, Any], time_zone: str) -> dt.date:
    """When a failure was found or the employer told; else the day of the record's moment."""
    if "found_on" in body:
        return dt.date.fromisoformat(body["found_on"])
    return local_day(dt.datetime.fromisoformat(body["told_at"]) if "told_at" in body else record.happened_at, time_zone)


def told(kind: str, body: Mapping[str, Any], *, on: dt.date) -> dict[str, Value]:
    """What a record says in the columns that people read; `on` is the day of one that names none itself."""
    if kind == "gear.inspection":
        return {
            "what": dict(INSPECTION_KINDS).get(body["kind"], body["kind"]),
            "on": day_of(body["examined_on"]),
            "words": body["findings"] or None,
            "verdict": dict(VERDICTS).get(body["verdict"], body["verdict"]),
            "next_due_on": day_of(body["next_due_on"]),
            "remark_due_on": day_of(body["remark_due_on"]),
        }
    if kind == "gear.event":
        known = EVENTS_BY_CODE.get(body["kind"])
        what = known.words if known is not None else body["kind"]
        load = body["load_n"]
        return {
            "what": what,
            "on": day_of(body["happened_on"]),
            "words": body["description"],
            "load_n": float(load) if load is not None else None,
        }
    if kind == "gear.retirement":
        disposal = dict(Disposal.choices).get(body["disposal"], body["disposal"])
        return {"what": "Retired", "on": day_of(body["retired_on"]), "words": f"{body['reason']}. {disposal}"}
    if kind == "gear.entered-by-mistake":
        return {"what": "Entered by mistake", "on": day_of(body["ended_on"]), "words": body["reason"]}
    if kind == "gear.recall":
        words = " ".join(part for part in (body["maker"], body["maker_model"], body["source"]) if part)
        return {"what": "Recall", "on": day_of(body["announced_on"]), "words": words}
    what = kind.removeprefix("gear.").replace("-", " ").capitalize()
    if kind in SAID_LATER:
        return {"what": what, "on": on, "words": SAID_LATER[kind](body)}
    return {"what": what, "words": changes_in_words(body.get("changes"))}


def change_said(body: Mapping[str, Any]) -> str:
    reason = dict(ChangeReason.choices).get(body["reason"], body["reason"])
    return f"{changes_in_words(body['changes'])}. {reason}: {body['words']}"


def answer_said(body: Mapping[str, Any]) -> str:
    return in_one(dict(ChangeAnswer.choices).get(body["answer"], body["answer"]), body["words"])


def telling_said(body: Mapping[str, Any]) -> str:
    copy = body["authority_copy"]
    return in_one(body["told_how"], f"copy to the authority {copy}" if copy else "")


def in_one(first: str, then: str) -> str:
    return f"{first}: {then}" if then.strip() else first


# What failures, tellings and changes of facts say in words.
SAID_LATER: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "gear.failure-found": lambda body: in_one(body["words"], body["saw"]),
    "gear.failure-mistaken": lambda body: str(body["because"]),
    "gear.employer-told": telling_said,
    "gear.fact-change": change_said,
    "gear.fact-change-answer": answer_said,
}


def changes_in_words(changes: object) -> str | None:
    """Length now: 45.0 → 42.0; Kept at: Van 1 → Cage."""
    if not isinstance(changes, Mapping):
        return None
    named = {name: BY_NAME[name].heading if name in BY_NAME else name for name in changes}
    return "; ".join(f"{named[name]}: {before} → {after}" for name, (before, after) in changes.items())


def day_of(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None
