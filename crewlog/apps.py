"""App config: guards and subjects of the record after every migrate, and what of crewlog repeats it."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class CrewlogConfig(AppConfig):
    name = "crewlog"
    verbose_name = "Crewlog"

    def ready(self) -> None:
        from crewlog import checks  # noqa: F401 - registers the system checks
        from crewlog.evidence.guards import lay_triggers
        from crewlog.evidence.kinds import KINDS
        from crewlog.evidence.people_state import people_faults
        from crewlog.evidence.qualification_state import qualification_faults
        from crewlog.evidence.subjects import fill_subjects, subject_faults
        from crewlog.hooks import STATE_CHECKS
        from crewlog.record_kinds import RECORD_KINDS
        from crewlog.signin import signals
        from crewlog.site import events
        from crewlog.training.checks import learning_faults, session_faults

        events.connect()
        post_migrate.connect(lay_triggers, dispatch_uid="crewlog.append_only")
        post_migrate.connect(fill_subjects, sender=self, dispatch_uid="crewlog.subjects")
        signals.connect()
        KINDS.add(*RECORD_KINDS)
        STATE_CHECKS.add(people_faults, qualification_faults, learning_faults, session_faults, subject_faults)
