"""What a form showed when it was opened. It travels in it, signed, so that the save can tell what came between."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Self

from django.core import signing
from django.utils import timezone

from crewlog.evidence import to_plain

SALT = "crewlog.stale"
TOKEN = "opened"  # noqa: S105 - the name of the form's hidden box
CHOICE = "choose-"
THEIRS, MINE = "theirs", "mine"


@dataclass(frozen=True, slots=True)
class Opened:
    """The values of a row and its child rows as a form showed them, in plain JSON.

    `values` is None where nobody can tell what was shown: an old page, a program, a token that does not fit. `asked`
    holds what a comparison left to the person to choose, each with the value it had when the form was first opened;
    `choices` what they chose.
    """

    about: str
    values: Mapping[str, Any] | None
    at: dt.datetime = field(default_factory=timezone.now)
    asked: Mapping[str, Any] = field(default_factory=dict)
    choices: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def now(cls, about: str, values: Mapping[str, Any]) -> Self:
        """A form that is shown for the first time."""
        return cls(about=about, values=to_plain(values))

    @classmethod
    def sent(cls, about: str, data: Mapping[str, Any]) -> Self:
        """What came back with a form. A token of another row, or one that was tampered with, tells nothing."""
        choices = {
            name.removeprefix(CHOICE): str(data.get(name))
            for name in data
            if name.startswith(CHOICE) and data.get(name) in (THEIRS, MINE)
        }
        try:
            held = signing.loads(str(data.get(TOKEN, "")), salt=SALT)
            if held["about"] != about:
                return cls(about=about, values=None)
            at = dt.datetime.fromisoformat(held["at"])
            return cls(about=about, values=held["values"], at=at, asked=held["asked"], choices=choices)
        except (signing.BadSignature, ValueError, KeyError, TypeError):
            return cls(about=about, values=None)

    @property
    def token(self) -> str:
        """What the form carries."""
        held = {"about": self.about, "values": self.values, "at": self.at.isoformat(), "asked": self.asked}
        return signing.dumps(held, salt=SALT, compress=True)

    @property
    def is_settled(self) -> bool:
        """Whether everything that was asked is chosen."""
        return all(name in self.choices for name in self.asked)

    @property
    def takes_theirs(self) -> tuple[str, ...]:
        """The names for which the other person's value was chosen, once all are chosen."""
        if not self.is_settled:
            return ()
        return tuple(name for name in self.asked if self.choices[name] == THEIRS)

    def shown(self, name: str) -> Any:
        """A value as it was when the person first opened the form."""
        if name in self.asked:
            return self.asked[name]
        return (self.values or {}).get(name)
