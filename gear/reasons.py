"""Why an item is not fit: the codes, their own short words and how they rank. Standard library only."""

import datetime as dt
import zoneinfo
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FitnessCode:
    """One code: its words on a page and the state mark that goes with it."""

    code: str
    words: str
    mark: str


FITNESS_CODES: tuple[FitnessCode, ...] = (
    FitnessCode("retired", "Retired", "gone"),
    FitnessCode("quarantined", "Out of use", "out"),
    FitnessCode("examination-pending", "Examine first", "out"),
    FitnessCode("never-inspected", "Not examined before first use", "out"),
    FitnessCode("overdue", "Inspection lapses", "over"),
    FitnessCode("remark-overdue", "Remark not mended in time", "over"),
    FitnessCode("due-back", "Goes back to its lender", "over"),
    FitnessCode("life-ends", "Life ends", "out"),
    FitnessCode("dates-missing", "Date of its life unknown", "out"),
    FitnessCode("recall-unresolved", "Recalled", "out"),
    FitnessCode("marking-illegible", "Marking cannot be read", "out"),
    FitnessCode("unrated", "No rating", "out"),
    FitnessCode("part-unfit", "A part is unfit or missing", "out"),
)
CODES = tuple(entry.code for entry in FITNESS_CODES)
WORDS = {entry.code: entry.words for entry in FITNESS_CODES}
MARKS = {entry.code: entry.mark for entry in FITNESS_CODES}


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
    def mark(self) -> str:
        return MARKS[self.code]


def day_words(day: dt.date) -> str:
    """A date as pages write it: 2 November 2026, joined by no-break spaces."""
    return f"{day.day}\N{NO-BREAK SPACE}{day:%B}\N{NO-BREAK SPACE}{day.year}"


def moment_words(moment: dt.datetime, time_zone: str) -> str:
    """A moment as the company's clock shows it: 2 November 2026, 14:30."""
    local = moment.astimezone(zoneinfo.ZoneInfo(time_zone))
    return f"{day_words(local.date())}, {local:%H:%M}"
