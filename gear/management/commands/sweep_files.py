"""Remove uploads that waited longer than a day, files that no record names, and old keys of forms."""

from typing import Any

from crewlog.commands import CrewlogCommand
from crewlog.once.sweep import sweep_sent_forms
from gear.files.services import sweep_uploads


class Command(CrewlogCommand):
    needs_database = True
    help = "Removes uploads that waited longer than a day, files older than a day that no record names, "
    help += "and the keys of forms sent more than 30 days ago."

    def handle(self, *args: Any, **options: Any) -> None:
        gone = sweep_uploads()
        self.stdout.write(f"{gone} file{'' if gone == 1 else 's'} removed.")
        keys = sweep_sent_forms()
        self.stdout.write(f"{keys} key{'' if keys == 1 else 's'} of forms sent long ago removed.")
