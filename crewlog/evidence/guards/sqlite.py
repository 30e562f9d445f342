# ruff: noqa: S608 - the names of tables and columns are those of our own models
"""Guards of a table of evidence on SQLite.

An insert is guarded as well: `INSERT OR REPLACE` deletes the row in its way, and fires no trigger of that delete on a
connection that has not switched `recursive_triggers` on.
"""

from collections.abc import Iterator

from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.evidence.guards.keys import MESSAGE, Guarded

VERBS = ("update", "delete", "replace")


class Sqlite:
    def lay(self, connection: BaseDatabaseWrapper, table: Guarded) -> None:
        """Put each trigger in place where it is missing or is another."""
        found = triggers(connection)
        with connection.cursor() as cursor:
            for name, statement in statements(table).items():
                if found.get(name, ("", ""))[1] != statement:
                    cursor.execute(f"DROP TRIGGER IF EXISTS {name}")
                    cursor.execute(statement)

    def removal_statements(self, table: str) -> list[str]:
        return [f"DROP TRIGGER IF EXISTS {table}_no_{verb}" for verb in VERBS]

    def faults(self, connection: BaseDatabaseWrapper, tables: list[Guarded]) -> Iterator[tuple[str, str]]:
        """Triggers that are missing, stand on another table, or say something else; and triggers nobody laid."""
        found = triggers(connection)
        for table in tables:
            wanted = statements(table)
            for name, statement in wanted.items():
                on, says = found.get(name, ("", ""))
                if not says:
                    yield table.name, f"the table {table.name} has lost its append-only trigger {name}"
                elif on != table.name or says != statement:
                    yield table.name, f"the guard {name} of the table {table.name} is not the one that was laid"
            for name, (on, _) in found.items():
                if on == table.name and name not in wanted:
                    yield table.name, f"a trigger that nobody laid, {name}, stands on the table {table.name}"


def triggers(connection: BaseDatabaseWrapper) -> dict[str, tuple[str, str]]:
    """Every trigger by name: its table and its text."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, tbl_name, sql FROM sqlite_master WHERE type = 'trigger'")
        return {name: (table, " ".join((sql or "").split())) for name, table, sql in cursor.fetchall()}


def statements(table: Guarded) -> dict[str, str]:
    """The triggers of a table by name, in the words in which SQLite keeps them."""
    name, refuse = table.name, f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
    taken = " OR ".join(f"EXISTS (SELECT 1 FROM {name} WHERE {same(columns)})" for columns in table.unique)
    return {
        f"{name}_no_update": f"CREATE TRIGGER {name}_no_update BEFORE UPDATE ON {name} {refuse}",
        f"{name}_no_delete": f"CREATE TRIGGER {name}_no_delete BEFORE DELETE ON {name} {refuse}",
        f"{name}_no_replace": f"CREATE TRIGGER {name}_no_replace BEFORE INSERT ON {name} WHEN {taken} {refuse}",
    }


def same(columns: tuple[str, ...]) -> str:
    return " AND ".join(f"{column} = NEW.{column}" for column in columns)
