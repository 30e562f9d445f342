#!/usr/bin/env python3
"""Check an exported chain of Crewlog's records. One file, Python 3.9 or later, nothing else needed.

    python verify_chain.py FILE [--since HEAD] [--all]

FILE comes from `manage.py export_chain`, or from the records page. HEAD is a head that you kept: from a printed sheet
or report, or from a mail. It must still stand in the chain. The format is described in FORMAT.md.

Exit 0: the chain is whole. 1: the file cannot be read as a chain. 2: a fault was found.
This program shares no code with Crewlog: it computes every hash from the description alone.
"""

from __future__ import annotations

import argparse
import datetime
import hashlib
import json
import sys
from collections.abc import Iterable, Iterator
from typing import Any, NoReturn

FORMAT, VERSION = "crewlog-chain", 1
FIRST = "0" * 64
HASHED = (
    "company", "sequence", "kind", "happened_at", "entered_at", "device_time", "device_offset_min", "entered_by",
    "on_behalf_of", "from_paper", "corrects", "names", "body", "previous_hash",
)  # fmt: skip
AHEAD = datetime.timedelta(minutes=5)


class Unreadable(Exception):  # noqa: N818
    """The file is no exported chain, or not a whole one."""


def record_hash(record: dict[str, Any]) -> str:
    """sha256 of the canonical JSON of what a record says."""
    said = {name: record[name] for name in HASHED}
    text = json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def moment(text: str) -> datetime.datetime:
    value = datetime.datetime.fromisoformat(text)
    if value.tzinfo is None:
        raise ValueError(f"{text} names no time zone")
    return value


class Chain:
    """What was read so far. Memory grows with people and with kinds, and by one hash for each record."""

    def __init__(self, company: int) -> None:
        self.company = company
        self.count = 0
        self.head = FIRST
        self.entered_at: datetime.datetime | None = None
        self.places = {FIRST: 0}  # of every head so far
        self.digests: dict[str, list[str | None]] = {}  # of each person's name: the latest, and all
        self.kinds: dict[str, int] = {}

    def add(self, record: dict[str, Any]) -> Iterator[str]:
        """Every fault of the next record, each as a sentence."""
        place = "record {sequence} ({kind})".format(**record)
        if record["company"] != self.company:
            yield f"{place} is of company {record['company']}, not {self.company}"
        if record["sequence"] != self.count + 1:
            yield f"record {self.count + 1} is missing: record {record['sequence']} stands in its place"
        if record["previous_hash"] != self.head:
            yield f"{place} does not follow from the one before it"
        if record["hash"] != record_hash(record):
            yield f"{place} was changed after it was entered"
        yield from self.time_faults(record, place)
        yield from self.body_faults(record, place)
        self.count, self.head = record["sequence"], record["hash"]
        self.places[record["hash"]] = record["sequence"]
        self.kinds[record["kind"]] = self.kinds.get(record["kind"], 0) + 1

    def time_faults(self, record: dict[str, Any], place: str) -> Iterator[str]:
        entered_at = moment(record["entered_at"])
        if self.entered_at is not None and entered_at < self.entered_at:
            yield f"{place} says that it was entered before the one it follows"
        if moment(record["happened_at"]) > entered_at + AHEAD:
            yield f"{place} was entered before it happened"
        self.entered_at = entered_at

    def body_faults(self, record: dict[str, Any], place: str) -> Iterator[str]:
        """A head that the body keeps must stand earlier in the chain; the digests of names are noted."""
        body = json.loads(record["body"])
        head = body.get("chain_head") if isinstance(body, dict) else None
        if head is not None and head not in self.places:
            yield f"{place}: the head {head[:12]} stored with it does not stand in the chain before it"
        for person, digest in json.loads(record["names"]):
            self.digests.setdefault(person, []).append(digest)

    def name_faults(self, name: dict[str, str]) -> Iterator[str]:
        """A name must be the one that the latest record of the person was entered with."""
        digest = hashlib.sha256("{salt}:{name}".format(**name).encode("utf-8")).hexdigest()
        known = self.digests.get(name["person"], [])
        if known and known[-1] != digest:
            yield f"the name of person {name['person']} is not the one that the records were entered with"


def read_line(number: int, text: str) -> tuple[str, dict[str, Any]]:
    try:
        said = json.loads(text)
        ((what, content),) = said.items()
    except (AttributeError, ValueError) as fault:
        raise Unreadable(f"line {number} is no line of an exported chain") from fault
    return what, content


class Check:
    """One reading of a file: `faults` finds them, and `chain` is what was read."""

    def __init__(self) -> None:
        self.chain = Chain(0)
        self.begun = self.ended = False

    def faults(self, lines: Iterable[str], since: str | None = None) -> Iterator[str]:
        """Every fault as a sentence. Raises Unreadable for what is no whole export."""
        for number, text in enumerate(lines, start=1):
            what, content = read_line(number, text)
            try:
                yield from self.one_line(number, what, content)
            except (KeyError, TypeError, ValueError) as fault:
                raise Unreadable(f"line {number} lacks something or holds what it should not: {fault}") from fault
        if not self.ended:
            raise Unreadable("the file ends before the chain does: the last line is missing")
        if since is not None and since not in self.chain.places:
            yield f"the head {since} that was kept is not in the chain: records were removed or rewritten"

    def one_line(self, number: int, what: str, content: dict[str, Any]) -> Iterator[str]:
        if not self.begun:
            self.begin(what, content)
        elif self.ended:
            raise Unreadable(f"line {number} stands after the end of the chain")
        elif what == "record":
            yield from self.chain.add(content)
        elif what == "name":
            yield from self.chain.name_faults(content)
        elif what == "end":
            self.ended = True
            if (content["records"], content["head"]) != (self.chain.count, self.chain.head):
                yield f"the file ends with {content['records']} records, but holds {self.chain.count}"
        else:
            raise Unreadable(f"line {number} is of a sort that this program does not know")

    def begin(self, what: str, content: dict[str, Any]) -> None:
        if what != "chain" or content["format"] != FORMAT:
            raise Unreadable("the first line does not say that this is an exported chain")
        if content["version"] != VERSION:
            raise Unreadable(f"the format is version {content['version']}; this program reads {VERSION}")
        self.begun, self.chain = True, Chain(content["company"]["id"])


class Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise Unreadable(message)


def main(arguments: list[str] | None = None) -> int:
    parser = Parser(description="Check an exported chain of records.")
    parser.add_argument("file", metavar="FILE")
    parser.add_argument("--since", metavar="HEAD", help="a head that you kept; it must still stand in the chain")
    parser.add_argument("--all", action="store_true", help="print every fault, not only the first")
    check, found = Check(), 0
    try:
        given = parser.parse_args(arguments)
        with open(given.file, encoding="utf-8", newline="\n") as lines:
            for fault in check.faults(lines, given.since):
                found += 1
                print(f"FAULT: {fault}")
                if not given.all:
                    break
    except (OSError, UnicodeDecodeError, Unreadable) as problem:
        print(f"Cannot be checked: {problem}", file=sys.stderr)
        return 2 if found else 1
    if found:
        return 2
    print(f"Whole: {check.chain.count} records, head {check.chain.head}")
    for kind in sorted(check.chain.kinds):
        print(f"{check.chain.kinds[kind]:8} {kind}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
