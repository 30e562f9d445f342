# ruff: noqa: S608 - the statements are the attack
"""A row of every table of evidence replaced, changed and deleted, with the guards standing."""

from typing import Any

from django.db import connection

from crewlog.evidence.guards.keys import guarded_tables
from tests.attacks.sql import run


def server_version() -> int:
    """Of PostgreSQL, like 150004."""
    database: Any = connection
    return int(database.pg_version)


def attacks(vendor):
    for table in guarded_tables():
        ways = {
            "INSERT OR REPLACE": replace if vendor == "sqlite" else None,
            "REPLACE of what may stand once, under another key": replace_unique if vendor == "sqlite" else None,
            "ON CONFLICT DO UPDATE": upsert,
            "UPDATE": update,
            "UPDATE OR REPLACE": update_or_replace if vendor == "sqlite" else None,
            "DELETE": delete,
            "TRUNCATE": truncate if vendor == "postgresql" else None,
            "MERGE": merge if vendor == "postgresql" and server_version() >= 150000 else None,
        }
        for name, way in ways.items():
            if way is not None and (way is not replace_unique or others(table)):
                yield f"{name} on {table.name}", lambda world, way=way, table=table: way(table)


def others(table):
    """Sets of columns that may stand once, besides the key."""
    return [columns for columns in table.unique if columns != (table.key,)]


def names(table):
    return ", ".join(f'"{column}"' for column in table.columns)


def row(table):
    return f"SELECT {names(table)} FROM {table.name} WHERE {table.key} = (SELECT MIN({table.key}) FROM {table.name})"


def replace(table):
    run(f"INSERT OR REPLACE INTO {table.name} ({names(table)}) {row(table)}")


def replace_unique(table):
    """The same row under a key that no row has: what may stand once throws the old one out."""
    columns = ", ".join("900000000" if column == table.key else f'"{column}"' for column in table.columns)
    run(f"REPLACE INTO {table.name} ({names(table)}) {row(table).replace(names(table), columns, 1)}")


def upsert(table):
    run(
        f"INSERT INTO {table.name} ({names(table)}) {row(table)} "
        f"ON CONFLICT ({table.key}) DO UPDATE SET {table.key} = EXCLUDED.{table.key}"
    )


def update(table):
    run(f"UPDATE {table.name} SET {table.key} = {table.key}")


def update_or_replace(table):
    run(f"UPDATE OR REPLACE {table.name} SET {table.key} = (SELECT MAX({table.key}) FROM {table.name})")


def delete(table):
    run(f"DELETE FROM {table.name}")


def truncate(table):
    run(f"TRUNCATE {table.name} CASCADE")


def merge(table):
    run(
        f"MERGE INTO {table.name} a USING {table.name} b ON a.{table.key} = b.{table.key} "
        f"WHEN MATCHED THEN UPDATE SET {table.key} = b.{table.key}"
    )
