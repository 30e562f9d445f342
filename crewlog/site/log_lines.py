"""How a line of the log is written, and what it knows of the request it belongs to. Needs no models."""

from __future__ import annotations

import datetime as dt
import json
import logging
import re
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any

from crewlog.site.masking import masked

PLAIN = re.compile(r"[^\s\"=]+")
logger = logging.getLogger("crewlog.site")


@dataclass(slots=True)
class Asked:
    """The request that a line belongs to."""

    request_id: str
    person: str = ""
    rules: list[str] = field(default_factory=list)


ASKED: ContextVar[Asked | None] = ContextVar("crewlog_asked", default=None)


def event(name: str, *, level: int = logging.INFO, **fields: Any) -> None:
    """Write one line. `fields` hold codes, ids and numbers, never what somebody typed."""
    logger.log(level, name, extra={"event": name, "fields": fields})


class LogLine(logging.Formatter):
    """Fields as `key=value`, or as one JSON object a line (CREWLOG_LOG=json)."""

    def __init__(self, *args: Any, style_of_lines: str = "text", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.as_json = style_of_lines == "json"

    def format(self, record: logging.LogRecord) -> str:
        said = self.fields(record)
        trace = masked(self.formatException(record.exc_info)) if record.exc_info else ""
        if self.as_json:
            return json.dumps(said | ({"trace": trace} if trace else {}), ensure_ascii=False, default=str)
        line = " ".join(f"{key}={quoted(value)}" for key, value in said.items())
        return f"{line}\n{trace}" if trace else line

    def fields(self, record: logging.LogRecord) -> dict[str, Any]:
        moment = dt.datetime.fromtimestamp(record.created, dt.UTC).isoformat(timespec="milliseconds")
        said: dict[str, Any] = {"time": moment.replace("+00:00", "Z"), "level": record.levelname.lower()}
        name = getattr(record, "event", "")
        said |= {"event": name} if name else {"logger": record.name, "message": masked(record.getMessage())}
        asked = ASKED.get()
        if asked is not None:
            said |= {"request": asked.request_id, "person": asked.person}
        said |= getattr(record, "fields", {})
        return {key: value for key, value in said.items() if value not in ("", None)}


def quoted(value: Any) -> str:
    text = str(value)
    return text if PLAIN.fullmatch(text) else json.dumps(text, ensure_ascii=False)
