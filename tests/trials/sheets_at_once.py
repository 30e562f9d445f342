"""Sheets issued at once: python -m tests.trials.sheets_at_once --database sqlite|postgresql --sheets 16.

Through gunicorn with the configuration that is shipped, each by a lead of its own, all of one company.

Prints how long each took and how many were issued; wrong is one that is not answered, or answered by anything but the
sheet's own page.
"""

import argparse
import http.client
import os
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import ExitStack, contextmanager
from pathlib import Path
from urllib.parse import quote, urlencode

from tests.trials.odd import fields_of
from tests.trials.small_site import prepare

ROOT = Path(__file__).resolve().parents[2]
LONGEST_S = 115  # gunicorn's own time-out is 120


@contextmanager
def served(port, environment):
    """The site under gunicorn with the configuration that is shipped."""
    command = [sys.executable, "-m", "gunicorn", "-c", "python:crewlog.site.gunicorn", "crewlog.wsgi"]
    process = subprocess.Popen(command, cwd=ROOT, env={**environment, "CREWLOG_BIND": f"127.0.0.1:{port}"})
    try:
        for _ in range(300):
            if is_ready(port):
                break
            time.sleep(0.2)
        else:
            raise RuntimeError("the site did not begin to serve")
        yield
    finally:
        process.terminate()
        process.wait(timeout=120)


def is_ready(port):
    try:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        connection.request("GET", "/readyz")
        return connection.getresponse().status == 200
    except OSError:
        return False


class Browser:
    """One signed-in member, speaking HTTP."""

    def __init__(self, port, session):
        self.port, self.session, self.token = port, session, ""

    def ask(self, method, path, form=None):
        """(status, text, address it leads to)"""
        cookies = f"sessionid={self.session}; csrftoken={self.token}"
        headers = {"Host": "127.0.0.1", "Cookie": cookies, "Referer": f"http://127.0.0.1:{self.port}/"}
        if form is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LONGEST_S)
        connection.request(method, path, urlencode(form) if form is not None else None, headers)
        answer = connection.getresponse()
        for name, value in answer.getheaders():
            if name == "Set-Cookie" and value.startswith("csrftoken="):
                self.token = value.split("=", 1)[1].split(";")[0]
        return answer.status, answer.read().decode(), answer.getheader("Location", "")

    def issue(self, pk):
        """Open the draft, press its button."""
        status, page, _ = self.ask("GET", f"/sheets/{pk}/")
        if status != 200:
            return status, page, ""
        hidden = {name: values[0] for name, values in fields_of(page).items() if name.startswith(("csrf", "form"))}
        return self.ask("POST", f"/sheets/{pk}/issue/", hidden)


def make_sheets(count):
    """Sheets that nothing refuses, each of a lead of its own; with a session of each lead."""
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore
    from django.core.management import call_command

    from tests.factories.crewlog import CompanyFactory, MembershipFactory
    from tests.factories.jobs import GEAR, passing_sheet

    call_command("migrate", verbosity=0, interactive=False)
    call_command("createcachetable", verbosity=0)
    company = CompanyFactory(name="Sixteen Leads")
    made = []
    for number in range(count):
        lead = MembershipFactory(company=company, role="crew_lead", person__company=company)
        for fields, _ in GEAR.values():
            fields["tag"] = f"{fields['tag'].split('/')[0]}/{number}"
        sheet = passing_sheet(company, lead=lead.person, label=str(number + 1))
        session = SessionStore()
        session[SESSION_KEY] = str(lead.user.pk)
        session[BACKEND_SESSION_KEY] = "allauth.account.auth_backends.AuthenticationBackend"
        session[HASH_SESSION_KEY] = lead.user.get_session_auth_hash()
        session.create()
        made.append((sheet.pk, session.session_key))
    return company, made


def issue_all(port, made):
    """Everybody presses at the same moment. (status, seconds) by sheet."""
    gate, found = threading.Barrier(len(made)), {}

    def press(pk, session):
        browser = Browser(port, session)
        gate.wait()
        begun = time.perf_counter()
        try:
            status, text, leads_to = browser.issue(pk)
        except OSError as error:
            status, text, leads_to = f"no answer: {error}", "", ""
        found[pk] = (status, time.perf_counter() - begun, leads_to, text)

    threads = [threading.Thread(target=press, args=each) for each in made]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def judged(company, made, found, say):
    """What is wrong with what came of it."""
    from crewlog.evidence import verify
    from jobs.models import IssuedSheet

    wrong = []
    for pk, (status, _, leads_to, text) in sorted(found.items()):
        if status != 302 or leads_to != f"/sheets/{pk}/":
            wrong.append(f"sheet {pk}: {status} {leads_to} {text[:300]}")
    times = sorted(seconds for _, seconds, _, _ in found.values())
    issued = IssuedSheet.objects.filter(sheet__in=[pk for pk, _ in made]).count()
    say(f"{len(made)} at once: {issued} issued; first {times[0]:.1f} s, last {times[-1]:.1f} s")
    if issued != len(made):
        wrong.append(f"{issued} of {len(made)} are issued")
    fault = verify(company).fault
    say(f"chain: {fault or 'whole'}")
    return wrong + ([fault] if fault else [])


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--database", choices=("sqlite", "postgresql"), default="sqlite")
    parser.add_argument("--sheets", type=int, default=16)
    parser.add_argument("--port", type=int, default=8149)
    asked = parser.parse_args()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="crewlog-sheets-")))
        url = f"sqlite:///{quote(str(folder / 'site.sqlite3'))}"
        if asked.database == "postgresql":
            from tests.postgresql.server import postgresql_server

            url = f"{stack.enter_context(postgresql_server())}postgres"
        prepare(database_url=url, var=folder / "var")
        from django.db import connections

        (folder / "var" / "static").mkdir(parents=True)
        company, made = make_sheets(asked.sheets)
        connections.close_all()
        with served(asked.port, dict(os.environ)):
            found = issue_all(asked.port, made)
        wrong = judged(company, made, found, say=lambda words: print(f"  {asked.database}: {words}", flush=True))
        connections.close_all()
    print("\n".join(f"WRONG: {each}" for each in wrong) or "Nothing is wrong.")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
