"""Moving the database to the other kind, or to another place: the same rows, keys, moments and heads."""

from crewlog.backup.databases import Config, called, for_reading, must_be_current, must_exist, one_state, opened
from crewlog.backup.errors import CopyRefused
from crewlog.backup.placing import Placed, place


def move_database(*, source: Config, target: Config, stamp: str) -> Placed:
    """Copy the database into an empty one. Nobody can write to the source meanwhile; it is not changed.

    Every row of every table is compared and every chain recomputed before the target can be seen. Raises
    CopyRefused and CopyInputError.
    """
    if called(source) == called(target):
        raise CopyRefused(f"{called(target)} is the database that is moved.", code="same-database")
    must_exist(source)
    reading = for_reading(source, hold_writers=True)
    with opened(reading, "backup_source") as held, one_state(held, hold_writers=True):
        must_be_current(held)
        return place(held, target, stamp=stamp)
