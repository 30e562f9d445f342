"""Why an item is not fit: the codes, their own short words and how they rank. Standard library only."""

import datetime as dt
import zoneinfo
from dataclasses import dataclass

from gear.fitness.statuses import MARKS, Mark, Status


@dataclass(frozen=True, slots=True)
class FitnessCode:
    """One code: its words on a page and the state it puts an item in."""

    code: str
    words: str
    status: Status


FITNESS_CODES: tuple[FitnessCode, ...] = (
    FitnessCode("retired", "Retired", "retired"),
    FitnessCode("quarantined", "Out of use", "unfit"),
    FitnessCode("examination-pending", "Examine first", "unfit"),
    FitnessCode("never-inspected", "Not examined before first use", "unfit"),
    FitnessCode("overdue", "Inspection lapses", "overdue"),
    FitnessCode("remark-overdue", "Remark not mended in time", "overdue"),
    FitnessCode("due-back", "Goes back to its lender", "overdue"),
    FitnessCode("life-ends", "Life ends", "unfit"),
    FitnessCode("dates-missing", "Date of its life unknown", "unfit"),
    FitnessCode("recall-unresolved", "Recalled", "unfit"),
    FitnessCode("marking-illegible", "Marking cannot be read", "unfit"),
    FitnessCode("unrated", "No rating", "unfit"),
    FitnessCode("part-unfit", "A part is unfit or missing", "unfit"),
)
CODES = tuple(entry.code for entry in FITNESS_CODES)
WORDS = {entry.code: entry.words for entry in FITNESS_CODES}
STATUS_OF_CODE: dict[str, Status] = {entry.code: entry.status for entry in FITNESS_CODES}


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason: the rule's code, a sentence with its figures, the date or count it turns on, and what cures it."""

    code: str
    words: str
    figure: dt.date | int | str | None
    cure: str
    said: str = ""  # in place of the code's own words

    @property
    def title(self) -> str:
        """The rule in a few words."""
        return self.said or WORDS[self.code]

    @property
    def status(self) -> Status:
        return STATUS_OF_CODE[self.code]

    @property
    def mark(self) -> Mark:
        return MARKS[self.status]


def day_words(day: dt.date) -> str:
    """A date as pages write it: 2 November 2026, joined by no-break spaces."""
    return f"{day.day}\N{NO-BREAK SPACE}{day:%B}\N{NO-BREAK SPACE}{day.year}"


def moment_words(moment: dt.datetime, time_zone: str) -> str:
    """A moment as the company's clock shows it: 2 November 2026, 14:30."""
    local = moment.astimezone(zoneinfo.ZoneInfo(time_zone))
    return f"{day_words(local.date())}, {local:%H:%M}"
