"""The kinds of record that this program writes: a record of any other kind was put in from outside.

A kind also says which rows its records are about: a table of evidence by its foreign keys, any other kind by the key
of its body that names a row.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from django.apps import apps

from crewlog.models import Company, EvidenceModel
from crewlog.registry import Registry


@dataclass(frozen=True, slots=True)
class RecordKind:
    """A kind that has no table of its own.

    `key` is the key of its body that names the row its records are about, `model` the label of that row's model. A kind
    about no row says in `about_no_row` why. Raises ValueError for one that says neither, or both.
    """

    name: str
    key: str = ""
    model: str = ""
    about_no_row: str = ""

    def __post_init__(self) -> None:
        if bool(self.key) != bool(self.model) or bool(self.key) == bool(self.about_no_row):
            raise ValueError(f"{self.name}: say which row its records are about, or why they are about none.")


# Kinds that an app appends without a table of their own.
KINDS: Registry[RecordKind] = Registry()


def evidence_models() -> list[type[EvidenceModel]]:
    return [m for m in apps.get_models() if issubclass(m, EvidenceModel)]


def known_kinds() -> frozenset[str]:
    """The kinds apps added, and those of the tables of evidence."""
    return frozenset({*(kind.name for kind in KINDS), *(model.record_kind for model in evidence_models())})


@cache
def row_keys() -> dict[str, tuple[tuple[str, str], ...]]:
    """For each kind, the keys of its body that name a row, each with the label of the row's model."""
    tables = {model.record_kind: tuple(foreign_keys(model)) for model in evidence_models()}
    return tables | {kind.name: ((kind.key, kind.model),) if kind.key else () for kind in KINDS}


def foreign_keys(model: type[EvidenceModel]) -> Iterator[tuple[str, str]]:
    """Columns of a table of evidence that name a row, each with the label of its model: all but record and company."""
    for field in model._meta.concrete_fields:
        target = field.related_model
        if field.name != "record" and isinstance(target, type) and target is not Company:
            yield field.attname, target._meta.label_lower
