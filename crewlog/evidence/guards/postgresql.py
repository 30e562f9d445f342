"""Guards of a table of evidence on PostgreSQL.

The triggers are enabled ALWAYS, so that `session_replication_role = replica` does not switch them off. An insert needs
none: nothing replaces a row but an update, and what may stand once is held by unique indexes, which are looked at too.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.evidence.guards.keys import MESSAGE, Guarded

FUNCTION = "crewlog_append_only"
SOURCE = f" BEGIN RAISE EXCEPTION '{MESSAGE}'; END "
ROW, BEFORE, DELETE, UPDATE, TRUNCATE = 1, 2, 8, 16, 32  # bits of pg_trigger.tgtype
TYPES = {"update": BEFORE | UPDATE | ROW, "delete": BEFORE | DELETE | ROW, "truncate": BEFORE | TRUNCATE}
ALWAYS = "A"

TRIGGERS = """
SELECT c.relname, t.tgname, t.tgtype, t.tgenabled, t.tgqual IS NULL AND t.tgattr = '' AND t.tgnargs = 0,
       p.proname, l.lanname, p.prosrc, p.proconfig IS NULL
FROM pg_trigger t
JOIN pg_class c ON c.oid = t.tgrelid
JOIN pg_proc p ON p.oid = t.tgfoid
JOIN pg_language l ON l.oid = p.prolang
WHERE NOT t.tgisinternal AND c.oid = ANY (SELECT to_regclass(name) FROM unnest(%s::text[]) AS name)
"""
UNIQUE = """
SELECT c.relname, array_agg(a.attname::text ORDER BY a.attname)
FROM pg_index i
JOIN pg_class c ON c.oid = i.indrelid
JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = ANY (i.indkey)
WHERE i.indisunique AND i.indisvalid AND c.oid = ANY (SELECT to_regclass(name) FROM unnest(%s::text[]) AS name)
GROUP BY c.relname, i.indexrelid
"""
RULES = """
SELECT c.relname FROM pg_class c
WHERE (c.relhasrules OR c.relrowsecurity OR c.relkind <> 'r')
AND c.oid = ANY (SELECT to_regclass(name) FROM unnest(%s::text[]) AS name)
"""


class Postgresql:
    def lay(self, connection: BaseDatabaseWrapper, table: Guarded) -> None:
        """Make the function and the triggers what they should be."""
        with connection.cursor() as cursor:
            cursor.execute(f"CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS $${SOURCE}$$")
            for verb, kind in TYPES.items():
                name, level = f"{table.name}_no_{verb}", "ROW" if kind & ROW else "STATEMENT"
                cursor.execute(
                    f"CREATE OR REPLACE TRIGGER {name} BEFORE {verb.upper()} ON {table.name} "
                    f"FOR EACH {level} EXECUTE FUNCTION {FUNCTION}()"
                )
                cursor.execute(f"ALTER TABLE {table.name} ENABLE ALWAYS TRIGGER {name}")

    def removal_statements(self, table: str) -> list[str]:
        return [f"DROP TRIGGER IF EXISTS {table}_no_{verb} ON {table}" for verb in TYPES]

    def faults(self, connection: BaseDatabaseWrapper, tables: list[Guarded]) -> Iterator[tuple[str, str]]:
        """Triggers, their function and unique indexes that are missing or changed, and what nobody laid."""
        names = [table.name for table in tables]
        rules = [row[0] for row in asked(connection, RULES, names)]
        unique = {(name, tuple(columns)) for name, columns in asked(connection, UNIQUE, names)}
        found: dict[str, dict[str, tuple[Any, ...]]] = {name: {} for name in names}
        for on, trigger, *says in asked(connection, TRIGGERS, names):
            found[on][trigger] = tuple(says)
        for table in tables:
            for sentence in table_faults(table, found[table.name]):
                yield table.name, sentence
            for columns in table.unique:
                if (table.name, tuple(sorted(columns))) not in unique:
                    yield table.name, f"the table {table.name} lets {', '.join(columns)} stand twice: its index is gone"
            if table.name in rules:
                yield table.name, f"the table {table.name} has rules, a row policy or is no table: nobody laid those"
        yield from role_faults(connection)


def asked(connection: BaseDatabaseWrapper, query: str, names: list[str]) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(query, [names])
        return list(cursor.fetchall())


def table_faults(table: Guarded, found: Mapping[str, tuple[Any, ...]]) -> Iterator[str]:
    wanted = {f"{table.name}_no_{verb}": kind for verb, kind in TYPES.items()}
    for name, expected in wanted.items():
        if name not in found:
            yield f"the table {table.name} has lost its append-only trigger {name}"
            continue
        kind, enabled, bare, function, language, source, unset = found[name]
        enabled = enabled.decode() if isinstance(enabled, bytes) else enabled
        if enabled != ALWAYS:
            yield f"the guard {name} of the table {table.name} is switched off or off for replicas"
        elif (kind, function, language) != (expected, FUNCTION, "plpgsql") or not bare:
            yield f"the guard {name} of the table {table.name} is not the one that was laid"
        elif source != SOURCE or not unset:
            yield f"the function {function} of the guard {name} is not the one that was laid"
    for name in found.keys() - wanted.keys():
        yield f"a trigger that nobody laid, {name}, stands on the table {table.name}"


def role_faults(connection: BaseDatabaseWrapper) -> Iterator[tuple[str, str]]:
    """Sessions that begin as replicas skip foreign keys: then this one does too."""
    with connection.cursor() as cursor:
        cursor.execute("SHOW session_replication_role")
        role = cursor.fetchone()[0]
    if role != "origin":
        yield "crewlog_record", f"session_replication_role is {role}, not origin: foreign keys are not checked"
