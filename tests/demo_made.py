"""The demo as its command leaves it, made once for all processes of a run; who changes it works on a copy."""

import fcntl
import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def manage(*arguments, **environment):
    """Run manage.py with nothing set but what is given."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    return subprocess.run(
        [sys.executable, "manage.py", *map(str, arguments)],
        cwd=ROOT, env=kept | {k: str(v) for k, v in environment.items()}, capture_output=True, text=True,
        timeout=280, check=False,
    )  # fmt: skip


def made_once(tmp_path_factory):
    """The demo's folder, as CREWLOG_VAR: demo.sqlite3, files, the secret key; said.txt, what the command said."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    folder = shared / "demo"
    with (shared / "demo.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / "made").exists():
            folder.mkdir(exist_ok=True)
            places = ("--database", folder / "demo.sqlite3", "--out", folder / "out")
            done = manage("demo", "--no-serve", *places, CREWLOG_VAR=folder)
            assert done.returncode == 0, done.stdout + done.stderr
            assert done.stderr == ""
            (folder / "said.txt").write_text(done.stdout, encoding="utf-8")
            (folder / "made").touch()
    return folder


def copied(demo, database):
    """A copy of the demo's database at a path, with its files beside it."""
    database.parent.mkdir(parents=True, exist_ok=True)
    with sqlite3.connect(demo / "demo.sqlite3") as source, sqlite3.connect(database) as target:
        source.backup(target)
    source.close()
    target.close()
    shutil.copytree(demo / "files", database.parent / "files")
    return database
