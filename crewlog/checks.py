"""System checks."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, register


@register()
def check_database_kind(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """Evidence is guarded by triggers that exist for SQLite and PostgreSQL only."""
    engine = str(settings.DATABASES["default"]["ENGINE"])
    if engine.endswith((".sqlite3", ".postgresql")):
        return []
    return [
        Error(
            f"{engine} has no append-only triggers here.",
            hint="Set DATABASE_URL to a SQLite file or a PostgreSQL database.",
            id="crewlog.E001",
        )
    ]
