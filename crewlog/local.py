"""The environment of the demo: set by manage.py before the settings are read, so that nothing has to be set by hand."""

import argparse
import os
import secrets
from collections.abc import Sequence
from pathlib import Path
from urllib.parse import quote

VAR_DIR = Path(__file__).resolve().parent.parent / "var"
DEMO_PORT = 8000
DEMO_HOST = "127.0.0.1"


def demo_database(given: str | None) -> Path:
    """Absolute path of the demo's database; `given` is what the command line says."""
    return Path(given).expanduser().resolve() if given else VAR_DIR / "demo.sqlite3"


def prepare_demo(arguments: Sequence[str]) -> None:
    """Point the settings at the demo's own database and at plain http on this machine.

    What the environment says of another database is overruled: the demo writes into no other. Wrong arguments are
    left to the command, which says what is wrong with them.
    """
    parser = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    parser.add_argument("--database", nargs="?")
    parser.add_argument("--port", nargs="?")
    given, _ = parser.parse_known_args(arguments)
    os.environ["DATABASE_URL"] = f"sqlite:///{quote(str(demo_database(given.database)))}"
    os.environ.setdefault("CREWLOG_SECRET_KEY", secrets.token_urlsafe(50))  # sessions last as long as the database
    os.environ["CREWLOG_LOCAL"] = "yes"
    os.environ["CREWLOG_DEBUG"] = "no"
    os.environ["CREWLOG_PROXIES"] = "0"
    os.environ["CREWLOG_EMAIL_URL"] = ""  # its people are invented: nothing is mailed to them
    os.environ["CREWLOG_ADDRESS"] = f"http://{DEMO_HOST}:{given.port or DEMO_PORT}"
