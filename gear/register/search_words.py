"""The words by which an item is found, and those of a search. Standard library only."""

import re
from collections.abc import Iterable

LONGEST = 40
MOST_TERMS = 8
SHORTEST_END = 3


def search_words(*, names: Iterable[str], numbers: Iterable[str]) -> set[str]:
    """Words that a search may begin with: of names each word, of numbers also every end of three characters or more.

    A serial is often read from its last digits, because the first ones are worn.
    """
    found: set[str] = set()
    for text in (*names, *numbers):
        for word in text.casefold().split():
            found |= {word, *re.findall(r"\w+", word)}
    for number in numbers:
        joined = "".join(number.casefold().split())
        found |= {joined[start:] for start in range(len(joined) - SHORTEST_END + 1)}
    return {word[:LONGEST] for word in found if word}


def search_terms(text: str) -> list[str]:
    """The words of a search, at most eight of them."""
    return [word[:LONGEST] for word in text.casefold().split()[:MOST_TERMS]]
