"""What the apps above add to a list of an app below, so that the one below need not import them."""

from collections.abc import Iterator
from typing import Generic, TypeVar

Thing = TypeVar("Thing")


class Registry(Generic[Thing]):
    """Entries in the order in which they were added, each once. Apps add theirs when they are ready."""

    def __init__(self) -> None:
        self._entries: dict[Thing, None] = {}

    def add(self, *entries: Thing) -> None:
        """Add entries at the end; one that is there already stays where it is."""
        self._entries |= dict.fromkeys(entries)

    def __iter__(self) -> Iterator[Thing]:
        return iter(self._entries)
