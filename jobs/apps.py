"""App config: a sheet is withdrawn in the transaction that puts one of its items out of use; what holds reach here."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "jobs"
    verbose_name = "Jobs"

    def ready(self) -> None:
        from crewlog import hooks
        from crewlog.evidence import declare_kinds
        from gear import lookback, reliance
        from gear.services.out_of_use import fact_listeners, listeners
        from jobs.holds import find_job, job_name, papers_in_evidence, people_of_items_sheets, people_of_job
        from jobs.lookback import sheets_with
        from jobs.record_kinds import RECORD_KINDS
        from jobs.reliance import sheets_in_force
        from jobs.relied_facts import withdraw_sheets_leaning_on
        from jobs.services.sheets import withdraw_sheets_of
        from jobs.sheet_state import sheet_faults

        if withdraw_sheets_of not in listeners:
            listeners.append(withdraw_sheets_of)
        if withdraw_sheets_leaning_on not in fact_listeners:
            fact_listeners.append(withdraw_sheets_leaning_on)
        if sheets_with not in lookback.suppliers:
            lookback.suppliers.append(sheets_with)
        if sheets_in_force not in reliance.suppliers:
            reliance.suppliers.append(sheets_in_force)
        declare_kinds(RECORD_KINDS)
        hooks.register_state_check(sheet_faults)
        hooks.register_subject("job", find=find_job, name=job_name)
        hooks.register_people("job", people_of_job)
        hooks.register_people("item", people_of_items_sheets)
        if papers_in_evidence not in hooks.REFUSERS:
            hooks.REFUSERS.append(papers_in_evidence)
