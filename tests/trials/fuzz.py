"""Many odd requests on one database: python -m tests.trials.fuzz --requests 10000 --database sqlite|postgresql."""

import argparse
import os
import subprocess
import sys
from contextlib import nullcontext
from pathlib import Path

from tests.postgresql.server import postgresql_server

ROOT = Path(__file__).resolve().parents[2]


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--requests", type=int, default=10_000)
    parser.add_argument("--database", choices=("sqlite", "postgresql"), default="sqlite")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    own = postgresql_server() if asked.database == "postgresql" else nullcontext("")
    with own as server:
        environment = {
            **os.environ,
            "CREWLOG_FUZZ_REQUESTS": str(asked.requests),
            "CREWLOG_FUZZ_SEED": str(asked.seed),
            **({"DATABASE_URL": f"{server}crewlog"} if server else {}),
        }
        command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:randomly"]
        done = subprocess.run([*command, "tests/site/test_fuzz.py"], cwd=ROOT, env=environment, check=False)
    return done.returncode


if __name__ == "__main__":
    sys.exit(main())
