"""The whole register of defaults and limits, with the relations that rest on each.

Importing it makes sure that every module that enters values has done so. What uses a value is read from the modules'
own text, so that the list cannot fall behind them.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from jobs.mechanics import limits, rating_data, uncertainty_inputs
from jobs.mechanics.defaults import DEFAULTS, Default

REGISTERS = (limits, rating_data, uncertainty_inputs)  # beside defaults itself
MECHANICS = Path(limits.__file__).parent
FROM_TABLES = {"knot_": "TERMINATIONS", "choke_from_": "CHOKE_STEPS"}  # entered in a loop over these
LONGEST_CHAIN = 3  # a constant made from a constant made from one of the register


@dataclass(frozen=True, slots=True)
class Use:
    """A relation or an input that rests on a value: its name in the code and the first line of what it says."""

    name: str
    words: str


def all_defaults() -> tuple[Default, ...]:
    """Every default and limit, in the order they are entered."""
    return tuple(DEFAULTS.values())


@cache
def uses() -> dict[str, tuple[Use, ...]]:
    """What rests on each default, by its name in the register."""
    relations = (path for path in sorted(MECHANICS.rglob("*.py")) if path.parent.name != "working")  # it only explains
    paths = (*relations, MECHANICS.parent / "plans" / "to_mechanics.py")
    nodes = [node for path in paths for node in ast.parse(path.read_text(encoding="utf-8")).body]
    constants = _constants(nodes)
    found: dict[str, dict[str, Use]] = {}
    for node in nodes:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            said = ast.get_docstring(node) or node.name.strip("_").replace("_", " ").capitalize()
            use = Use(node.name, said.partition("\n")[0].rstrip(".").replace("`", ""))
            for entry in {entry for name in _names(node) for entry in constants.get(name, ())}:
                found.setdefault(entry, {})[node.name] = use
    return {name: _told(by_name.values()) for name, by_name in found.items()}


def _told(found: Iterable[Use]) -> tuple[Use, ...]:
    """By name; helpers only where nothing else uses the value."""
    listed = sorted(found, key=lambda use: use.name)
    return tuple(use for use in listed if not use.name.startswith("_")) or tuple(listed)


def _constants(nodes: list[ast.stmt]) -> dict[str, set[str]]:
    """Names in the register behind each constant; one made from others stands for all of theirs."""
    found = {constant: {d for d in DEFAULTS if d.startswith(prefix)} for prefix, constant in FROM_TABLES.items()}
    assigned = [(name, _entered(value), _names(value)) for node in nodes for name, value in _assigned(node)]
    for _ in range(LONGEST_CHAIN):
        for name, entered, others in assigned:
            found.setdefault(name, set()).update(entered, *(found[other] for other in others if other in found))
    return found


def _assigned(node: ast.stmt) -> Iterator[tuple[str, ast.expr]]:
    if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
        yield node.targets[0].id, node.value
    elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) and node.value is not None:
        yield node.target.id, node.value


def _entered(value: ast.expr) -> set[str]:
    """Names given to `record` in an expression."""
    calls = (n for n in ast.walk(value) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name))
    return {
        str(call.args[0].value)
        for call in calls
        if getattr(call.func, "id", "") == "record" and isinstance(call.args[0], ast.Constant)
    }


def _names(node: ast.AST) -> set[str]:
    """Every name a piece of code reads, by itself or of a module."""
    found = set()
    for each in ast.walk(node):
        if isinstance(each, ast.Name):
            found.add(each.id)
        elif isinstance(each, ast.Attribute):
            found.add(each.attr)
    return found
