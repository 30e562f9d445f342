"""App config: lays the append-only triggers after every migrate."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class CrewlogConfig(AppConfig):
    name = "crewlog"
    verbose_name = "Crewlog"

    def ready(self) -> None:
        from crewlog import (
            checks,  # noqa: F401 - registers the system checks
            hooks,
        )
        from crewlog.append_only import lay_triggers
        from crewlog.signin import signals
        from crewlog.training.checks import learning_faults

        post_migrate.connect(lay_triggers, dispatch_uid="crewlog.append_only")
        signals.connect()
        hooks.register_state_check(learning_faults)
