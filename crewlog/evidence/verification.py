"""Verifying a chain: its guards, its links, the rows and files that stand on it, and the state that repeats it."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import chain, islice

from django.db import connection

from crewlog.evidence.guards import guard_faults, missing_tables
from crewlog.evidence.guards.trial import trial_faults
from crewlog.evidence.heads import printed_head_faults, stored_head_faults
from crewlog.evidence.links import Reading, link_faults
from crewlog.evidence.losses import kept_marks, mark_faults, restores_of
from crewlog.evidence.marks import Mark, marks_file
from crewlog.evidence.named_files import file_faults, paper_faults
from crewlog.evidence.names import name_faults
from crewlog.evidence.rows import row_faults
from crewlog.hooks import STATE_CHECKS, StateCheck
from crewlog.models import Company


@dataclass(frozen=True, slots=True)
class Verdict:
    """What recomputing one chain found; `notes` say what is no fault and still has to be known."""

    company: Company
    count: int
    head: str
    faults: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def fault(self) -> str:
        """The first fault; empty when there is none."""
        return self.faults[0] if self.faults else ""

    @property
    def holds(self) -> bool:
        return not self.faults


def verify(
    company: Company,
    *,
    since: str | None = None,
    files: bool = False,
    trial: bool = False,
    every: bool = False,
    marks: bool = True,
) -> Verdict:
    """Recompute a chain and compare what repeats it; report the first fault, or with `every` all of them.

    `since` is a head that a third party kept: it must still stand in the chain. `files` reads every kept photograph and
    document, and the heads that PDFs print. `trial` tries the guards out on real rows and undoes it: it writes for a
    moment, so it is left to commands. `marks` compares the end with the marks outside the database: a back-up is older
    than they are and is proved without. Memory does not grow with rows. One moment of the database is looked at, so
    that what is entered meanwhile is no fault.
    """
    reading = Reading()
    tried = list(trial_faults()) if trial else []  # before the view below: it needs a transaction of its own
    kept = kept_marks(company) if marks else ()
    with one_moment():
        found = chain(tried, all_faults(company, reading, marks=kept, since=since, files=files))
        faults = tuple(islice(found, None if every else 1))
        notes = tuple(str(restore) for restore in restores_of(company))
    if marks and reading.count and not marks_file(company.pk).exists():
        notes += ("no mark of it is kept outside the database yet: a removed end would not be noticed",)
    return Verdict(company, reading.count, reading.head, faults, notes)


def all_faults(
    company: Company, reading: Reading, *, marks: Iterable[Mark], since: str | None, files: bool
) -> Iterator[str]:
    """Every fault of one chain, each in a sentence, in the order in which it is looked at."""
    gone = missing_tables(connection)
    yield from (sentence for _, sentence in guard_faults(connection))
    if gone:
        return  # what stands in them cannot be compared with anything
    yield from link_faults(company, reading, since=since)
    yield from row_faults(company)
    yield from mark_faults(company, marks)
    yield from paper_faults(company)
    yield from stored_head_faults(company)
    yield from name_faults(company, reading.digests)
    for check in STATE_CHECKS:
        yield from carried_through(check, company)
    if files:
        yield from file_faults(company)
        yield from printed_head_faults(company)
    if not reading.since_stands:
        yield f"the head {since} that was kept is not in the chain: records after it were removed or rewritten"


def carried_through(check: StateCheck, company: Company) -> Iterator[str]:
    """What a check finds. A body that lacks what its kind says ends that check, as a fault, and not the others."""
    try:
        yield from check(company)
    except (LookupError, TypeError, ValueError, AttributeError) as error:
        what = f"{type(error).__name__}: {error}"
        yield f"a record does not say what records of its kind say, so {check.__module__} stopped there ({what})"


@contextmanager
def one_moment() -> Iterator[None]:
    """Read the database as it is now until the end, while others go on writing. Within a transaction: as it is."""
    if connection.in_atomic_block:
        yield
        return
    begin = "BEGIN" if connection.vendor == "sqlite" else "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"
    with connection.cursor() as cursor:
        cursor.execute(begin)
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("ROLLBACK")
