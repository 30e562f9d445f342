"""Every test that touches the database, once more on a PostgreSQL server of its own: `python -m tests.postgresql`.

What is given after it goes to pytest, for instance `tests/gear -x`.
"""

import os
import subprocess
import sys
from pathlib import Path

from tests.postgresql.server import postgresql_server

ROOT = Path(__file__).resolve().parents[2]


def main(given: list[str]) -> int:
    """Exit status of the run."""
    with postgresql_server() as address:
        command = [sys.executable, "-m", "pytest", "-n", "auto", "--dist", "loadfile", *given]
        environment = {**os.environ, "DATABASE_URL": f"{address}crewlog"}
        return subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
