"""App config: lays the append-only triggers after every migrate."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class CrewlogConfig(AppConfig):
    name = "crewlog"
    verbose_name = "Crewlog"

    def ready(self) -> None:
        from crewlog import checks  # noqa: F401 - registers the system checks
        from crewlog.append_only import lay_triggers
        from crewlog.site import events

        events.connect()
        post_migrate.connect(lay_triggers, dispatch_uid="crewlog.append_only")
