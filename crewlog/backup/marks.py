"""What is known of heads outside of the database, which a restore may not lose; and when a back-up was taken."""

from collections import deque
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.backup.proof import Head, heads_of
from crewlog.evidence.marks import database_key, read_marks
from crewlog.site.stamps import write_stamp


def known_heads(here: BaseDatabaseWrapper | None) -> list[Head]:
    """Heads that what is restored has to hold: those of the database that stands here now, where there is one, and
    those noted outside of it, which stay when the database is lost.
    """
    noted = list(noted_heads())
    if here is None or not {"crewlog_company", "crewlog_record"} <= set(here.introspection.table_names()):
        return noted
    return [*heads_of(here), *noted]


def noted_heads() -> Iterator[Head]:
    """The mark noted last of each company of the database that the settings name. After a loss that was accepted it is
    one of the records entered since, though marks with higher numbers stand before it.
    """
    for path in sorted(Path(settings.HEADS_DIR).glob(f"{database_key('default')}-*.heads")):
        company = int(path.stem.rpartition("-")[2])
        for last in deque(read_marks(path), maxlen=1):
            yield Head(company, f"company {company}, as noted on {last.noted_at:%Y-%m-%d}", last.sequence, last.hash)


def note_backup(said: dict[str, Any]) -> None:
    """Say that a whole back-up was taken now: `check_site` reads when. Raises OSError where that cannot be written."""
    write_stamp("backup", **said)
