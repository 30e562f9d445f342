"""The kinds of record that this program writes: a record of any other kind was put in from outside."""

from crewlog.evidence.rows import evidence_models
from crewlog.registry import Registry

# Kinds that an app appends without a table of their own.
KINDS: Registry[str] = Registry()


def known_kinds() -> frozenset[str]:
    """The kinds apps added, and those of the tables of evidence."""
    return frozenset({*KINDS, *(model.record_kind for model in evidence_models())})
