"""Delete what is left of ended sessions: the session itself, browser and address of the device, used-up limits."""

from typing import Any

from django.core.management import call_command

from crewlog.commands import CrewlogCommand
from crewlog.signin.limits import forget_empty
from crewlog.signin.sessions import purge_ended


class Command(CrewlogCommand):
    needs_database = True
    help = "Deletes ended sessions, and browser and address of the devices they were on. For cron, once a day."

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("clearsessions")
        devices, limits = purge_ended(), forget_empty()
        self.stdout.write(f"{devices} ended devices and {limits} limits deleted.")
