"""What a report says, as plain frozen data in the reader's units."""

from __future__ import annotations

from dataclasses import dataclass

from crewlog.pdf.content import Fact, Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class PointLine:
    """One answered point of the checklist."""

    words: str
    answer: str
    saw: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureLine:
    """One measure with the limit that held on the day."""

    label: str
    value: str
    limit: str
    verdict: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeLine:
    """One change of a fact on record: what, old and new, why, and whether it counts."""

    what: str
    old: str
    new: str
    why: str
    counts: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemReport:
    """One examination: its particulars by paragraph, then what they rest on."""

    tag: str
    description: str
    outcome: str
    mark: Mark
    next_due: str
    particulars: dict[str, str]
    notified: tuple[Fact, ...] = ()
    checklist: str = ""  # its version
    points: tuple[PointLine, ...] = ()
    measures: tuple[MeasureLine, ...] = ()
    files: tuple[str, ...] = ()
    changes: tuple[ChangeLine, ...] = ()  # of facts on record, since the thorough examination before
    record: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportContent:
    """Everything on one report."""

    company: str
    number: str
    issued: str
    particulars: dict[str, str]
    items: tuple[ItemReport, ...]
    signed: str
    signer: str
    authenticator: str
    facts_sha256: str
    chain_head: str
    address: str
