"""Attacks on the record by somebody who may do anything in the database.

    python -m tests.attacks.record [sqlite] [postgresql]

Prints a line for each attack: stopped, caught with what was said, or UNSEEN. Exit 1 when one went unseen.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from contextlib import ExitStack

HERE = "--here"  # the process that has its own database


def main(arguments: list[str]) -> int:
    if HERE in arguments:
        return attack_here()
    unseen = 0
    for vendor in arguments or ["sqlite", "postgresql"]:
        print(f"== {vendor}", flush=True)
        unseen |= run_on(vendor)
    return 1 if unseen else 0


def run_on(vendor: str) -> int:
    """The same program again, in a process whose settings name a database of its own."""
    from tests.postgresql.server import postgresql_server

    folder = tempfile.mkdtemp(prefix="crewlog-attacks-")
    with ExitStack() as stack:
        stack.callback(shutil.rmtree, folder, ignore_errors=True)
        if vendor == "postgresql":
            url = stack.enter_context(postgresql_server()) + "postgres"
        else:
            url = f"sqlite:///{folder}/record.sqlite3"
        environment = {
            **os.environ,
            "DATABASE_URL": url,
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "CREWLOG_VAR": folder,
            "CREWLOG_FILES": f"{folder}/files",
            "CREWLOG_HEADS": f"{folder}/heads",
        }
        command = [sys.executable, "-m", "tests.attacks.record", HERE]
        return subprocess.run(command, env=environment, check=False).returncode


def attack_here() -> int:
    import django

    django.setup()
    from tests.attacks.attacks import Outcome, all_attacks, carry_out
    from tests.attacks.world import build

    world, unseen = build(), 0
    for attack in all_attacks():
        outcome = carry_out(attack, world)
        unseen += outcome.word == Outcome.UNSEEN
        print(f"{attack.name}: {outcome}", flush=True)
    print(f"unseen: {unseen}", flush=True)
    return 1 if unseen else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
