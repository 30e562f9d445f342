"""Remove uploads that waited longer than a day, and files that no record names."""

from typing import Any

from crewlog.commands import CrewlogCommand
from gear.services.files import sweep_uploads


class Command(CrewlogCommand):
    help = "Removes uploads that waited longer than a day, and files older than a day that no record names."

    def handle(self, *args: Any, **options: Any) -> None:
        gone = sweep_uploads()
        self.stdout.write(f"{gone} file{'' if gone == 1 else 's'} removed.")
