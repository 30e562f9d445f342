"""Two SQLite files compared as SQLite itself reads them: nothing of the product takes part."""

import json
import sqlite3
from contextlib import closing


def connect(path):
    return closing(sqlite3.connect(path))


def table_names(database):
    rows = database.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    return sorted(name for (name,) in rows)


def json_columns(database, table):
    """Numbers of the columns whose text is JSON: its order of keys is free, its values are not."""
    (definition,) = database.execute("SELECT sql FROM sqlite_master WHERE name = ?", [table]).fetchone()
    columns = [row[1] for row in database.execute(f'PRAGMA table_info("{table}")')]
    return {number for number, name in enumerate(columns) if f'JSON_VALID("{name}")' in definition}


def rows(database, table):
    """Every value of every row, in a column order that does not depend on when a migration added what."""
    held = json_columns(database, table)
    names = [row[1] for row in database.execute(f'PRAGMA table_info("{table}")')]
    order = sorted(range(len(names)), key=names.__getitem__)
    for row in database.execute(f'SELECT * FROM "{table}"'):  # noqa: S608 - a name the file itself gave
        read = [in_order(value) if number in held else value for number, value in enumerate(row)]
        yield repr([(names[number], type(read[number]).__name__, read[number]) for number in order])


def in_order(text):
    """JSON with its keys in order: numbers and text stay as they are written."""
    return text if text is None else json.dumps(json.loads(text), sort_keys=True)


def everything(path, *, without=()):
    """{table: sorted rows} of a whole file."""
    with connect(path) as database:
        return {name: sorted(rows(database, name)) for name in table_names(database) if name not in without}


def counters(path):
    with connect(path) as database:
        return {name: number for name, number in database.execute("SELECT name, seq FROM sqlite_sequence") if number}


def number_of_rows(path):
    return sum(len(found) for found in everything(path).values())
