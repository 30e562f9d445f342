"""Plain JSON values to the input classes and results back, by looking at the classes alone."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from jobs.mechanics.errors import OutOfRange


class FormatError(Exception):
    """An input does not fit the format; `path` says where ("inputs.stages[0].parts")."""

    def __init__(self, message: str, path: str) -> None:
        super().__init__(message, path)
        self.message = message
        self.path = path


@cache
def hints_of(kind: type) -> dict[str, Any]:
    """Type hints of a class's fields, read once."""
    return get_type_hints(kind)


def from_json(kind: Any, value: object, path: str) -> Any:
    """A JSON value as an object of this type; raises FormatError where it does not fit."""
    if kind in _NAMES:
        return _plain(kind, value, path)
    origin = get_origin(kind)
    if origin in (Union, UnionType):
        return _union(get_args(kind), value, path)
    if origin is Literal:
        return _word(get_args(kind), value, path)
    if origin is tuple:
        return _tuple(get_args(kind), value, path)
    if origin is not None and issubclass(origin, Mapping):
        return _mapping(get_args(kind), value, path)
    return _record(kind, value, path)


def _plain(kind: Any, value: object, path: str) -> object:
    if kind is bool:
        if isinstance(value, bool):
            return value
    elif kind is str:
        if isinstance(value, str):
            return value
    elif kind in (int, float) and isinstance(value, int | float) and not isinstance(value, bool):
        return _number(kind, value, path)
    elif kind is NoneType and value is None:
        return None
    raise FormatError(f"{_NAMES[kind]} expected, not {_described(value)}", path)


_NAMES = {bool: "true or false", str: "text", int: "a whole number", float: "a number", NoneType: "null"}


def _number(kind: type, value: float, path: str) -> float:
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise FormatError("a finite number expected", path)
    if kind is float:
        return number
    if number != int(number):
        raise FormatError(f"a whole number expected, not {value}", path)
    return int(value)


def _described(value: object) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f"the text {value[:40]!r}"
    if isinstance(value, Mapping):
        return "an object"
    return "a list" if isinstance(value, list) else str(value)[:40]


def _union(choices: tuple[Any, ...], value: object, path: str) -> Any:
    if value is None and NoneType in choices:
        return None
    kinds = [choice for choice in choices if choice is not NoneType]
    if len(kinds) == 1:
        return from_json(kinds[0], value, path)
    lists = [choice for choice in kinds if get_origin(choice) is tuple]
    others = [choice for choice in kinds if get_origin(choice) is not tuple]
    return from_json((lists if isinstance(value, list) else others)[0], value, path)


def _word(words: tuple[Any, ...], value: object, path: str) -> object:
    if not isinstance(value, str) or value not in words:
        raise FormatError(f"one of {', '.join(words)} expected, not {_described(value)}", path)
    return value


def _tuple(parts: tuple[Any, ...], value: object, path: str) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise FormatError(f"a list expected, not {_described(value)}", path)
    if parts[-1] is Ellipsis:
        kinds = [parts[0]] * len(value)
    elif len(value) == len(parts):
        kinds = list(parts)
    else:
        raise FormatError(f"a list of {len(parts)} expected, not of {len(value)}", path)
    return tuple(from_json(kind, item, f"{path}[{i}]") for i, (kind, item) in enumerate(zip(kinds, value, strict=True)))


def _object(value: object, path: str) -> Mapping[str, object]:
    if not isinstance(value, Mapping):
        raise FormatError(f"an object expected, not {_described(value)}", path)
    return value


def _mapping(parts: tuple[Any, ...], value: object, path: str) -> dict[str, Any]:
    key_kind, value_kind = parts
    given = _object(value, path)
    for key in given:
        if get_origin(key_kind) is Literal and key not in get_args(key_kind):
            raise FormatError(f"unknown key; one of {', '.join(get_args(key_kind))} expected", f"{path}.{key}")
    return {key: from_json(value_kind, item, f"{path}.{key}") for key, item in given.items()}


def _record(kind: Any, value: object, path: str) -> Any:
    given = _object(value, path)
    known = _read_fields(kind)
    for key in given:
        if key not in known:
            raise FormatError("unknown key", f"{path}.{key}")
    arguments = {}
    for name, (entry, hint) in known.items():
        if name in given:
            _check_keys(entry, given[name], f"{path}.{name}")
            arguments[name] = from_json(hint, given[name], f"{path}.{name}")
        elif is_required(entry):
            raise FormatError("missing", f"{path}.{name}")
    try:
        return kind(**arguments)
    except OutOfRange as error:
        raise FormatError(str(error), f"{path}.{error.name}" if error.name in known else path) from error


@cache
def _read_fields(kind: type) -> Mapping[str, tuple[Field[Any], Any]]:
    """The fields of a class that a request may give, by name, each with its type."""
    hints = hints_of(kind)
    entries = [entry for entry in fields(kind) if entry.init and not entry.metadata.get("internal")]
    return {entry.name: (entry, hints[entry.name]) for entry in entries}


def _check_keys(entry: Field[Any], value: object, path: str) -> None:
    is_known = entry.metadata.get("is_known_key")
    if is_known is None or not isinstance(value, Mapping):
        return
    for key in value:
        if not is_known(key):
            raise FormatError("unknown key", f"{path}.{key}")


def is_required(entry: Field[Any]) -> bool:
    """Whether a field has no default."""
    return entry.default is MISSING and entry.default_factory is MISSING


def to_json(value: object) -> Any:
    """A result as plain JSON values; fields marked internal are left out, and those marked omit_none where None."""
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ArithmeticError("a result is not a finite number")
        return float(value)
    if isinstance(value, Mapping):
        return {key: to_json(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [to_json(item) for item in value]
    if is_dataclass(value):
        return {name: to_json(item) for name, item in _shown(value)}
    raise TypeError(f"no JSON form for {type(value).__name__}")


def _shown(owner: object) -> Iterator[tuple[str, object]]:
    """The fields of a result that are part of its JSON form, with their values."""
    kind: Any = type(owner)
    for name, is_omitted_if_none in _written_fields(kind):
        item = getattr(owner, name)
        if item is not None or not is_omitted_if_none:
            yield name, item


@cache
def _written_fields(kind: Any) -> tuple[tuple[str, bool], ...]:
    entries = [entry for entry in fields(kind) if not entry.metadata.get("internal")]
    return tuple((entry.name, bool(entry.metadata.get("omit_none"))) for entry in entries)


def find_path(owner: object, name: str, path: str) -> str | None:
    """Where in an input a field of this name sits, or None: for an error that only knows the field."""
    if isinstance(owner, tuple):
        parts = [(f"{path}[{i}]", item) for i, item in enumerate(owner)]
    elif isinstance(owner, Mapping):
        parts = [(f"{path}.{key}", item) for key, item in owner.items()]
    elif is_dataclass(owner):
        parts = [(f"{path}.{entry.name}", getattr(owner, entry.name)) for entry in fields(owner)]
        if any(entry.name == name for entry in fields(owner)):
            return f"{path}.{name}"
    else:
        return None
    found = (find_path(item, name, where) for where, item in parts)
    return next((where for where in found if where is not None), None)
