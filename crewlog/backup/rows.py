"""Every table as a stream of rows that reads the same on SQLite and PostgreSQL, and its comparison row by row."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import uuid
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import islice, zip_longest
from typing import Any

from django.apps import apps
from django.apps.registry import Apps
from django.db import DatabaseError, models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.recorder import MigrationRecorder
from django.db.models.functions import Collate

from crewlog.backup.databases import CACHE_TABLE
from crewlog.backup.errors import CopyRefused

BATCH = 500
BATCH_OF_LARGE = 10  # PDFs and lists of megabytes: memory stays flat
Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table by the model that reads it; all columns, in the order of the model."""

    name: str
    model: type[models.Model]

    @property
    def fields(self) -> list[models.Field[Any, Any]]:
        return list(self.model._meta.concrete_fields)

    @property
    def batch(self) -> int:
        return BATCH_OF_LARGE if any(isinstance(f, models.BinaryField) for f in self.fields) else BATCH


@dataclass(frozen=True, slots=True)
class Counted:
    """What a table held: how many rows, and a sha256 over all of them in the order of their keys."""

    table: str
    rows: int
    digest: str


@cache
def cache_model() -> type[models.Model]:
    """The cache's table has no model; this one reads it and belongs to no app."""

    class Meta:
        apps = Apps()
        app_label = "cache"
        db_table = CACHE_TABLE
        managed = False

    columns = {
        "cache_key": models.CharField(max_length=255, primary_key=True),
        "value": models.TextField(),
        "expires": models.DateTimeField(),
    }
    return type("CachedValue", (models.Model,), {"Meta": Meta, "__module__": __name__, **columns})


def all_tables() -> list[Table]:
    """Every table of the product and of what it stands on, by name."""
    listed: list[type[models.Model]] = [*apps.get_models(include_auto_created=True)]
    listed = [model for model in listed if model._meta.managed and not model._meta.proxy]
    listed += [MigrationRecorder.Migration, cache_model()]
    return sorted((Table(model._meta.db_table, model) for model in listed), key=lambda table: table.name)


def tables_in(connection: BaseDatabaseWrapper) -> list[Table]:
    """Those of the tables that a database has: the cache's is made apart."""
    there = set(connection.introspection.table_names())
    return [table for table in all_tables() if table.name in there]


def rows_of(connection: BaseDatabaseWrapper, table: Table) -> Iterator[Row]:
    """All rows in the order of their keys, in batches: memory does not grow with them."""
    key = table.model._meta.pk
    while isinstance(key, models.ForeignKey):
        key = key.target_field
    order: Any = "pk"
    if isinstance(key, models.CharField | models.TextField) and connection.vendor == "postgresql":
        order = Collate("pk", "C")  # as SQLite orders text: by its bytes
    names = [field.attname for field in table.fields]
    rows = table.model._base_manager.using(connection.alias).order_by(order).values_list(*names)
    yield from rows.iterator(chunk_size=table.batch)


def count(connection: BaseDatabaseWrapper, table: Table) -> int:
    return table.model._base_manager.using(connection.alias).count()


def comparable(value: Any) -> Any:
    """A value as it is compared: moments in UTC with every microsecond, floats with every digit, bytes by sha256."""
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat(timespec="microseconds")
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, uuid.UUID):
        return value.hex
    if isinstance(value, bytes | memoryview):
        return f"sha256:{hashlib.sha256(value).hexdigest()}"
    if isinstance(value, float):
        return value + 0.0  # minus nought is nought: SQLite keeps no sign of it
    return value


def line_of(row: Row) -> bytes:
    """A row as one line of text that is equal where the row is equal."""
    return json.dumps([comparable(value) for value in row], sort_keys=True, separators=(",", ":")).encode() + b"\n"


def insert(connection: BaseDatabaseWrapper, table: Table, rows: Iterable[Row]) -> None:
    """Write rows as they are, keys and all, past every default. Raises CopyRefused naming what the database refuses."""
    quote = connection.ops.quote_name
    columns = ", ".join(quote(str(field.column)) for field in table.fields)
    places = ", ".join(["%s"] * len(table.fields))
    statement = f"INSERT INTO {quote(table.name)} ({columns}) VALUES ({places})"  # noqa: S608 - names of our models
    waiting = iter(rows)
    while batch := list(islice(waiting, table.batch)):
        try:
            with connection.cursor() as cursor:
                cursor.executemany(statement, [prepared(connection, table.fields, row) for row in batch])
        except (DatabaseError, ValueError, OverflowError) as error:
            keys = f"rows {key_of(table, batch[0])} to {key_of(table, batch[-1])}"
            why = " ".join(str(error).split())[:300]
            raise CopyRefused(f"The target refuses {keys} of {table.name}: {why}", code="target-refuses") from error


def prepared(connection: BaseDatabaseWrapper, fields: Sequence[models.Field[Any, Any]], row: Row) -> list[Any]:
    """The row's values as this database takes them."""
    return [
        connection.ops.adapt_json_value(None, field.encoder)
        if value is None and isinstance(field, models.JSONField) and not field.null
        else field.get_db_prep_save(value, connection)
        for field, value in zip(fields, row, strict=True)
    ]


def key_of(table: Table, row: Row) -> Any:
    pk = table.model._meta.pk
    return row[table.fields.index(pk)]


def compare(source: BaseDatabaseWrapper, target: BaseDatabaseWrapper) -> list[Counted]:
    """Compare every row of every table. Returns what was counted; raises CopyRefused at the first row that differs."""
    names = [table.name for table in tables_in(source)]
    if missing := set(names) - {table.name for table in tables_in(target)}:
        raise CopyRefused(f"The copy lacks the table {min(missing)}.", code="copy-differs")
    return [compare_table(source, target, table) for table in tables_in(source)]


def compare_table(source: BaseDatabaseWrapper, target: BaseDatabaseWrapper, table: Table) -> Counted:
    digest, rows = hashlib.sha256(), 0
    for one, other in zip_longest(rows_of(source, table), rows_of(target, table)):
        line = line_of(one) if one is not None else b""
        if line != (line_of(other) if other is not None else b""):
            key = key_of(table, one if one is not None else other)
            raise CopyRefused(f"The copy differs: {table.name}, row {key}, {differing(table, one, other)}.",
                              code="copy-differs")  # fmt: skip
        digest.update(line)
        rows += 1
    return Counted(table.name, rows, digest.hexdigest())


def differing(table: Table, one: Row | None, other: Row | None) -> str:
    if one is None or other is None:
        return "is on one side only"
    names = (f.column for f, a, b in zip(table.fields, one, other, strict=True) if line_of((a,)) != line_of((b,)))
    return f"column {next(names)}"


def counted(connection: BaseDatabaseWrapper) -> list[Counted]:
    """What each table of one database holds."""
    return [compare_table(connection, connection, table) for table in tables_in(connection)]
