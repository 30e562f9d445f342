"""Sixteen writers at once: booking, withdrawal against issue, withdrawing one sheet, one plan, one form sent by all.

    python -m tests.trials.writers --database sqlite
    python -m tests.trials.writers --database postgresql --writers 16

Prints what came of each trial and exits 1 where something was lost, doubled, or broke.
"""

import argparse
import json
import sys
import time

from tests.trials.database import KINDS, trial_database

NAMES = ("booking", "withdrawal", "withdrawing", "plan", "keeping", "once")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--database", choices=KINDS, required=True)
    parser.add_argument("--writers", type=int, default=16)
    parser.add_argument("--only", choices=NAMES, action="append")
    parser.add_argument("--json", action="store_true")
    given = parser.parse_args()
    with trial_database(given.database):
        from tests.trials import form_trials, writer_trials

        trials = vars(writer_trials) | vars(form_trials)

        results = []
        for name in given.only or NAMES:
            began = time.monotonic()
            result = trials[f"try_{name}"](given.writers)
            results.append({"trial": name, **result, "seconds": round(time.monotonic() - began, 1)})
            if not given.json:
                print(words_of(results[-1]), flush=True)
    if given.json:
        print(json.dumps({"database": given.database, "writers": given.writers, "results": results}))
    return 0 if all(not result["wrong"] for result in results) else 1


def words_of(result: dict) -> str:
    figures = ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in result.items() if name not in NOT_SHOWN)
    verdict = "holds" if not result["wrong"] else "WRONG: " + "; ".join(result["wrong"])
    return f"{result['trial']:<11} {verdict}  ({figures})"


NOT_SHOWN = ("trial", "wrong")

if __name__ == "__main__":
    sys.exit(main())
