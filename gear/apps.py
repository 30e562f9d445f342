"""App config: tells crewlog what a hold reaches, which classes people examine, and how the store is checked."""

from django.apps import AppConfig


class GearConfig(AppConfig):
    name = "gear"
    verbose_name = "Gear"

    def ready(self) -> None:
        from crewlog import hooks
        from crewlog.evidence import declare_kinds
        from gear.classes import CLASS_CHOICES
        from gear.holds import find_item, item_name, people_of_item, reports_in_evidence
        from gear.record_kinds import RECORD_KINDS
        from gear.state_check.check import check_store

        declare_kinds(RECORD_KINDS)
        hooks.register_subject("item", find=find_item, name=item_name)
        hooks.register_people("item", people_of_item)
        if reports_in_evidence not in hooks.REFUSERS:
            hooks.REFUSERS.append(reports_in_evidence)
        hooks.register_state_check(check_store)
        hooks.GEAR_CLASSES[:] = CLASS_CHOICES
