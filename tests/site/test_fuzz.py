"""Odd requests are answered; none breaks the program. The long run: python -m tests.trials.fuzz."""

import logging
import os

import pytest

from tests.trials.fuzzing import Fuzzer
from tests.web.test_access import PEOPLE, ROWS, anonymous, arguments, lapsed, split_row

__all__ = ["anonymous", "arguments", "lapsed"]
pytestmark = pytest.mark.django_db
SEED = int(os.environ.get("CREWLOG_FUZZ_SEED", "20261125"))
REQUESTS = int(os.environ.get("CREWLOG_FUZZ_REQUESTS", "300"))


def test_no_odd_request_breaks_the_program(request, arguments, caplog, capsys):
    for name in ("django", "crewlog"):
        caplog.set_level(logging.CRITICAL, logger=name)  # hundreds of refusals are expected here
    people = {name: request.getfixturevalue(name) for name in PEOPLE}
    rows = [(name, needed, method) for name, needed, method, _ in map(split_row, ROWS)]
    outcome = Fuzzer(seed=SEED, rows=rows, arguments=arguments, people=people).run(REQUESTS)
    with capsys.disabled():
        print(f"\nfuzz, seed {SEED}: {outcome}")
    assert not outcome.broken, "\n".join(outcome.broken)
    assert sum(outcome.statuses.values()) == REQUESTS
    assert {200, 302, 403, 404, 422} <= set(outcome.statuses)
