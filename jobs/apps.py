"""App config: a sheet is withdrawn in the transaction that puts one of its items out of use; what holds reach here."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "jobs"
    verbose_name = "Jobs"

    def ready(self) -> None:
        from crewlog import hooks
        from crewlog.evidence import KINDS
        from gear.fitness import dependents, usage_since_pass
        from gear.fitness.apply_evidence import fact_listeners, listeners
        from jobs.record_kinds import RECORD_KINDS
        from jobs.sheets.dependents import sheets_in_force
        from jobs.sheets.holds import find_job, job_name, papers_in_evidence, people_of_items_sheets, people_of_job
        from jobs.sheets.relied_facts import withdraw_sheets_leaning_on
        from jobs.sheets.services import withdraw_sheets_of
        from jobs.sheets.state_check import sheet_faults
        from jobs.sheets.usage import sheets_with

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
