"""Plain data that blocks of every paper share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Mark = Literal["ok", "due", "over", "out", "gone", "refused", "caution", "open"]


@dataclass(frozen=True, slots=True)
class Fact:
    """A label with its value."""

    label: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """A line to sign. Empty `signed_at` leaves room for a pen."""

    role: str
    name: str
    signed_at: str = ""
