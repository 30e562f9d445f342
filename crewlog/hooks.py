"""What crewlog must know of gear and jobs without importing them: each app adds its own when it is ready."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from crewlog.models import Company, Person


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


# Finds an item by its tag or a job by its reference, as typed.
Finder = Callable[[Company, str], Found | None]
# How the thing with a key is called.
Namer = Callable[[Company, str], str]
# Ids of everyone whom something about the thing with this key names.
PeopleUnder = Callable[[Company, str], Iterable[str]]

FINDERS: dict[str, Finder] = {}
NAMERS: dict[str, Namer] = {}
PEOPLE_UNDER: dict[str, list[PeopleUnder]] = {"item": [], "job": []}
# What else stands in the way of a person's removal.
REFUSERS: list[Callable[[Person], Iterable[Refusal]]] = []
GEAR_CLASSES: list[tuple[str, str]] = []
# Columns that repeat what the records say: each check recomputes its own from evidence and names what differs.
StateCheck = Callable[[Company], Iterator[str]]
STATE_CHECKS: list[StateCheck] = []


def register_subject(about: str, *, find: Finder, name: Namer) -> None:
    FINDERS[about] = find
    NAMERS[about] = name


def register_state_check(check: StateCheck) -> None:
    """Have `verify` run a check that yields one sentence for each column that does not say what the records say."""
    if check not in STATE_CHECKS:
        STATE_CHECKS.append(check)


def register_people(about: str, people_under: PeopleUnder) -> None:
    if people_under not in PEOPLE_UNDER[about]:
        PEOPLE_UNDER[about].append(people_under)
