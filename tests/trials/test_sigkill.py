"""The trial of kills with small numbers: what is acknowledged is stored, what is interrupted passes for nothing."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.needs import postgresql_folder
from tests.width import wide

ROOT = Path(__file__).resolve().parents[2]
KILLS, BACKUPS = wide(6, 3), wide(2, 1)
SERVER_KILLS, SERVER_EVERY = wide((20, 10), (4, 2))  # the backend once, the whole server once


def trial(database, *, times, server_every):
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "CI") if name in os.environ}
    return subprocess.run(
        [sys.executable, "-m", "tests.trials.sigkill", "--database", database, "--times", str(times),
         "--server-every", str(server_every), "--backups", str(BACKUPS)],
        cwd=ROOT, env=kept, capture_output=True, text=True, timeout=900, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("database", ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def test_nothing_that_was_acknowledged_is_lost_and_the_chain_is_whole(database):
    if database == "postgresql":
        postgresql_folder()
    times = KILLS if database == "sqlite" else SERVER_KILLS
    done = trial(database, times=times, server_every=SERVER_EVERY)
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-3000:]
    figures = dict(re.findall(r"'([a-z ]+)': (\d+)", done.stdout.splitlines()[-1]))
    assert int(figures["acknowledged"]) >= int(figures["kills"]) >= KILLS
    assert (figures["lost"], figures["faults"], figures["false"]) == ("0", "0", "0")
    assert int(figures["whole"]) >= 1
    if database == "postgresql":
        assert (figures["backend"], figures["server"]) == ("1", "1")
