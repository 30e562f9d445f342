"""What the database itself must guarantee holds on PostgreSQL as on SQLite: the same tests, run on a server."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.postgresql.server import postgresql_server
from tests.width import wide

pytestmark = pytest.mark.postgres
ROOT = Path(__file__).resolve().parents[2]
# What leans on the database itself: triggers, constraints, order, locks, SQL that repeats a rule.
LEANS_ON_IT = (
    "tests/crewlog/test_mail.py",
    "tests/evidence/test_chain.py",
    "tests/evidence/test_guards.py",
    "tests/evidence/test_marks.py",
    "tests/evidence/test_verification.py",
    "tests/gear/test_constraints.py",
    "tests/gear/test_selectors.py",
    "tests/gear/test_state_check.py",
    "tests/jobs/test_bookings.py",
    "tests/properties/test_fitness.py",
    "tests/web/test_recorded_once.py",
    "tests/web/test_sign_in_limits.py",
)
# What writes through several services: on PostgreSQL in full, on SQLite always.
WRITES_MUCH = (
    "tests/crewlog/test_removal.py",
    "tests/crewlog/test_training.py",
    "tests/evidence/test_people_state.py",
    "tests/gear/fact_changes/test_changing.py",
    "tests/gear/test_assemblies.py",
    "tests/gear/test_failures.py",
    "tests/gear/test_loads.py",
    "tests/gear/test_retire.py",
    "tests/gear/test_rounds.py",
    "tests/jobs/test_failures_and_sheets.py",
    "tests/jobs/test_issue_sheet_command.py",
    "tests/jobs/test_standing.py",
    "tests/jobs/test_withdrawal.py",
    "tests/web/test_devices.py",
    "tests/web/test_mailed_links.py",
    "tests/web/test_second_step.py",
    "tests/web/test_stale_edits.py",
    "tests/web/test_today.py",
)
FILES = wide((*LEANS_ON_IT, *WRITES_MUCH), LEANS_ON_IT)


@pytest.fixture(scope="module")
def server():
    with postgresql_server() as address:
        yield address


def test_database_tests_pass_on_postgresql(server):
    command = [sys.executable, "-m", "pytest", "-m", "not postgres and not browser", "--color=no"]
    done = subprocess.run(
        [*command, "-p", "no:cacheprovider", *FILES],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": f"{server}crewlog", "PYTEST_ADDOPTS": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
    assert "database: postgresql" in done.stdout
    assert int(re.search(r"(\d+) passed", done.stdout)[1]) > 100
