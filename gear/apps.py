"""App config: tells crewlog what a hold reaches, which classes people examine, and how the store is checked."""

from django.apps import AppConfig


class GearConfig(AppConfig):
    name = "gear"
    verbose_name = "Gear"

    def ready(self) -> None:
        from crewlog import hooks
        from crewlog.evidence import KINDS
        from gear import checks  # noqa: F401 - registers the system checks
        from gear.catalogue.classes import CLASS_CHOICES
        from gear.record_kinds import RECORD_KINDS
        from gear.register.holds import find_item, item_name, people_of_item, reports_in_evidence
        from gear.state_check.check import check_store

        KINDS.add(*RECORD_KINDS)
        hooks.SUBJECTS.add(hooks.Subject("item", find=find_item, name=item_name))
        hooks.PEOPLE_UNDER.add(hooks.PeopleUnder("item", people_of_item))
        hooks.REFUSERS.add(reports_in_evidence)
        hooks.STATE_CHECKS.add(check_store)
        hooks.GEAR_CLASSES.add(*CLASS_CHOICES)
