"""System checks."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, register


@register()
def check_database_kind(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """Evidence is guarded by triggers that exist for SQLite and PostgreSQL only."""
    engine = settings.DATABASES["default"]["ENGINE"]
    if engine.endswith((".sqlite3", ".postgresql")):
        return []
    return [
        Error(
            f"{engine} has no append-only triggers here.",
            hint="Set DATABASE_URL to a SQLite file or a PostgreSQL database.",
            id="crewlog.E001",
        )
    ]


@register(deploy=True)
def check_secret_key(app_configs: Any, **_: Any) -> list[CheckMessage]:
    if settings.SECRET_KEY != settings.DEMO_SECRET_KEY:
        return []
    return [Error("The demo's secret key is in use.", hint="Set CREWLOG_SECRET_KEY.", id="crewlog.E002")]
