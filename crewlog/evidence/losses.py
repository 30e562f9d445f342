"""Records that were noted outside the database and are no longer in the chain; a restore says so on record."""

import datetime as dt
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence.chain import Entry, append, last_link
from crewlog.evidence.marks import Mark, marks_file, read_marks
from crewlog.models import Company, Record

RESTORE_NOTED = "crewlog.restore-noted"
TOGETHER = 400


@dataclass(frozen=True, slots=True)
class Restore:
    """From which record to which the chain was lost, and why, as somebody said on record."""

    first: int
    last: int
    noted_at: dt.datetime
    because: str

    def __str__(self) -> str:
        lost = f"record {self.first} was" if self.first == self.last else f"records {self.first} to {self.last} were"
        return f"{lost} lost when an older copy was restored (noted on {self.noted_at:%-d %B %Y}: {self.because})"

    def explains(self, mark: Mark) -> bool:
        return self.first <= mark.sequence <= self.last and mark.noted_at <= self.noted_at


def restores_of(company: Company) -> list[Restore]:
    """Losses that are on record, the earliest first. One query."""
    found = []
    for record in Record.objects.for_company(company).filter(kind=RESTORE_NOTED).order_by("sequence"):
        try:
            said = json.loads(record.body)
            found.append(Restore(int(said["first"]), int(said["last"]), record.entered_at, str(said["because"])))
        except (KeyError, TypeError, ValueError):
            continue  # its hash says that it was changed
    return found


@transaction.atomic
def note_restore(*, company: Company, because: str) -> Restore:
    """Put on record that an older copy was restored, and which marked records were lost by it.

    Refused while nothing is lost: a note made ahead would excuse a later removal.
    """
    if not because.strip():
        raise RuleBroken("Say why the older copy was restored.", code="without-reason")
    last_link(company)  # nobody appends meanwhile
    lost = [mark.sequence for mark, _ in lost_marks(company, read_marks(marks_file(company.pk)))]
    if not lost:
        raise RuleBroken("Every record that was noted is in the chain: none is lost.", code="nothing-lost")
    body = {"first": min(lost), "last": max(lost), "because": because.strip()}
    record = append(company, RESTORE_NOTED, Entry(actor=None), body=body)
    return Restore(min(lost), max(lost), record.entered_at, because.strip())


def kept_marks(company: Company) -> Iterator[Mark]:
    """The marks as they are now; what is noted while the chain is read is left for the next time."""
    path = marks_file(company.pk)
    return read_marks(path, upto=path.stat().st_size if path.exists() else 0)


def lost_marks(company: Company, marks: Iterable[Mark]) -> Iterator[tuple[Mark, bool]]:
    """Marks of records that are not in the chain, and whether another stands in the place; restores on record aside."""
    restores, rest = restores_of(company), iter(marks)
    while chunk := list(islice(rest, TOGETHER)):
        stands = Record.objects.for_company(company).filter(sequence__in={mark.sequence for mark in chunk})
        hashes = dict(stands.values_list("sequence", "hash"))
        for mark in chunk:
            if hashes.get(mark.sequence) != mark.hash and not any(r.explains(mark) for r in restores):
                yield mark, mark.sequence in hashes


def mark_faults(company: Company, marks: Iterable[Mark]) -> Iterator[str]:
    """One sentence for each marked record that another has replaced, and one for a chain that ends too early."""
    beyond: Mark | None = None
    for mark, replaced in lost_marks(company, marks):
        if replaced:
            yield (
                f"record {mark.sequence} is not the one that was noted on {noted(mark)}: "
                "the chain was rewritten, or another copy put in its place"
            )
        elif beyond is None or mark.sequence > beyond.sequence:
            beyond = mark
    if beyond is not None:
        end = Record.objects.for_company(company).order_by("-sequence").values_list("sequence", flat=True).first() or 0
        yield (
            f"the chain ends at record {end}, but record {beyond.sequence} was there on {noted(beyond)}: "
            "records were removed, or an older copy was put in their place"
        )


def noted(mark: Mark) -> str:
    return mark.noted_at.strftime("%-d %B %Y, %H:%M UTC")
