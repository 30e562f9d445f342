"""A site to copy: the demo's database with its files, built once and copied for each test."""

import datetime as dt
import sqlite3
from pathlib import Path

import pytest

from crewlog.backup.databases import config_of
from crewlog.backup.taking import Site, take_backup
from tests.demo_made import copied

KEY = "a key of the tests, long enough to be one, never used elsewhere"
NOW = dt.datetime(2026, 11, 30, 6, 58, tzinfo=dt.UTC)
BEFORE = dt.datetime(2026, 11, 30, 6, 57, tzinfo=dt.UTC)


@pytest.fixture
def site(own_databases, demo_folder, tmp_path):
    """The demo as a site of its own, to be changed at will."""
    database = copied(demo_folder, tmp_path / "site" / "crewlog.sqlite3")
    return Site(config_of(f"sqlite:///{database}"), tmp_path / "site" / "files", KEY)


@pytest.fixture
def backup(site, tmp_path):
    """A whole back-up of the site."""
    return take_backup(site=site, into=tmp_path / "backups", now=NOW)


def path_of(site):
    return Path(site.database["NAME"])


def elsewhere(tmp_path):
    """A site on another machine: nothing is there yet."""
    return Site(config_of(f"sqlite:///{tmp_path / 'new' / 'crewlog.sqlite3'}"), tmp_path / "new" / "files", None)


def change(path, *statements):
    """Change a database past the product, its guards taken away first."""
    database = sqlite3.connect(path)
    for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        database.execute(f'DROP TRIGGER "{name}"')
    for statement in statements:
        database.execute(statement)
    database.commit()
    database.close()


def change_behind_the_guards(path, *statements):
    """Change evidence, and leave the guards standing as they stood: only the hashes tell."""
    database = sqlite3.connect(path)
    laid = database.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in laid:
        database.execute(f'DROP TRIGGER "{name}"')
    for statement in (*statements, *(sql for _, sql in laid)):
        database.execute(statement)
    database.commit()
    database.close()


@pytest.fixture
def own_databases(django_db_blocker):
    """These tests open databases of their own and none of the settings."""
    with django_db_blocker.unblock():
        yield
