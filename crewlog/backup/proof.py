"""What shows that a database is whole: every company's chain recomputed, and the files its rows name."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.backup.databases import standing_in
from crewlog.backup.errors import CopyRefused
from crewlog.evidence import verify
from crewlog.files.keeping import hash_columns
from crewlog.models import Company, Record


@dataclass(frozen=True, slots=True)
class Head:
    """The end of one company's chain."""

    company: int
    name: str
    sequence: int
    hash: str

    def __str__(self) -> str:
        return f"{self.name}: {self.sequence} records, head {self.hash}"


def proved_heads(connection: BaseDatabaseWrapper) -> list[Head]:
    """Recompute every chain of an opened database. Raises CopyRefused at the first fault."""
    heads = []
    with standing_in(connection):
        for company in Company.objects.order_by("pk"):
            verdict = verify(company, marks=False)  # what is lost is said by `lost_by`, and may be accepted
            if not verdict.holds:
                raise CopyRefused(f"The records of {company} do not hold: {verdict.fault}.", code="chain-broken")
            heads.append(Head(company.pk, company.name, verdict.count, verdict.head))
    return heads


def heads_of(connection: BaseDatabaseWrapper) -> list[Head]:
    """The heads as they stand in an opened database, nothing recomputed.

    Only columns that every version has are read: the database may be of an earlier or a later one.
    """
    records = Record.objects.using(connection.alias)
    found = []
    for key, name in Company.objects.using(connection.alias).order_by("pk").values_list("pk", "name"):
        last = records.filter(company_id=key).order_by("-sequence").values_list("sequence", "hash").first()
        if last is not None:
            found.append(Head(key, name, *last))
    return found


def lost_by(connection: BaseDatabaseWrapper, known: list[Head]) -> list[Head]:
    """Those of the heads known elsewhere that do not stand in this database's chains: it is older, or another's."""
    records = Record.objects.using(connection.alias)
    return [head for head in known if not records.filter(company=head.company, hash=head.hash).exists()]


def has_head(connection: BaseDatabaseWrapper, head: str) -> bool:
    return Record.objects.using(connection.alias).filter(hash=head).exists()


def named_files(connection: BaseDatabaseWrapper) -> Iterator[str]:
    """The sha256 of every kept file that a row names; one may come more than once."""
    for model, column in hash_columns():
        rows = model._default_manager.using(connection.alias).order_by()
        yield from rows.values_list(column, flat=True).distinct().iterator(chunk_size=2000)


def as_json(head: Head) -> Mapping[str, Any]:
    return {"company": head.company, "name": head.name, "records": head.sequence, "head": head.hash}
