"""A site of its own for each file of journeys: the demo's company, served as on a machine of one's own, and a browser.

The server is another process, so these tests use no database of their own. A message in the browser's console, an
error on a page or an answer of 500 fails the test it came in.
"""

import os
import socket
import sqlite3
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import sync_playwright

from tests.browser.pages import PAGES, QUERY
from tests.demo_made import copied
from tests.needs import chromium

ROOT = Path(__file__).resolve().parents[2]
MADE = ROOT / "var" / "made"  # one for every site of the tests: fonts take seconds to make
PASSWORD = "towpath-lantern-42"
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 900}
WAIT_MS = 20_000
BY_NAME = {name: (who, address) for name, who, address in PAGES}


def pytest_collection_modifyitems(items):
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


def environment(folder, database, **more):
    """The environment of the demo's own processes: nothing of the developer's database or settings."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("CREWLOG_", "DATABASE", "DJANGO_"))}
    return {
        **kept,
        "CREWLOG_VAR": str(folder),
        "CREWLOG_LOCAL": "yes",
        "CREWLOG_SECRET_KEY": "only-for-the-browser-tests",
        "DATABASE_URL": f"sqlite:///{database}",
        "CREWLOG_EMAIL_URL": f"file://{folder}/mail",
        "CREWLOG_FROM": "crewlog@crewlog.example",
        "CREWLOG_MADE": str(MADE),
        **more,
    }


@pytest.fixture(scope="session")
def rows(demo_folder):
    """Keys of the demo's rows by the names pages.py gives them."""
    with sqlite3.connect(demo_folder / "demo.sqlite3") as database:
        return {name: database.execute(query).fetchone()[0] for name, query in QUERY.items()}


def free_port():
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return listener.getsockname()[1]


def wait_for(address, server):
    asked = Request(f"{address}/accounts/login/", headers={"X-Forwarded-Proto": "https"})  # noqa: S310 - or a live site redirects
    for _ in range(200):
        assert server.poll() is None, "the server ended"
        try:
            with urlopen(asked, timeout=60):  # noqa: S310 - our own server
                return
        except OSError:
            time.sleep(0.1)
    raise AssertionError("the server did not answer")


@pytest.fixture(scope="module")
def site_database(demo_folder, tmp_path_factory):
    """A copy of the demo's database with its files beside it, which the tests of one file may change."""
    return copied(demo_folder, tmp_path_factory.mktemp("site") / "site.sqlite3")


@contextmanager
def served(folder, address, env):
    """A server at an address, for as long as it is needed; an error in its log fails what used it."""
    command = [
        sys.executable,
        "-m",
        "gunicorn",
        "crewlog.wsgi",
        "-b",
        address.removeprefix("http://"),
        "--threads",
        "4",
    ]
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(command, cwd=ROOT, env=env, stdout=log, stderr=log)
        try:
            wait_for(address, server)
            yield
        finally:
            server.terminate()
            server.wait(20)
    said = (folder / "log").read_text(encoding="utf-8", errors="replace")
    assert "Traceback" not in said, said[-4000:]


@pytest.fixture(scope="module")
def site(site_database):
    """Address of a server over that copy."""
    folder, address = site_database.parent, f"http://127.0.0.1:{free_port()}"
    with served(folder, address, environment(folder, site_database, CREWLOG_ADDRESS=address)):
        yield address


@pytest.fixture(scope="module")
def browser():
    path = chromium()
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-quic"])
        yield launched
        launched.close()


@pytest.fixture(scope="module")
def kept_sign_ins():
    return {}


@pytest.fixture
def open_page(browser, site, kept_sign_ins):
    """A function that opens a page, signed in or not; whatever the browser complains about fails the test."""
    complaints, contexts = [], []

    def open_at(path="/", *, who=None, viewport=PHONE, **options):
        state = kept_sign_ins.get(who)
        context = browser.new_context(
            base_url=site, viewport=viewport, storage_state=state, reduced_motion="reduce", **options
        )
        contexts.append(context)
        context.set_default_timeout(WAIT_MS)
        page = context.new_page()
        page.on("console", lambda m: complaints.append(f"{m.type}: {m.text} {m.location.get('url', '')}"))
        page.on("pageerror", lambda e: complaints.append(f"error: {e}"))
        page.on("response", lambda r: complaints.append(f"{r.status} {r.url}") if r.status >= 500 else None)
        if who is not None and state is None:
            sign_in(page, who)
            kept_sign_ins[who] = context.storage_state()
        page.goto(path)
        return page

    yield open_at
    for context in contexts:
        context.close()
    sent_back = [f"Failed to load resource: the server responded with a status of {code}" for code in (422, 409)]
    sent_back.append("Failed to load resource: net::ERR_INTERNET_DISCONNECTED")  # where a test takes the signal away
    assert {c for c in complaints if not any(words in c for words in sent_back)} == set()  # no fault of the page


@pytest.fixture
def at(open_page, rows):
    """A function that opens a page of the list."""

    def open_named(name, **options):
        who, address = BY_NAME[name]
        page = open_page(address.format(**rows), who=who, **options)
        assert page.title().endswith("· Crewlog")
        assert page.locator("h1").count() == 1
        page.evaluate("() => document.fonts.ready")
        return page

    return open_named


def sign_in(page, who):
    page.goto("/accounts/login/")
    page.get_by_label("Email").fill(f"{who}@crewlog.example")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/accounts/" not in url)
