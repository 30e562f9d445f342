"""Collecting the fails and cautions of a plan, each once, with the figures behind it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from jobs.mechanics.findings.codes import CODES, find_code

_ORDER = {code.name: position for position, code in enumerate(CODES)}


@dataclass(frozen=True, slots=True)
class Finding:
    """One fail or caution with its figures in SI: what was found and, where there is one, the limit.

    `code` is the whole code ("under-rated:cleat"), `subject` the role or place it is about, or "". Facts end in
    their unit; `limit_...` is the limit that was passed.
    """

    code: str
    subject: str
    severity: Literal["fail", "caution"]
    facts: Mapping[str, float | str]


class Findings:
    """What a plan is found to be. All checks run; nothing stops at the first."""

    def __init__(self) -> None:
        self._found: dict[str, Finding] = {}

    def note(self, name: str, subject: str = "", **facts: float | str) -> None:
        """Add a code of the list, about a role or place where it has a subject; the first facts of a code stay."""
        code = find_code(name)
        if code is None or code.kind == "refusal":
            raise KeyError(name)
        whole = f"{name}:{subject}" if subject else name
        self._found.setdefault(whole, Finding(whole, subject, code.kind, facts))

    @property
    def codes(self) -> tuple[str, ...]:
        """All codes, sorted."""
        return tuple(sorted(self._found))

    @property
    def has_fail(self) -> bool:
        """Whether any code stops a sheet."""
        return any(finding.severity == "fail" for finding in self._found.values())

    def __contains__(self, code: str) -> bool:
        return code in self._found

    def gravest_first(self) -> tuple[Finding, ...]:
        """Fails before cautions, then by danger, then in the order of the list."""
        return tuple(sorted(self._found.values(), key=_gravity))


def _gravity(finding: Finding) -> tuple[bool, int, int, str]:
    name = finding.code.partition(":")[0]
    code = find_code(name)
    danger = code.danger if code is not None else 0
    return finding.severity != "fail", danger, _ORDER.get(name, 0), finding.subject
