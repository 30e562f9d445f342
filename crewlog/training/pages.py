"""What a person's page says of what they learn."""

import datetime as dt
from dataclasses import dataclass

from crewlog.models import Person
from crewlog.models.training import Learning


@dataclass(frozen=True, slots=True)
class LearningRow:
    """One skill that somebody learns, and how many sessions are on record."""

    learning: Learning
    sessions: int
    is_held: bool

    @property
    def words(self) -> str:
        count = "no session yet" if not self.sessions else f"{self.sessions} session{'s' if self.sessions > 1 else ''}"
        return f"since {self.learning.since:%-d %B %Y}, {count}"


def learning_rows(person: Person, on: dt.date) -> list[LearningRow]:
    """The skills a person learns, by name. Three queries."""
    held = set(person.competences.standing(on).values_list("skill", flat=True))
    counts: dict[str, int] = {}
    for skill in person.training_sessions.values_list("skill", flat=True):
        counts[skill] = counts.get(skill, 0) + 1
    rows = sorted(person.learning.all(), key=lambda row: row.get_skill_display())
    return [LearningRow(row, counts.get(row.skill, 0), row.skill in held) for row in rows]
