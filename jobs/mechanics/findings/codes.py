"""The one list of codes a calculation can give: refusals, fails and cautions.

A refusal stops the calculation: the model cannot or must not compute. A fail stands beside the figures and
no sheet may be issued. A caution is printed and stops nothing. Nothing else in the project names such a code.
Codes of gear records, duties and sheets are kept elsewhere.
"""

from __future__ import annotations

from jobs.mechanics.findings.code import Code
from jobs.mechanics.findings.gear import ITEMS
from jobs.mechanics.findings.hinge import CUT, HINGE
from jobs.mechanics.findings.line import LINE_AND_LEAN, PULL_LIMITS
from jobs.mechanics.findings.people import HAULERS, PLACES
from jobs.mechanics.findings.refusals import FORM_REFUSALS, HINGE_AND_LINE_REFUSALS, STEM_REFUSALS, TACKLE_REFUSALS

CODES: tuple[Code, ...] = (
    *STEM_REFUSALS,
    *HINGE_AND_LINE_REFUSALS,
    *TACKLE_REFUSALS,
    *FORM_REFUSALS,
    *HAULERS,
    *HINGE,
    *LINE_AND_LEAN,
    *CUT,
    *PLACES,
    *PULL_LIMITS,
    *ITEMS,
)

# Refusals of single items: `utilisations` gives them without a role, a plan as fails with the role.
ITEM_REFUSALS = (
    "item-kind",
    "overdue",
    "retired",
    "connector-gate",
    "connector-cross-loaded",
    "unrated",
    "residual-ratio",
    "termination-missing",
    "sheave-too-small",
    "sling-angle",
)

_BY_NAME = {code.name: code for code in CODES}


def find_code(text: str) -> Code | None:
    """The code behind "under-rated:moving_block" or "back-lean", or None where there is no such code."""
    return _BY_NAME.get(text.partition(":")[0])


def code_subject(text: str) -> str:
    """What follows the colon: the role, place or field a code is about; "" where it is about the whole plan."""
    return text.partition(":")[2]


def fails(codes: tuple[str, ...]) -> tuple[str, ...]:
    """Those of a plan's codes that stop a sheet. Raises KeyError for a code that is not in the list."""
    return tuple(text for text in codes if _BY_NAME[text.partition(":")[0]].kind == "fail")
