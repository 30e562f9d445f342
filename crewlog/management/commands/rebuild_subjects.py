"""Make the table of what each record is about again, from the records."""

from typing import Any

from crewlog.commands import CrewlogCommand
from crewlog.evidence import rebuild_subjects


class Command(CrewlogCommand):
    needs_database = True
    help = (
        "Makes the table by which records of an item, a person or a job are found again from the records. They are not "
        "changed; for when verify_records names a row of it that is missing or too many."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(f"The table of subjects holds {rebuild_subjects():,} rows.")
