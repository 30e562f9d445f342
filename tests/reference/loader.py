"""Rows of printed values: read from TOML, compared within half the last printed digit.

A row names its source, the call of `calls.py`, what is given and what is printed, as text. `compare` is "equals", or
"at most", "at least", "below" where a source sets a bound our figure must keep. `each` holds [value, printed] pairs
for the argument named by `vary`. `tolerance` replaces half the last digit where the source states how it rounds.
"""

import tomllib
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "reference"
COMPARISONS = ("equals", "at most", "at least", "below")
OBTAINED = ("read in a copy", "from memory", "common practice")
NOISE = Decimal("1e-9")
FIELDS = {
    "id", "source", "where", "obtained", "call", "given", "printed", "vary", "each", "unit", "tolerance", "compare",
    "note",
}  # fmt: skip


@dataclass(frozen=True)
class ReferenceRow:
    """One printed value and the call that must reproduce it."""

    id: str
    source: str
    where: str
    obtained: str
    call: str
    given: dict
    printed: str
    unit: str
    compare: str = "equals"
    tolerance: Decimal | None = None
    note: str = ""
    file: str = ""

    @property
    def label(self):
        varied = "-".join(str(value) for value in self.given.values() if not isinstance(value, dict | list))
        return f"{self.id}-{self.call}-{varied}"

    def agrees(self, computed):
        """Whether a computed value is what is printed, or keeps the bound that is printed."""
        if isinstance(computed, str):
            return computed == self.printed
        value, printed = Decimal(computed), Decimal(self.printed)
        slack = (half_last_digit(self.printed) if self.tolerance is None else self.tolerance) * (1 + NOISE)
        if self.compare == "equals":
            return abs(value - printed) <= slack
        if self.compare == "below":
            return value < printed
        noise = NOISE * max(Decimal(1), abs(printed))
        return value <= printed + noise if self.compare == "at most" else value >= printed - noise


def half_last_digit(printed):
    """Half of the last printed digit: "2.83" allows 0.005, "406" allows 0.5."""
    return Decimal(5).scaleb(int(Decimal(printed).as_tuple().exponent) - 1)


def load_rows(folder=FOLDER):
    """Every row of the folder, those with `each` spread out. Raises ValueError for a row that says too little."""
    rows = []
    for path in sorted(folder.glob("*.toml")):
        for entry in tomllib.loads(path.read_text(encoding="utf-8")).get("row", []):
            rows.extend(_spread(entry, path.name))
    return rows


def _spread(entry, file):
    if unknown := set(entry) - FIELDS:
        raise ValueError(f"{file}: {entry.get('id')} has unknown keys {sorted(unknown)}")
    common = {key: entry[key] for key in ("id", "source", "where", "obtained", "call", "unit")}
    if not all(common[key] for key in ("id", "source", "obtained", "call")):
        raise ValueError(f"{file}: {entry['id']} lacks its source or its call")
    compare = entry.get("compare", "equals")
    if compare not in COMPARISONS or common["obtained"] not in OBTAINED:
        raise ValueError(f"{file}: {entry['id']} compares {compare!r}, obtained {common['obtained']!r}")
    tolerance = Decimal(entry["tolerance"]) if "tolerance" in entry else None
    pairs = [({}, entry["printed"])] if "printed" in entry else [({entry["vary"]: x}, p) for x, p in entry["each"]]
    for varied, printed in pairs:
        yield ReferenceRow(
            **common,
            given=entry.get("given", {}) | varied,
            printed=printed,
            compare=compare,
            tolerance=tolerance,
            note=entry.get("note", ""),
            file=file,
        )


def load_unused(folder=FOLDER):
    """Reason by id of each row of the list that no check uses."""
    entries = tomllib.loads((folder / "unused.toml").read_text(encoding="utf-8"))["unused"]
    return {entry["id"]: entry["reason"] for entry in entries}


def load_ids(folder=FOLDER):
    """Ids of the whole list of published values, used or not."""
    return tuple(tomllib.loads((folder / "ids.toml").read_text(encoding="utf-8"))["ids"])
