"""The trial of copies, as it is run by hand."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.needs import postgresql_folder

pytestmark = pytest.mark.postgres


def test_demo_copied_every_way_is_equal_and_a_busy_database_is_backed_up_whole(demo_folder):
    postgresql_folder()
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    done = subprocess.run(
        [sys.executable, "-m", "tests.trials.copies", str(demo_folder)],
        cwd=Path(__file__).resolve().parents[2], env=kept, capture_output=True, text=True, timeout=900, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-3000:]
    compared = re.findall(r"(\d+) tables, (\d+) rows, 0 tables differ, last numbers equal", done.stdout)
    assert len(compared) == 4
    assert all(int(tables) > 60 and int(rows) > 3000 for tables, rows in compared)
    assert "Heads of 6 databases: equal" in done.stdout
    busy = re.findall(r"(\d+) acknowledged before it began, 0 of them missing", done.stdout)
    assert len(busy) == 2
    assert all(int(number) >= 6 for number in busy)
