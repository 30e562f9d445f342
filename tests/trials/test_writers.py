"""The trials of many writers, with fewer of them: nothing is lost, nothing doubled, nobody sees an error."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.needs import postgresql_folder
from tests.width import FULL

ROOT = Path(__file__).resolve().parents[2]


def results(database, *names, writers):
    command = [
        sys.executable,
        "-m",
        "tests.trials.writers",
        "--database",
        database,
        "--json",
        "--writers",
        str(writers),
    ]
    for name in names:
        command += ["--only", name]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-3000:]
    return {result["trial"]: result for result in json.loads(done.stdout.splitlines()[-1])["results"]}


def must_hold(found, *, few, equal):
    assert not [sentence for result in found.values() for sentence in result["wrong"]]
    assert (found["booking"]["issued"], found["booking"]["double_booked"]) == (1, few - 1)
    withdrawal = found["withdrawal"]
    assert withdrawal["in_force"] == 0
    assert withdrawal["issued_then_withdrawn"] + withdrawal["refused"] == few
    withdrawing = found["withdrawing"]
    assert withdrawing["withdrawals"] == 1
    assert withdrawing["chosen"] + withdrawing["told_of_another"] == few
    assert found["plan"]["saved"] == few
    assert found["plan"]["told_of_another"] >= few - 1
    assert found["keeping"]["of_another"] == 0
    assert found["keeping"]["kept"] + found["keeping"]["told_of_another"] == 12
    assert [equal[name] for name in ("inspections", "events", "revisions")] == [1, 1, 1]


def must_lose_and_double_nothing(database):
    """Three writers in one run of the trials; in full sixteen who send the same form, in a run of its own."""
    found = results(database, "booking", "withdrawal", "withdrawing", "plan", "keeping", "once", writers=3)
    must_hold(found, few=3, equal=found["once"])
    if FULL:
        sixteen = results(database, "once", writers=16)["once"]
        assert [sixteen[name] for name in ("wrong", "inspections", "events", "revisions")] == [[], 1, 1, 1]


def test_many_writers_lose_and_double_nothing_on_sqlite():
    must_lose_and_double_nothing("sqlite")


@pytest.mark.postgres
def test_many_writers_lose_and_double_nothing_on_postgresql():
    postgresql_folder()
    must_lose_and_double_nothing("postgresql")
