"""The attacks: each is carried out in a transaction that is rolled back, and looked at before it is."""

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection, transaction

from crewlog.evidence import verify
from crewlog.evidence.guards.keys import MESSAGE
from crewlog.evidence.guards.trial import plain_connection
from tests.attacks import guard_attacks, history_attacks, state_attacks, table_attacks
from tests.attacks.world import World


@dataclass(frozen=True)
class Attack:
    name: str
    do: Callable[[World], None]
    files: bool = False


@dataclass(frozen=True)
class Outcome:
    STOPPED, CAUGHT, UNSEEN = "stopped", "caught", "UNSEEN"

    word: str
    said: str = ""

    def __str__(self) -> str:
        return f"{self.word} ({self.said})" if self.said else self.word


class Undo(Exception):  # noqa: N818
    """Leaves the transaction, so that the next attack finds the record whole."""


def all_attacks() -> Iterator[Attack]:
    modules = (table_attacks, guard_attacks, history_attacks, state_attacks)
    for module in modules:
        for name, do in module.attacks(connection.vendor):
            yield Attack(name, do, files=name in state_attacks.IN_FILES | history_attacks.IN_FILES)


def carry_out(attack: Attack, world: World) -> Outcome:
    """Do it as a program of one's own would, then look whether verifying sees it; the record is left as it was."""
    outcome, kept = Outcome(Outcome.UNSEEN), remembered()
    with suppress(Undo), transaction.atomic():
        try:
            with plain_connection(connection), transaction.atomic():
                attack.do(world)
        except DatabaseError as error:
            if MESSAGE not in str(error):
                raise
            outcome = Outcome(Outcome.STOPPED)
        else:
            verdict = verify(world.company, files=attack.files, trial=True)
            if not verdict.holds:
                outcome = Outcome(Outcome.CAUGHT, verdict.fault)
        raise Undo
    for path, content in kept.items():
        path.write_bytes(content)
    return outcome


def remembered() -> dict[Path, bytes]:
    """What lies outside the database and may be attacked too."""
    folders = (Path(settings.HEADS_DIR), Path(settings.FILES_DIR))
    return {path: path.read_bytes() for folder in folders for path in folder.rglob("*") if path.is_file()}
