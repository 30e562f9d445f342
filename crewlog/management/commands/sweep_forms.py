"""Remove the keys of forms that were sent more than 30 days ago."""

from typing import Any

from crewlog.commands import CrewlogCommand
from crewlog.once.sweep import sweep_sent_forms


class Command(CrewlogCommand):
    help = "Removes the keys of forms that were sent more than 30 days ago."

    def handle(self, *args: Any, **options: Any) -> None:
        gone = sweep_sent_forms()
        self.stdout.write(f"{gone} key{'' if gone == 1 else 's'} removed.")
