"""Columns of an item as most are made: figures that may be unknown and are then empty, never nought."""

from typing import Any

from crewlog.quantities.columns import CountColumn, FlagColumn, LargeCountColumn, LineColumn, QuantityColumn
from gear.catalogue.classes import USES

EMPTY_IF_UNKNOWN = "must be above zero. Leave it empty when it is not known."
POSITIVE = "gear_item_%(column)s_positive"
USE_WORDS = {column: words for _, column, words in USES}

Figure = QuantityColumn[float | None, float | None]


def figure(words: str, kind: str, *, label: str = "", **kwargs: Any) -> Figure:
    """A figure above nought; `words` name it where it is refused."""
    refusal = f"The {words} {EMPTY_IF_UNKNOWN}"
    noun = (label or words).lower()
    return QuantityColumn(
        words, kind=kind, label=label, noun=noun, above=0, null=True, check=POSITIVE, refusal=refusal, **kwargs
    )


def ratio(words: str, **kwargs: Any) -> Figure:
    """A part of one, read and written in per cent."""
    check, refusal = "gear_item_%(column)s_is_ratio", f"The {words} must be above 0 and at most 1."
    return QuantityColumn(
        words, kind="percent", above=0, max_value=1, null=True, check=check, refusal=refusal, **kwargs
    )


def count(words: str, *, box_max: int, **kwargs: Any) -> CountColumn[int | None, int | None]:
    refusal = f"The {words} {EMPTY_IF_UNKNOWN}"
    return CountColumn(words, above=0, box_max=box_max, null=True, check=POSITIVE, refusal=refusal, **kwargs)


def large_count(words: str, *, box_max: int, **kwargs: Any) -> LargeCountColumn[int | None, int | None]:
    refusal = f"The {words} {EMPTY_IF_UNKNOWN}"
    return LargeCountColumn(words, above=0, box_max=box_max, null=True, check=POSITIVE, refusal=refusal, **kwargs)


def line(words: str, *, longest: int, **kwargs: Any) -> LineColumn[str, str]:
    """A line of words that may be left out."""
    return LineColumn(words, max_length=longest, blank=True, default="", **kwargs)


def use(column: str) -> FlagColumn[bool, bool]:
    """Whether it is used for something; the words stand with the uses."""
    return FlagColumn(USE_WORDS[column].lower(), default=False)
