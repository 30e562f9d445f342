"""Whether a row says of an item what the register says."""

import math
from collections.abc import Iterator
from typing import Any

from crewlog.quantities.units import SAME
from gear.catalogue.classes import BY_CODE
from gear.lists.columns import BY_NAME, RETIREMENT
from gear.lists.faults import shown
from gear.lists.reading import ReadRow
from gear.lists.values import decimal_text
from gear.models import GearItem


def differences(read: ReadRow, item: GearItem) -> Iterator[tuple[str, str]]:
    """(column, words) for every fact that a row states otherwise than the register."""
    if read.tag != item.tag:
        yield "tag", f"The register writes this tag {item.tag}."
    for name, value in read.facts.items():
        if name != "tag" and not _agrees(name, value, _on_record(item, name), item):
            yield name, _words(item, name, _on_record(item, name))
    for name, tag in read.references.items():
        other = getattr(item, name)
        if tag.upper() != (other.tag.upper() if other is not None else ""):
            yield name, _words(item, name, other.tag if other is not None else None)
    for name in RETIREMENT:
        if name in read.retirement and (read.retirement[name] or None) != (_on_record(item, name) or None):
            yield name, _words(item, name, _on_record(item, name))


def _on_record(item: GearItem, name: str) -> Any:
    if name == "disposal":
        retirement = getattr(item, "retirement", None)
        return retirement.disposal if retirement is not None else None
    if name == "spliced_by":
        return str(item.spliced_by_id) if item.spliced_by_id else None
    return getattr(item, name)


def _agrees(name: str, value: Any, on_record: Any, item: GearItem) -> bool:
    if name == "design_factor" and value is None:
        value = BY_CODE[item.gear_class].design_factor
    if isinstance(value, float) and isinstance(on_record, float):
        return math.isclose(value, on_record, rel_tol=SAME)
    return bool((value if value not in ("", None) else None) == (on_record if on_record != "" else None))


def _words(item: GearItem, name: str, on_record: Any) -> str:
    """What the register says instead."""
    column = BY_NAME[name]
    if on_record in (None, "", []):
        return f"{item.tag} is in the register without this."
    if isinstance(on_record, bool):
        said = "yes" if on_record else "no"
    elif isinstance(on_record, float):
        said = f"{decimal_text(on_record)} {column.unit if column.unit != '1' else ''}".strip()
    elif column.choices and not isinstance(on_record, list):
        said = dict(column.choices).get(on_record, str(on_record))
    elif isinstance(on_record, list):
        said = ", ".join(dict(column.choices).get(one, str(one)) for one in on_record)
    else:
        said = shown(on_record)
    return f"{item.tag} is in the register with {said}."
