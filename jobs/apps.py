"""App config: a sheet is withdrawn in the transaction that puts one of its items out of use; what holds reach here."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "jobs"
    verbose_name = "Jobs"

    def ready(self) -> None:
        from crewlog import hooks
        from crewlog.evidence import KINDS
        from gear import dependents, usage_since_pass
        from gear.services.apply_evidence import fact_listeners, listeners
        from jobs.dependents import sheets_in_force
        from jobs.holds import find_job, job_name, papers_in_evidence, people_of_items_sheets, people_of_job
        from jobs.record_kinds import RECORD_KINDS
        from jobs.relied_facts import withdraw_sheets_leaning_on
        from jobs.services.sheets import withdraw_sheets_of
        from jobs.sheet_state import sheet_faults
        from jobs.usage_since_pass import sheets_with

        listeners.add(withdraw_sheets_of)
        fact_listeners.add(withdraw_sheets_leaning_on)
        usage_since_pass.suppliers.add(sheets_with)
        dependents.suppliers.add(sheets_in_force)
        KINDS.add(*RECORD_KINDS)
        hooks.STATE_CHECKS.add(sheet_faults)
        hooks.SUBJECTS.add(hooks.Subject("job", find=find_job, name=job_name))
        hooks.PEOPLE_UNDER.add(
            hooks.PeopleUnder("job", people_of_job), hooks.PeopleUnder("item", people_of_items_sheets)
        )
        hooks.REFUSERS.add(papers_in_evidence)
