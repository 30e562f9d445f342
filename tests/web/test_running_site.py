"""What takes a site of several processes: mail over a socket beside the page, and tries counted across processes."""

import http.cookiejar
import os
import re
import socket
import sqlite3
import subprocess
import sys
import threading
import time
import urllib.parse
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from django.conf import settings

from crewlog.signin.limits import PAIR

ROOT = Path(__file__).resolve().parents[2]
OWNER = "orla@crewlog.example"


class MailServer:
    """Takes mail as a server does, at a port; `taken` is what came."""

    def __init__(self, port):
        self.taken = []
        self.listener = socket.create_server(("127.0.0.1", port))
        self.thread = threading.Thread(target=self.serve, daemon=True)
        self.thread.start()

    def serve(self):
        while True:
            try:
                connection, _ = self.listener.accept()
            except OSError:
                return
            with connection, connection.makefile("rwb") as stream:
                self.talk(stream)

    def talk(self, stream):
        def say(line):
            stream.write(f"{line}\r\n".encode())
            stream.flush()

        say("220 here")
        while line := stream.readline():
            word = line[:4].upper()
            if word == b"DATA":
                say("354 go on")
                lines = []
                while (text := stream.readline()) not in (b".\r\n", b""):
                    lines.append(text)
                self.taken.append(b"".join(lines).decode())
                say("250 taken")
            elif word == b"QUIT":
                say("221 gone")
                return
            else:
                say("250 yes")

    def close(self):
        self.listener.shutdown(socket.SHUT_RDWR)
        self.listener.close()
        self.thread.join(5)

    def wait_for(self, count):
        for _ in range(200):
            if len(self.taken) >= count:
                return self.taken
            time.sleep(0.1)
        raise AssertionError(f"{len(self.taken)} mails came, not {count}")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Site:
    """A site of its own with one owner, served by two processes."""

    def __init__(self, folder):
        self.folder, self.port, self.mail_port = folder, free_port(), free_port()
        kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
        self.address = f"http://127.0.0.1:{self.port}"
        self.environment = {
            **kept,
            "CREWLOG_VAR": str(folder),
            "CREWLOG_LOCAL": "yes",
            "CREWLOG_ADDRESS": self.address,
            "CREWLOG_EMAIL_URL": f"smtp://127.0.0.1:{self.mail_port}?tls=no",
            "CREWLOG_FROM": "Crewlog <crewlog@crewlog.example>",
            "CREWLOG_MADE": str(settings.MADE_DIR),
        }
        for words in (
            ["migrate", "-v0"],
            ["createcachetable"],
            ["start_company", "--name", "Reach", "--owner-email", OWNER, "--owner-name", "Orla", "--link"],
        ):
            assert self.run(*words).returncode == 0
        self.log = folder / "log"
        command = [sys.executable, "-m", "gunicorn", "crewlog.wsgi", "-b", f"127.0.0.1:{self.port}", "-w", "2"]
        with self.log.open("wb") as log:
            self.server = subprocess.Popen(
                [*command, "--access-logfile", "-"], cwd=ROOT, env=self.environment, stdout=log, stderr=log
            )

    def run(self, *words):
        return subprocess.run(
            [sys.executable, "manage.py", *words],
            cwd=ROOT,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
        )

    def form(self, path):
        """A function that posts the form at an address with what it is given, from a browser of its own."""
        jar = http.cookiejar.CookieJar()
        browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))
        page = self.opened(browser, self.address + path)
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)[1]

        def post(**typed):
            sent = urllib.parse.urlencode({**typed, "csrfmiddlewaretoken": token}).encode()
            with browser.open(self.address + path, sent, timeout=60) as answer:
                return answer.read().decode()

        return post

    def ask_for_a_link(self, email):
        """Seconds that the page took to answer."""
        post = self.form("/accounts/password/reset/")
        started = time.monotonic()
        assert "Check your mail" in post(email=email)
        return time.monotonic() - started

    def opened(self, browser, address):
        for _ in range(200):
            try:
                with browser.open(address, timeout=30) as answer:
                    return answer.read().decode()
            except OSError:
                assert self.server.poll() is None, self.log.read_text()
                time.sleep(0.1)
        raise AssertionError("the site did not answer")

    def rows(self, query):
        with sqlite3.connect(self.folder / "crewlog.sqlite3", timeout=20) as database:
            return database.execute(query).fetchall()


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    running = Site(tmp_path_factory.mktemp("mail-site"))
    yield running
    running.server.terminate()
    running.server.wait(20)


@pytest.fixture
def site(served):
    """The site with no try counted yet and an empty outbox, whichever test ran before."""
    served.rows("DELETE FROM crewlog_signinlimit")
    served.rows("DELETE FROM crewlog_queuedmail")
    return served


def test_a_mail_goes_out_beside_the_page_and_once(site):
    server = MailServer(site.mail_port)
    try:
        site.ask_for_a_link(OWNER)
        (mail,) = server.wait_for(1)
        site.ask_for_a_link("nobody@crewlog.example")
        assert "0 sent, 0 waiting" in site.run("send_queued_mail").stdout
        assert len(server.taken) == 1
    finally:
        server.close()
    assert f"To: {OWNER}" in mail
    assert "From: Crewlog <crewlog@crewlog.example>" in mail
    assert site.address in mail
    assert site.rows("SELECT DISTINCT body FROM crewlog_queuedmail") == [("",)]


def test_a_server_that_is_away_delays_no_page_and_the_mail_goes_out_later(site):
    assert site.ask_for_a_link(OWNER) < 10
    for _ in range(100):
        waiting = site.rows("SELECT last_error FROM crewlog_queuedmail WHERE next_try IS NOT NULL AND attempts > 0")
        if waiting and waiting[0][0]:
            break
        time.sleep(0.1)
    assert "refused" in waiting[0][0].lower()
    site.rows("UPDATE crewlog_queuedmail SET next_try = '2020-01-01 00:00:00' WHERE next_try IS NOT NULL")
    away = site.run("send_queued_mail")
    assert away.returncode == 1
    assert "Not sent" in away.stderr
    site.rows("UPDATE crewlog_queuedmail SET next_try = '2020-01-01 00:00:00' WHERE next_try IS NOT NULL")
    server = MailServer(site.mail_port)
    try:
        assert site.run("send_queued_mail").stdout.startswith("1 sent, 0 waiting")
        server.wait_for(1)
        assert site.run("send_test_mail", OWNER).returncode == 0
    finally:
        server.close()
    done = site.run("send_test_mail", OWNER)
    assert done.returncode == 1
    assert done.stderr.strip().count("\n") == 0
    assert "refused" in done.stderr.lower()


def test_no_link_stands_in_the_log(site):
    site.ask_for_a_link(OWNER)
    said = site.log.read_text()
    assert "POST /accounts/password/reset/" in said
    assert "/password/reset/key/" not in said
    assert "Traceback" not in said


def test_guesses_at_once_are_counted_one_by_one_across_processes(site):
    forms = [site.form("/accounts/login/") for _ in range(16)]
    with ThreadPoolExecutor(16) as pool:
        pages = list(pool.map(lambda post: post(login=OWNER, password="wrong"), forms))
    assert sum("E-mail or password is wrong" in page for page in pages) == PAIR.tries
    assert sum("Too many wrong attempts" in page for page in pages) == 16 - PAIR.tries


def test_a_known_and_an_unknown_address_take_about_the_same_time(site):
    took: dict[str, list[float]] = {OWNER: [], "nobody@crewlog.example": []}
    for _ in range(3):  # as many as an address is mailed an hour
        for email, times in took.items():
            times.append(site.ask_for_a_link(email))
    known, unknown = (min(times) for times in took.values())
    print(f"known {known * 1000:.0f} ms, unknown {unknown * 1000:.0f} ms")
    assert known < 3 * unknown + 0.2
    assert unknown < 3 * known + 0.2
