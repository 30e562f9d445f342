"""What one code of a calculation is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

CodeKind = Literal["refusal", "fail", "caution"]
Subject = Literal["", "role", "place", "field"]


@dataclass(frozen=True, slots=True)
class Code:
    """One code.

    `subject` says what follows the colon ("under-rated:moving_block"), `section` which topic of the model it
    comes from, `is_panel` that its limit is practitioners' judgement, not published. `sentences` stand in for
    `meaning` with the figures of what was found, each by its name in braces; the first counts whose figures are all
    known. `danger` orders what is shown first: 1 a person may be hit or the stem go wrong, 2 gear or anchor may give
    way, 3 the plan needs care.
    """

    name: str
    kind: CodeKind
    section: int
    title: str
    meaning: str
    cure: str
    subject: Subject = ""
    danger: int = 2
    is_panel: bool = False
    sentences: tuple[str, ...] = ()
