"""One finding about a plan or a sheet: what is wrong, the figure against its limit, and what would cure it."""

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

Severity = Literal["refusal", "caution"]
Area = Literal["stem", "plan", "gear", "crew", "site", "sheet"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A refusal or a caution. `text` is already in the reader's units; `facts` holds the same figures in SI.

    `subject` is the role, place, duty or field it is about; `field` the form field that mends it.
    """

    code: str
    severity: Severity
    area: Area
    title: str
    text: str
    cure: str
    subject: str = ""
    field: str = ""
    item: str = ""
    danger: int = 2
    facts: Mapping[str, float | str] = dataclasses.field(default_factory=dict)

    @property
    def full_code(self) -> str:
        """The code as paper and JSON write it: "under-rated:moving_block"."""
        return f"{self.code}:{self.subject}" if self.subject else self.code

    @property
    def is_refusal(self) -> bool:
        return self.severity == "refusal"


def refusals(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The refusals among findings, most dangerous first."""
    return tuple(sorted((f for f in findings if f.is_refusal), key=lambda f: (f.danger, f.full_code)))


def cautions(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The cautions among findings, most dangerous first."""
    return tuple(sorted((f for f in findings if not f.is_refusal), key=lambda f: (f.danger, f.full_code)))
