#!/usr/bin/env python3
"""Check an exported chain of Crewlog's records. One file, Python 3.9 or later, nothing else needed.

    python verify_chain.py FILE [--since HEAD] [--all]

FILE comes from `manage.py export_chain`, or from the records page. HEAD is a head that you kept: from a printed sheet or
report, or from a mail. It must still stand in the chain. The format is described in FORMAT.md.

Exit 0: the chain is whole. 1: the file cannot be read as a chain. 2: a fault was found.
This program shares no code with Crewlog: it computes every hash from the description alone.
"""

import argparse
import datetime
import hashlib
import json
import sys

FORMAT, VERSION = "crewlog-chain", 1
FIRST = "0" * 64
HASHED = (
    "company", "sequence", "kind", "happened_at", "entered_at", "device_time", "device_offset_min", "entered_by",
    "on_behalf_of", "from_paper", "corrects", "names", "body", "previous_hash",
)  # fmt: skip
AHEAD = datetime.timedelta(minutes=5)


class Unreadable(Exception):  # noqa: N818
    """The file is no exported chain, or not a whole one."""


def record_hash(record):
    """sha256 of the canonical JSON of what a record says."""
    said = {name: record[name] for name in HASHED}
    text = json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def moment(text):
    value = datetime.datetime.fromisoformat(text)
    if value.tzinfo is None:
        raise ValueError(f"{text} names no time zone")
    return value


class Chain:
    """What was read so far. Memory grows with people and with kinds, and by one hash for each record."""

    def __init__(self, company):
        self.company = company
        self.count = 0
        self.head = FIRST
        self.entered_at = None
        self.places = {FIRST: 0}  # of every head so far
        self.digests = {}  # of each person's name: the latest, and all
        self.kinds = {}

    def add(self, record):
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

    def time_faults(self, record, place):
        entered_at = moment(record["entered_at"])
        if self.entered_at is not None and entered_at < self.entered_at:
            yield f"{place} says that it was entered before the one it follows"
        if moment(record["happened_at"]) > entered_at + AHEAD:
            yield f"{place} was entered before it happened"
        self.entered_at = entered_at

    def body_faults(self, record, place):
        """A head that the body keeps must stand earlier in the chain; the digests of names are noted."""
        body = json.loads(record["body"])
        head = body.get("chain_head") if isinstance(body, dict) else None
        if head is not None and head not in self.places:
            yield f"{place}: the head {head[:12]} stored with it does not stand in the chain before it"
        for person, digest in json.loads(record["names"]):
            self.digests.setdefault(person, []).append(digest)

    def name_faults(self, name):
        """A name must be the one that the latest record of the person was entered with."""
        digest = hashlib.sha256("{salt}:{name}".format(**name).encode("utf-8")).hexdigest()
        known = self.digests.get(name["person"], [])
        if known and known[-1] != digest:
            yield f"the name of person {name['person']} is not the one that the records were entered with"


def read_line(number, text):
    try:
        said = json.loads(text)
        ((what, content),) = said.items()
    except (AttributeError, ValueError) as fault:
        raise Unreadable(f"line {number} is no line of an exported chain") from fault
    return what, content


def check(lines, since=None):
    """Read an export; yields (sentence, None) for each fault and at last (None, the chain)."""
    chain, ended = None, False
    for number, text in enumerate(lines, start=1):
        what, content = read_line(number, text)
        try:
            if chain is None:
                if what != "chain" or content["format"] != FORMAT:
                    raise Unreadable("the first line does not say that this is an exported chain")
                if content["version"] != VERSION:
                    raise Unreadable(f"the format is version {content['version']}; this program reads {VERSION}")
                chain = Chain(content["company"]["id"])
            elif ended:
                raise Unreadable(f"line {number} stands after the end of the chain")
            elif what == "record":
                for fault in chain.add(content):
                    yield fault, None
            elif what == "name":
                for fault in chain.name_faults(content):
                    yield fault, None
            elif what == "end":
                ended = True
                if (content["records"], content["head"]) != (chain.count, chain.head):
                    yield f"the file ends with {content['records']} records, but holds {chain.count}", None
            else:
                raise Unreadable(f"line {number} is of a sort that this program does not know")
        except (KeyError, TypeError, ValueError) as fault:
            raise Unreadable(f"line {number} lacks something or holds what it should not: {fault}") from fault
    if chain is None or not ended:
        raise Unreadable("the file ends before the chain does: the last line is missing")
    if since is not None and since not in chain.places:
        yield f"the head {since} that was kept is not in the chain: records were removed or rewritten", None
    yield None, chain


def main(arguments=None):
    parser = argparse.ArgumentParser(description="Check an exported chain of records.")
    parser.add_argument("file", metavar="FILE")
    parser.add_argument("--since", metavar="HEAD", help="a head that you kept; it must still stand in the chain")
    parser.add_argument("--all", action="store_true", help="print every fault, not only the first")
    parser.error = lambda message: (_ for _ in ()).throw(Unreadable(message))
    try:
        given = parser.parse_args(arguments)
        faults, chain = [], None
        with open(given.file, encoding="utf-8", newline="\n") as lines:
            for fault, whole in check(lines, given.since):
                chain = whole or chain
                if fault:
                    faults.append(fault)
                if faults and not given.all:
                    break
    except (OSError, UnicodeDecodeError, Unreadable) as fault:
        print(f"Cannot be checked: {fault}", file=sys.stderr)
        return 1
    for fault in faults:
        print(f"FAULT: {fault}")
    if faults:
        return 2
    print(f"Whole: {chain.count} records, head {chain.head}")
    for kind in sorted(chain.kinds):
        print(f"{chain.kinds[kind]:8} {kind}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
