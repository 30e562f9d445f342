"""The register as a table: what a list of ours holds, and the empty one to fill in."""

import datetime as dt
from collections.abc import Iterator, Sequence
from typing import Any

from crewlog.models import Company
from crewlog.quantities.kinds import kind_named
from crewlog.quantities.units import Direction, Unit, round_to
from gear.fitness.statuses import Status
from gear.lists.columns import AS_SHOWN, BY_NAME, COLUMNS, PART_OF_ONE, READING_ONLY, Column
from gear.lists.table import Heading, Table, Value
from gear.models import GearItem
from gear.register.pages import register_items
from gear.register.store_list import StoreFilter

CHUNK = 500
WRITTEN = tuple(column for column in COLUMNS if column.kind != "uses")
STATUS_WORDS: dict[Status, str] = {
    "unfit": "Out of use",
    "overdue": "Overdue",
    "due": "Due soon",
    "in_service": "In service",
    "retired": "Retired",
}

TEMPLATE = (
    "tag", "gear_class", "description", "construction", "maker", "maker_model", "serial", "batch", "standard_marked",
    "colour_tracer", "material", "uses", "working_load_limit_n", "breaking_strength_n", "vertical_rating_n",
    "choker_rating_n", "basket_rating_n", "minor_axis_strength_n", "gate", "terminations", "length_m", "diameter_mm",
    "mass_kg", "rope_diameter_min_mm", "rope_diameter_max_mm", "sheave_diameter_mm", "sheave_count",
    "manufactured_on", "is_unused", "first_used_on", "maker_interval_months", "storage_place", "assembly",
    "parts_expected", "borrowed_from", "due_back_on", "documents", "notes",
)  # fmt: skip
EXAMPLE: dict[str, Value] = {
    "tag": "# R-07 (an example; a row whose tag begins with # is left out)",
    "gear_class": "Rope",
    "description": "Line, 14 mm, 45 m",
    "construction": "Double braid",
    "maker": "as marked",
    "serial": "00417",
    "colour_tracer": "blue",
    "material": "Polyester",
    "uses": "Pulling at ground level; Lifting or lowering",
    "terminations": "Sewn eye",
    "manufactured_on": dt.date(2024, 3, 1),
    "is_unused": False,
    "first_used_on": dt.date(2024, 4, 15),
    "storage_place": "Van 1",
}
EXAMPLE_FIGURES = {"breaking_strength_n": 45_000.0, "length_m": 45.0, "diameter_mm": 14.0, "mass_kg": 5.4}


def shown_unit(column: Column, company: Company) -> Unit | None:
    """The unit the company reads a column's figures in; None for what has none, or is written in it already."""
    if not column.needs_unit or column.unit == PART_OF_ONE:
        return None
    unit = kind_named(column.quantity).shown(company.unit_system)
    return None if unit.symbol == column.unit else unit


def register_table(*, company: Company, on: dt.date, narrow: StoreFilter, as_shown: bool) -> Table:
    """The register as it stands on a day. Figures are in SI with every digit, so that the list can be brought in again.

    `as_shown` repeats them in the company's units, ratings rounded down, in columns that are never read back.
    One query for all rows.
    """
    headings = []
    for column in WRITTEN:
        headings.append(Heading(column.name, column.written_heading))
        unit = shown_unit(column, company) if as_shown else None
        if unit is not None:
            headings.append(Heading(f"{column.name}_as_shown", f"{column.heading}{AS_SHOWN} ({unit.symbol})"))
    headings += [Heading(name, words) for name, words in READING_ONLY]
    items = register_items(company=company, on=on, narrow=narrow).select_related(
        "assembly", "parent", "retirement", "spliced_by__details"
    )
    rows = (item_cells(item, company, as_shown=as_shown) for item in items.iterator(chunk_size=CHUNK))
    about = {"list": "register", "company": company.name, "on": on, "units": "SI: N, m, mm, kg, parts of 1"}
    return Table("Register", headings, rows, about)


def item_cells(item: Any, company: Company, *, as_shown: bool) -> Sequence[Value]:
    return list(_cells(item, company, as_shown=as_shown))


def _cells(item: Any, company: Company, *, as_shown: bool) -> Iterator[Value]:
    for column in WRITTEN:
        value = fact_of(item, column)
        yield value
        unit = shown_unit(column, company) if as_shown else None
        if unit is not None:
            yield shown_figure(value, column, unit)
    for name, _ in READING_ONLY:
        yield STATUS_WORDS[item.status] if name == "status" else reading_only(item, name)


def fact_of(item: GearItem, column: Column) -> Value:
    """What a cell of the list says of an item."""
    if column.kind == "item":
        other = getattr(item, column.name)
        return other.tag if other is not None else None
    if column.kind == "person":
        key = getattr(item, f"{column.name}_id")
        return str(key) if key else None
    if column.name == "disposal":
        retirement = getattr(item, "retirement", None)
        return retirement.get_disposal_display() if retirement is not None else None
    value: Any = getattr(item, column.name)
    if column.kind == "choice":
        return dict(column.choices).get(value, str(value))
    if column.kind == "ends":
        return "; ".join(dict(column.choices).get(end, end) for end in value)
    plain: Value = value
    return plain


def reading_only(item: GearItem, name: str) -> Value:
    if name == "spliced_by_name":
        return str(item.spliced_by) if item.spliced_by is not None else None
    value: Value = getattr(item, name)
    return value


def shown_figure(value: Value, column: Column, unit: Unit) -> float | None:
    """A figure in the company's unit with that unit's decimals; strengths and limits down, sizes to nearest."""
    if not isinstance(value, float):
        return None
    figure = unit.from_stored(value)
    direction: Direction = "down" if column.quantity == "force" else "nearest"
    return float(round_to(figure, f"1e-{unit.decimals(figure)}", direction))


def template_table(company: Company) -> Table:
    """The list to fill in: headings in the company's units, one example row that is left out."""
    columns = [BY_NAME[name] for name in TEMPLATE]
    headings = []
    example: list[Value] = []
    for column in columns:
        unit = shown_unit(column, company)
        symbol = unit.symbol if unit is not None else column.unit
        words = f"{column.heading} ({symbol})" if column.needs_unit else column.heading
        headings.append(Heading(column.name, words))
        figure: Value = EXAMPLE_FIGURES.get(column.name)
        if figure is not None and unit is not None:
            figure = shown_figure(figure, column, unit)
        example.append(EXAMPLE.get(column.name, figure))
    return Table("Gear", headings, [example], {"list": "template"})
