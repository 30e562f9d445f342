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


def file_url(path: Path) -> str:
    return f"sqlite:///{quote(str(path))}"


OWN_FILE = file_url(VAR_DIR / "demo.sqlite3")
KNOWN = ("sqlite://", "postgres://", "postgresql://")


def demo_url(given: str | None) -> str:
    """Address of the demo's database: what the command line says, else DATABASE_URL, else a file of its own.

    The command refuses one that holds anything but an earlier demo, wherever its address came from.
    """
    if given is None:
        return os.environ.get("DATABASE_URL") or OWN_FILE
    return given if "://" in given else file_url(Path(given).expanduser().resolve())


def prepare_demo(arguments: Sequence[str]) -> None:
    """Point the settings at the demo's own database and at plain http on this machine.

    Wrong arguments are left to the command, which says what is wrong with them.
    """
    parser = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    parser.add_argument("--database", nargs="?")
    parser.add_argument("--port", nargs="?")
    given, _ = parser.parse_known_args(arguments)
    url = demo_url(given.database)
    os.environ["DATABASE_URL"] = url if url.startswith(KNOWN) else OWN_FILE  # the command refuses the other
    os.environ.setdefault("CREWLOG_SECRET_KEY", secrets.token_urlsafe(50))  # sessions last as long as the database
    os.environ["CREWLOG_LOCAL"] = "yes"
    os.environ["CREWLOG_DEBUG"] = "no"
    os.environ["CREWLOG_PROXIES"] = "0"
    os.environ["CREWLOG_EMAIL_URL"] = ""  # its people are invented: nothing is mailed to them
    os.environ["CREWLOG_ADDRESS"] = f"http://{DEMO_HOST}:{given.port or DEMO_PORT}"
