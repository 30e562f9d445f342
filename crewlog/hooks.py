"""What crewlog must know of gear and jobs without importing them: each app adds its own when it is ready."""

from collections.abc import Callable, Iterable
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


def register_subject(about: str, *, find: Finder, name: Namer) -> None:
    FINDERS[about] = find
    NAMERS[about] = name


def register_people(about: str, people_under: PeopleUnder) -> None:
    if people_under not in PEOPLE_UNDER[about]:
        PEOPLE_UNDER[about].append(people_under)
