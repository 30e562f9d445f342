"""JSON requests to JSON results: one topic and its inputs, or a list of them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from jobs.mechanics.convert import FormatError, find_path, from_json, to_json
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.topics import TOPICS

Answer = dict[str, Any]

EXIT_DONE, EXIT_ERROR, EXIT_REFUSED = 0, 1, 2


def solve(request: object) -> Answer:
    """Answer to one request {"topic": ..., "inputs": {...}}: its results, a refusal, or an error with its path."""
    topic = request.get("topic") if isinstance(request, Mapping) else None
    head: Answer = {"topic": topic if isinstance(topic, str) else None}
    try:
        return head | _results(request)
    except Refused as refusal:
        return head | {"refused": refusal.code, "message": refusal.message}
    except FormatError as error:
        return head | {"error": error.message, "path": error.path}


def solve_document(document: object) -> Answer | list[Answer]:
    """Answers to a whole document: one request or a list of them."""
    if isinstance(document, list):
        return [solve(request) for request in document]
    return solve(document)


def read_document(text: str) -> object:
    """JSON text as plain values; raises FormatError for text that is not JSON and for repeated keys.

    NaN and Infinity are read, so that the request they stand in is refused with their path.
    """
    try:
        return json.loads(text, object_pairs_hook=_without_repeats)
    except json.JSONDecodeError as error:
        raise FormatError(f"not JSON: {error.msg} in line {error.lineno}, column {error.colno}", "") from error
    except (RecursionError, ValueError) as error:
        raise FormatError(f"not JSON that can be read: {error}", "") from error


def exit_status(answers: Answer | list[Answer]) -> int:
    """1 where any answer is an error, else 2 where any is a refusal, else 0."""
    every = answers if isinstance(answers, list) else [answers]
    if any("error" in answer for answer in every):
        return EXIT_ERROR
    return EXIT_REFUSED if any("refused" in answer for answer in every) else EXIT_DONE


def _results(request: object) -> Answer:
    if not isinstance(request, Mapping):
        raise FormatError("an object with topic and inputs expected", "")
    for key in request:
        if key not in ("topic", "inputs"):
            raise FormatError("unknown key", str(key))
    name = request.get("topic")
    if not isinstance(name, str) or name not in TOPICS:
        raise FormatError(f"one of {', '.join(TOPICS)} expected", "topic")
    if "inputs" not in request:
        raise FormatError("missing", "inputs")
    topic = TOPICS[name]
    inputs = from_json(topic.inputs, request["inputs"], "inputs")
    try:
        return {"results": to_json(topic.run(inputs))}
    except OutOfRange as error:
        raise FormatError(str(error), find_path(inputs, error.name, "inputs") or "inputs") from error
    except (ArithmeticError, ValueError) as error:
        raise FormatError(f"these figures cannot be reckoned with: {error}", "inputs") from error


def _without_repeats(pairs: list[tuple[str, object]]) -> dict[str, object]:
    result: dict[str, object] = {}
    for key, value in pairs:
        if key in result:
            raise FormatError(f"the key {key!r} stands twice in one object", "")
        result[key] = value
    return result
