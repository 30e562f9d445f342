"""What a row of the table of services is."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from crewlog.models import Role
from tests.services.world import World


@dataclass(frozen=True)
class Service:
    """A service: who may ask for it, and what it takes besides the actor, from one company's rows.

    `own` is one that takes no row: whoever asks, it touches their own company alone.
    """

    do: Callable[..., Any]
    may: tuple[Role, ...]
    given: Callable[[World], dict[str, Any]]
    own: bool = False

    @property
    def name(self):
        return f"{self.do.__module__}.{self.do.__name__}"
