"""The working of three sample plans as text, kept beside the tests and read over by a person when it changes.

`python -m tests.mechanics.approved` writes the texts anew from the code as it is.
"""

from pathlib import Path

from jobs.mechanics.working import shown
from jobs.mechanics.working_plan import working_of
from tests.mechanics.plans import full_inputs, passing_inputs, solved

FOLDER = Path(__file__).parent / "approved"
APPROVED = {name: FOLDER / f"{name}.txt" for name in ("full", "passing", "strapped")}


def as_text(lines):
    """Every line of a working with all that a reader is shown of it, numbers to four digits."""
    rows = []
    for line in lines:
        result = line.result_words or shown(line.result)
        rows += [
            f"{line.group} | {line.title} | {line.path}",
            f"    {line.formula}",
            f"    {line.substituted}",
            f"    {line.symbol_name} = {result} {line.unit} [{line.source}] {line.default_basis}".rstrip(),
        ]
    return "\n".join(rows) + "\n"


def write():
    plans = {
        "full": solved(full_inputs(), {"uncertainty": {"samples": 200}}),
        "passing": solved(passing_inputs()),
        "strapped": solved(passing_inputs(), {"window.method": "bore_with_strap"}),
    }
    FOLDER.mkdir(exist_ok=True)
    for name, plan in plans.items():
        APPROVED[name].write_text(as_text(working_of(plan)), encoding="utf-8")


if __name__ == "__main__":
    write()
