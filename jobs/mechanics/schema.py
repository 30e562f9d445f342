"""JSON Schema of requests and answers, from the same classes that read and write them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin

from jobs.mechanics.convert import hints_of, is_required
from jobs.mechanics.topics import TOPICS

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]


def exchange_schema() -> Schema:
    """Schema of a request document (one request or a list); answers are described under $defs/answer."""
    definitions: Schema = {}
    requests, results = [], []
    for name, topic in TOPICS.items():
        requests.append(
            _closed({"topic": {"const": name}, "inputs": _of(topic.inputs, definitions)}, ["topic", "inputs"])
        )
        results.append(
            _closed({"topic": {"const": name}, "results": _of(topic.result, definitions)}, ["topic", "results"])
        )
    text = {"type": "string"}
    topic_name = {"type": ["string", "null"]}
    refusal = _closed({"topic": text, "refused": text, "message": text}, ["topic", "refused", "message"])
    error = _closed({"topic": topic_name, "error": text, "path": text}, ["topic", "error", "path"])
    definitions["request"] = {"oneOf": requests}
    definitions["answer"] = {"oneOf": [*results, refusal, error]}
    one_or_many = [{"$ref": "#/$defs/request"}, {"type": "array", "items": {"$ref": "#/$defs/request"}}]
    return {"$schema": DIALECT, "title": "Pull plan requests", "oneOf": one_or_many, "$defs": definitions}


def _closed(properties: Schema, required: list[str]) -> Schema:
    return {"type": "object", "properties": properties, "required": required, "additionalProperties": False}


def _of(kind: Any, definitions: Schema) -> Schema:
    origin = get_origin(kind)
    if origin in (Union, UnionType):
        return {"anyOf": [_of(choice, definitions) for choice in get_args(kind)]}
    if origin is Literal:
        return {"enum": list(get_args(kind))}
    if origin is tuple:
        return _list_of(get_args(kind), definitions)
    if origin is not None and issubclass(origin, Mapping):
        return _mapping_of(get_args(kind), definitions)
    if is_dataclass(kind):
        return _reference(kind, definitions)
    return {"type": _JSON_TYPES[kind]}


_JSON_TYPES = {bool: "boolean", int: "integer", float: "number", str: "string", NoneType: "null"}


def _list_of(parts: tuple[Any, ...], definitions: Schema) -> Schema:
    if parts[-1] is Ellipsis:
        return {"type": "array", "items": _of(parts[0], definitions)}
    items = [_of(part, definitions) for part in parts]
    return {"type": "array", "prefixItems": items, "items": False, "minItems": len(items)}


def _mapping_of(parts: tuple[Any, ...], definitions: Schema) -> Schema:
    key_kind, value_kind = parts
    schema: Schema = {"type": "object", "additionalProperties": _of(value_kind, definitions)}
    if get_origin(key_kind) is Literal:
        schema["propertyNames"] = {"enum": list(get_args(key_kind))}
    return schema


def _reference(kind: Any, definitions: Schema) -> Schema:
    name = kind.__name__
    if name not in definitions:
        definitions[name] = {}  # stands in while the class's own fields are described
        definitions[name] = _record_of(kind, definitions)
    return {"$ref": f"#/$defs/{name}"}


def _record_of(kind: Any, definitions: Schema) -> Schema:
    hints = hints_of(kind)
    properties, required = {}, []
    for entry in fields(kind):
        if entry.metadata.get("internal"):
            continue
        properties[entry.name] = _of(hints[entry.name], definitions)
        if is_required(entry) and not entry.metadata.get("omit_none"):
            required.append(entry.name)
        pattern = entry.metadata.get("key_pattern")
        if pattern is not None:
            properties[entry.name]["propertyNames"] = {"pattern": pattern}
    return _closed(properties, required)
