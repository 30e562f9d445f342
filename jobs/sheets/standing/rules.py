"""In which state an issued sheet stands on a day. No database."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from gear.fitness.reasons import day_words

StandingKey = Literal["stands", "withdrawn", "superseded", "closed", "lapsed"]

# The results of a day after which the stem no longer stands as the sheet was issued for. "Stopped" leaves it as it was.
FELL = "fell"
STOPPED = "stopped"


def is_over(result: str) -> bool:
    """Whether a recorded day ends the work of its sheet; "" is a day that nobody recorded."""
    return result not in ("", STOPPED)


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueFacts:
    """What the state of an issued sheet is read from. `result` is the day's as it stands recorded, "" for none.

    A withdrawal after the day was recorded finds the work over: it is told, and the sheet stays closed.
    """

    day: dt.date
    window: str
    withdrawn_because: Sequence[str] = ()
    withdrawn_after: Sequence[str] = ()
    later_revision: int | None = None
    result: str = ""
    result_words: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """A state with its word, and one sentence that says why."""

    key: StandingKey
    word: str
    why: str

    @property
    def is_in_force(self) -> bool:
        return self.key == "stands"


def standing_of(facts: IssueFacts, today: dt.date) -> Standing:
    """The state of an issued sheet; the first that applies, the gravest first. It holds on its day, and not after."""
    if facts.withdrawn_because:
        return Standing("withdrawn", "Withdrawn", f"This sheet is no longer valid. {told(facts.withdrawn_because)}")
    if is_over(facts.result):
        words = f"{facts.result_words[:1].lower()}{facts.result_words[1:]}"
        more = "" if facts.result == FELL else " What stands now needs a plan of its own."
        since = f" Since then: {told(facts.withdrawn_after)}" if facts.withdrawn_after else ""
        why = f"The day is recorded: {words}. The work of this sheet is over.{more}{since}"
        return Standing("closed", f"Closed: {words}", why)
    if facts.later_revision is not None:
        why = f"Work from revision {facts.later_revision}; this one is no longer valid."
        return Standing("superseded", f"Superseded by revision {facts.later_revision}", why)
    if today > facts.day:
        why = f"It was for {day_words(facts.day)}, {facts.window}. Issue a new revision for another day."
        return Standing("lapsed", "Its day has passed", why)
    return Standing(
        "stands", "Sheet valid", f"For {day_words(facts.day)}, {facts.window}, within the envelope it prints."
    )


def told(reasons: Sequence[str]) -> str:
    return " ".join(f"{reason.rstrip('.')}." for reason in reasons)
