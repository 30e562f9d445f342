"""The attacks on the record, on each kind of database: every one is stopped, or verifying says what it was."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from crewlog.evidence.guards.keys import guarded_tables
from tests.needs import postgresql_folder

ROOT = Path(__file__).resolve().parents[2]
LINE = re.compile(r"(.+): (stopped|caught|UNSEEN)(?: \((.+)\))?")


def outcomes(vendor):
    """Each attack with its outcome, and what verifying said."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.attacks.record", vendor],
        cwd=ROOT, env={**os.environ, "PYTHONWARNINGS": "default"}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    found = {m[1]: (m[2], m[3] or "") for line in done.stdout.splitlines() if (m := LINE.fullmatch(line))}
    assert len(found) > 130, done.stdout[-3000:] + done.stderr[-3000:]
    assert done.returncode == (1 if "UNSEEN" in {word for word, _ in found.values()} else 0)
    return found


@pytest.mark.parametrize("vendor", ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def test_every_attack_on_the_record_is_stopped_or_caught(vendor):
    if vendor == "postgresql":
        postgresql_folder()
    found = outcomes(vendor)
    unseen = {name for name, (word, _) in found.items() if word == "UNSEEN"}
    assert unseen == set()
    standing = ("UPDATE", "DELETE", "ON CONFLICT DO UPDATE", "INSERT OR REPLACE" if vendor == "sqlite" else "TRUNCATE")
    for table in guarded_tables():
        for way in standing:
            assert found[f"{way} on {table.name}"] == ("stopped", ""), (way, table.name)
    for name, (word, said) in found.items():
        assert word != "caught" or said, name
