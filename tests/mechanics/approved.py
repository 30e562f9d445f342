"""What readers and programs are shown, as text kept beside the tests: the working of sample plans, the JSON Schema.

It holds words, units and signs against a change nobody meant; whether a figure is right is checked elsewhere.
A person reads over what changes in it. `python -m tests.mechanics.approved` writes the texts anew.
"""

import json
from pathlib import Path

from jobs.mechanics.convert import from_json
from jobs.mechanics.inverse import least
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.schema import exchange_schema
from jobs.mechanics.working.line import shown
from jobs.mechanics.working.measured import least_lines, measured_lines
from jobs.mechanics.working.whole import working_of
from tests.mechanics.plans import full_inputs, passing_inputs, solved

FOLDER = Path(__file__).parent / "approved"
READINGS = [(200.0, 800.0), (210.0, 850.0), (190.0, 780.0)]


def full():
    return as_text(working_of(solved(full_inputs(), {"uncertainty": {"samples": 200}})))


def passing():
    return as_text(working_of(solved(passing_inputs())))


def strapped():
    return as_text(working_of(solved(passing_inputs(), {"window.method": "bore_with_strap"})))


def asked():
    people = least(from_json(PlanInput, passing_inputs(), "inputs"), "people")
    return as_text([*measured_lines(5, "to_advantage", READINGS), *least_lines(people)])


def schema():
    return json.dumps(exchange_schema(), indent=1, ensure_ascii=False) + "\n"


TEXTS = {"full.txt": full, "passing.txt": passing, "strapped.txt": strapped, "asked.txt": asked, "schema.json": schema}


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


if __name__ == "__main__":
    for name, text in TEXTS.items():
        (FOLDER / name).write_text(text(), encoding="utf-8")
