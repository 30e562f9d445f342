"""The kinds of record that this program writes: a record of any other kind was put in from outside."""

from collections.abc import Iterable

from crewlog.evidence.rows import evidence_models

DECLARED: set[str] = set()


def declare_kinds(kinds: Iterable[str]) -> None:
    """Say which kinds an app appends without a table of their own; each app does so when it is ready."""
    DECLARED.update(kinds)


def known_kinds() -> frozenset[str]:
    """Declared kinds, and those of the tables of evidence."""
    return frozenset(DECLARED | {model.record_kind for model in evidence_models()})
