"""App config: a sheet is withdrawn in the transaction that puts one of its items out of use."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "jobs"
    verbose_name = "Jobs"

    def ready(self) -> None:
        from gear.services.out_of_use import listeners
        from jobs.services.sheets import withdraw_sheets_of

        if withdraw_sheets_of not in listeners:
            listeners.append(withdraw_sheets_of)
