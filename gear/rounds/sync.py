"""Reading what a browser sends of a round: JSON, checked part by part."""

import datetime as dt
import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from gear.rounds.services import LONGEST_ANSWER, Device, Given

MOST_ANSWERS = 20_000
LONGEST_NAME = 60


class BadMessage(Exception):  # noqa: N818 - it says what arrived
    """What arrived is not a message of the round's script."""


@dataclass(frozen=True, slots=True)
class Message:
    """Answers and seconds by place, and the places whose failure was to be recorded."""

    device: Device
    answers: dict[int, list[Given]]
    seconds: dict[int, int]
    pressed: tuple[int, ...]


def read_message(body: bytes) -> Message:
    """The message of a browser. Raises BadMessage."""
    try:
        said = json.loads(body)
    except (ValueError, RecursionError):
        raise BadMessage("This is not JSON.") from None
    if not isinstance(said, dict):
        raise BadMessage("This is not a message of a round.")
    offset = said.get("offset_min")
    device = Device(
        name=text(said.get("device"), 40),
        now=moment(said.get("now")),
        offset_min=offset if type(offset) is int and -900 <= offset <= 900 else None,
    )
    answers: dict[int, list[Given]] = {}
    seconds: dict[int, int] = {}
    pressed = []
    for place, sent in items_of(said.get("items")):
        answers[place] = list(given_of(sent.get("answers")))
        if type(sent.get("seconds")) is int:
            seconds[place] = sent["seconds"]
        if sent.get("fail") is True:
            pressed.append(place)
    if sum(map(len, answers.values())) > MOST_ANSWERS:
        raise BadMessage("Too many answers at once.")
    return Message(device, answers, seconds, tuple(pressed))


def items_of(said: Any) -> Iterable[tuple[int, dict[str, Any]]]:
    if not isinstance(said, dict):
        raise BadMessage("No items.")
    for place, sent in said.items():
        if not (place.isascii() and place.isdigit() and len(place) <= 4 and isinstance(sent, dict)):
            raise BadMessage("An item is named by its place in the round.")
        yield int(place), sent


def given_of(said: Any) -> Iterable[Given]:
    if said is None:
        return
    if not isinstance(said, dict):
        raise BadMessage("Answers go by the name of their box.")
    for name, answer in said.items():
        if not (isinstance(answer, list) and len(answer) == 2):
            raise BadMessage("An answer is its text and its moment.")
        value = text(answer[0], None)
        if len(value) > LONGEST_ANSWER:
            raise BadMessage(f"An answer has up to {LONGEST_ANSWER} characters; nothing is cut off.")
        yield Given(text(name, LONGEST_NAME), value, moment(answer[1]))


def text(said: Any, longest: int | None) -> str:
    if not isinstance(said, str) or (longest is not None and not 0 < len(said) <= longest):
        raise BadMessage("A text is missing or too long.")
    return said


def moment(said: Any) -> dt.datetime:
    """A moment with its zone, as a browser writes it."""
    try:
        read = dt.datetime.fromisoformat(said)
    except (TypeError, ValueError):
        raise BadMessage("A moment is missing.") from None
    if read.tzinfo is None or not 2000 < read.year < 2200:
        raise BadMessage("A moment names its zone.")
    return read
