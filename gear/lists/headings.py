"""From the headings of a list to our columns, and the units that stand in them."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from crewlog.quantities.kinds import vocabulary
from gear.lists.columns import AS_SHOWN, BY_NAME, COLUMNS, NEEDED, PART_OF_ONE, READING_ONLY, USE_WORDS, Column
from gear.lists.faults import Fault

IN_CELL = "cell"  # the unit stands in each cell
BRACKETED = re.compile(r"(?P<name>.*?)\s*[(\[]\s*(?P<unit>[^()\[\]]+?)\s*[)\]]\s*", re.DOTALL)
TRAILING = re.compile(r"(?P<name>.*?\S)\s*[\s,/_]\s*(?P<unit>\S+)", re.DOTALL)
LONGEST_HEADING = 80


@dataclass(frozen=True, slots=True)
class HeadedColumn:
    """One column of a list: where it stands, what it is called, what it is taken for and in which unit."""

    index: int
    heading: str
    target: str = ""
    unit: str = ""
    asked: str = ""  # what the heading's unit asks back
    is_reading_only: bool = False

    @property
    def letter(self) -> str:
        return letter_of(self.index)

    @property
    def column(self) -> Column | None:
        return BY_NAME.get(self.target)

    @property
    def lacks_unit(self) -> bool:
        return self.column is not None and self.column.needs_unit and not self.unit

    def fault(self, words: str) -> Fault:
        return Fault(1, self.letter, self.heading, "", words)


def letter_of(index: int) -> str:
    """The spreadsheet's letter of a column, counted from nought."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def plain_heading(text: str) -> str:
    """A heading without case, points and the ways of parting words, so that the same one is found again."""
    return re.sub(r"[\s_.:#*]+", " ", text).strip().casefold()[:LONGEST_HEADING]


def _known() -> dict[str, str]:
    found: dict[str, str] = {}
    for column in COLUMNS:
        for name in (column.heading, column.written_heading, column.name, *column.known_as):
            found.setdefault(plain_heading(name), column.name)
    return found


KNOWN = _known()
READ_ONLY = {plain_heading(heading) for _, heading in READING_ONLY}


def unit_choices(column: Column) -> list[tuple[str, str]]:
    """Units a column of figures may be in."""
    if column.unit == PART_OF_ONE:
        return [("%", "per cent"), (PART_OF_ONE, "part of one, such as 0.92")]
    symbols = dict.fromkeys(vocabulary(column.quantity, "metric").spellings.values())
    return [(symbol, symbol) for symbol in symbols]


def unit_named(column: Column, text: str) -> tuple[str, str]:
    """The unit a text names for a column, and what it asks back where it could be several."""
    text = " ".join(text.split())
    if column.unit == PART_OF_ONE:
        spelled = text.casefold()
        if spelled in ("part of 1", "part of one", "ratio", "1"):
            return PART_OF_ONE, ""
        return ("%", "") if spelled in ("%", "percent", "per cent", "pct") else ("", "")
    words = vocabulary(column.quantity, "metric")
    asked = next((q for s, q in words.asked_back.items() if text == s or (len(s) > 1 and text.casefold() == s)), "")
    return ("", asked) if asked else (words.unit(text) or "", "")


def guess(index: int, heading: str) -> HeadedColumn:
    """What a heading seems to stand for; a heading not known is left out."""
    plain = plain_heading(heading)
    if plain in READ_ONLY or AS_SHOWN in plain:
        return HeadedColumn(index, heading, is_reading_only=True)
    if plain in KNOWN:
        column = BY_NAME[KNOWN[plain]]
        # our own headings carry the stored unit
        unit = column.unit if column.needs_unit and plain == plain_heading(column.written_heading) else ""
        return HeadedColumn(index, heading, column.name, unit)
    for pattern in (BRACKETED, TRAILING):
        found = pattern.fullmatch(heading.strip())
        target = KNOWN.get(plain_heading(found["name"])) if found else None
        if found is None or target is None:
            continue
        column = BY_NAME[target]
        if not column.needs_unit:
            if pattern is BRACKETED:
                return HeadedColumn(index, heading, target)
            continue
        unit, asked = unit_named(column, found["unit"])
        if unit or asked or pattern is BRACKETED:
            return HeadedColumn(index, heading, target, unit, asked)
    return HeadedColumn(index, heading)


def read_headings(cells: Sequence[object], remembered: Mapping[str, Any]) -> list[HeadedColumn]:
    """Columns with a heading, as the company took them before, else as they seem."""
    columns = []
    for index, cell in enumerate(cells):
        heading = " ".join(str(cell).split()) if cell is not None else ""
        if not heading:
            continue
        column = guess(index, heading)
        before = remembered.get(plain_heading(heading))
        if isinstance(before, Mapping):
            target, unit = str(before.get("column", "")), str(before.get("unit", ""))
            if not target or target in BY_NAME:
                unit = column.unit if target == column.target and column.unit else unit
                column = replace(column, target=target, unit=unit, is_reading_only=column.is_reading_only)
        columns.append(column)
    return columns


def chosen(columns: Iterable[HeadedColumn]) -> dict[str, dict[str, str]]:
    """Columns as they are remembered, by heading."""
    return {plain_heading(c.heading): {"column": c.target, "unit": c.unit} for c in columns if not c.is_reading_only}


def heading_faults(columns: Sequence[HeadedColumn], uses: Sequence[str]) -> list[Fault]:
    """What the headings leave open or say twice."""
    faults = []
    names: dict[str, HeadedColumn] = {}
    targets: dict[str, HeadedColumn] = {}
    for column in columns:
        twin = names.setdefault(plain_heading(column.heading), column)
        if twin is not column:
            faults.append(column.fault(f"Column {twin.letter} has the same heading. Give each its own."))
            continue
        if not column.target:
            continue
        twin = targets.setdefault(column.target, column)
        if twin is not column:
            faults.append(column.fault(f"Column {twin.letter} is read as the same. Leave one of them out."))
        elif column.lacks_unit:
            words = column.asked or "Say in which unit its numbers are, or that each cell says it."
            faults.append(column.fault(words))
    missing = [BY_NAME[name].heading for name in NEEDED if name not in targets]
    for heading in missing:
        faults.append(Fault(0, "", "", "", f"No column is read as “{heading}”. Every list needs it."))
    flags = [name for name, _ in USE_WORDS if name in targets]
    if "uses" in targets and flags:
        faults.append(targets["uses"].fault("Uses have columns of their own. Leave this one out."))
    if "uses" not in targets and not flags and not uses:
        faults.append(Fault(0, "", "", "", "No column says what the gear is used for. Say it for all rows at once."))
    return faults
