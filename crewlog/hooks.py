"""What crewlog must know of gear and jobs without importing them: each app adds its own when it is ready."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from crewlog.models import Company, Person
from crewlog.registry import Registry


@dataclass(frozen=True, slots=True)
class Found:
    """A thing that a hold can be about: its key, and how people call it."""

    key: str
    label: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a person's data cannot be removed yet."""

    code: str
    words: str


@dataclass(frozen=True, slots=True)
class Subject:
    """What a hold is about: its word ("item", "job"), how one is found as typed, what the one of a key is called."""

    about: str
    find: Callable[[Company, str], Found | None]
    name: Callable[[Company, str], str]


@dataclass(frozen=True, slots=True)
class PeopleUnder:
    """Gives the ids of everyone whom something about the subject with a key names."""

    about: str
    of: Callable[[Company, str], Iterable[str]]


# Columns that repeat what the records say: each check works its own out again from evidence, and yields one sentence
# for each column that does not say what the records say.
StateCheck = Callable[[Company], Iterator[str]]

SUBJECTS: Registry[Subject] = Registry()
PEOPLE_UNDER: Registry[PeopleUnder] = Registry()
# What else stands in the way of a person's removal.
REFUSERS: Registry[Callable[[Person], Iterable[Refusal]]] = Registry()
# (code, name) of what people can be competent to examine.
GEAR_CLASSES: Registry[tuple[str, str]] = Registry()
STATE_CHECKS: Registry[StateCheck] = Registry()


def subject_of(about: str) -> Subject:
    """The subject with a word; raises LookupError where no app added it."""
    for subject in SUBJECTS:
        if subject.about == about:
            return subject
    raise LookupError(f"no app says what {about!r} is")
