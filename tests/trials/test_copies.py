"""The trial of copies, as it is run by hand."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.needs import postgresql_folder
from tests.width import FULL

BUSY = re.compile(r"(\d+) acknowledged before it began, 0 of them missing")


def trial(*arguments):
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    done = subprocess.run(
        [sys.executable, "-m", "tests.trials.copies", *arguments],
        cwd=Path(__file__).resolve().parents[2], env=kept, capture_output=True, text=True, timeout=900, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-3000:]
    return done.stdout


def test_a_busy_database_is_backed_up_whole():
    (number,) = BUSY.findall(trial("busy", "sqlite"))
    assert int(number) >= 6


@pytest.mark.postgres
@pytest.mark.skipif(not FULL, reason="in full; each way alone: tests/backup and tests/postgresql/test_copies.py")
def test_demo_copied_every_way_is_equal_and_a_busy_database_is_backed_up_whole(demo_folder):
    postgresql_folder()
    said = trial(str(demo_folder))
    compared = re.findall(r"(\d+) tables, (\d+) rows, 0 tables differ, last numbers equal", said)
    assert len(compared) == 4
    assert all(int(tables) > 60 and int(rows) > 3000 for tables, rows in compared)
    assert "Heads of 6 databases: equal" in said
    busy = BUSY.findall(said)
    assert len(busy) == 2
    assert all(int(number) >= 6 for number in busy)
