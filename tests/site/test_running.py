"""The blocks of RUNNING.md are tried: units, proxy, cron, container, configuration, and the audit's answers."""

import ast
import os
import re
import shlex
import shutil
import subprocess
import sys

import pytest
from django.core.management import get_commands
from django.test import Client

from crewlog.site import audit
from tests.architecture.tree import ROOT
from tests.needs import program

PAGE = (ROOT / "crewlog" / "site" / "RUNNING.md").read_text(encoding="utf-8")
BLOCKS = dict(re.findall(r"^```\w+ (\w+)\n(.*?)^```", PAGE, flags=re.MULTILINE | re.DOTALL))
# Commands of other packages of this program that the page names: each is there once its package is.
OF_OTHER_PACKAGES = {"backup", "publish_heads", "restore"}


def test_page_has_every_recipe():
    assert set(BLOCKS) == {"environment", "systemd", "container", "proxy", "roles", "wrapper", "cron", "upgrade"}


def test_the_unit_is_one_that_systemd_takes(tmp_path):
    unit = tmp_path / "crewlog.service"
    text = BLOCKS["systemd"].replace("/srv/crewlog/.venv/bin/gunicorn", shutil.which("true") or "/bin/true")
    unit.write_text(text.replace("/srv/crewlog", str(tmp_path)).replace("User=crewlog\nGroup=crewlog\n", ""))
    command = [program("systemd-analyze"), "verify", str(unit)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    told = [line for line in done.stderr.splitlines() if str(unit) in line or "crewlog.service" in line]
    assert told == [], done.stderr
    assert done.returncode == 0, done.stderr


def test_the_unit_starts_what_the_configuration_configures():
    (start,) = re.findall(r"^ExecStart=(.*)$", BLOCKS["systemd"], flags=re.MULTILINE)
    words = shlex.split(start)
    command = [sys.executable, "-m", "gunicorn", "--check-config", *words[1:]]
    environment = {k: v for k, v in os.environ.items() if k != "DJANGO_SETTINGS_MODULE"}
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (cmd,) = re.findall(r"^CMD (.*)$", BLOCKS["container"], flags=re.MULTILINE)
    assert ast.literal_eval(cmd)[1:] == words[1:]


def test_waits_grow_from_the_inside_outwards(settings):
    from crewlog.settings import POSTGRESQL_OPTIONS, SQLITE_OPTIONS
    from crewlog.site import gunicorn

    seconds = int(re.search(r"lock_timeout=(\d+)s", str(POSTGRESQL_OPTIONS["options"]))[1])
    proxy = int(re.search(r"proxy_read_timeout (\d+)s", BLOCKS["proxy"])[1])
    stop = int(re.search(r"TimeoutStopSec=(\d+)", BLOCKS["systemd"])[1])
    assert seconds == int(str(SQLITE_OPTIONS["timeout"])) < gunicorn.graceful_timeout < stop < gunicorn.timeout < proxy
    assert gunicorn.accesslog is None


def test_the_container_copies_what_the_program_needs():
    copied = re.findall(r"^COPY (.+) \S+$", BLOCKS["container"], flags=re.MULTILINE)
    names = {name for line in copied for name in line.split()}
    assert all((ROOT / name).exists() for name in names)
    assert names >= {"crewlog", "gear", "jobs", "templates", "fixtures", "manage.py", "requirements.lock"}
    assert re.search(r"^USER crewlog$", BLOCKS["container"], flags=re.MULTILINE)
    (check,) = re.findall(r"^HEALTHCHECK CMD (.*)$", BLOCKS["container"], flags=re.MULTILINE)
    compile(ast.literal_eval(check)[2], "healthcheck", "exec")


def cron_lines():
    lines = BLOCKS["cron"].splitlines()
    return [line.split(maxsplit=6) for line in lines if line.strip() and "=" not in line.split()[0]]


def test_every_line_of_cron_has_a_time_a_user_and_a_command_there_is():
    ranges = ((0, 59), (0, 23), (1, 31), (1, 12), (0, 7))
    for *times, user, command in cron_lines():
        for word, (low, high) in zip(times, ranges, strict=True):
            every, _, step = word.partition("/")
            assert every == "*" or low <= int(word) <= high
            assert not step or 1 <= int(step) <= high
        assert user == "crewlog"
        wrapper, name, *_ = shlex.split(command.split(">")[0])
        assert wrapper == "/usr/local/bin/crewlog"
        assert name in set(get_commands()) | OF_OTHER_PACKAGES


def test_commands_of_the_page_run_through_its_wrapper(tmp_path):
    """Every command of cron that is there, on a database of its own, as cron would start it."""
    settings = f"CREWLOG_VAR={tmp_path}/var\nCREWLOG_HOSTS=crew.example\nCREWLOG_ADDRESS=https://crew.example\n"
    settings += f"CREWLOG_EMAIL_URL=file://{tmp_path}/mail\nCREWLOG_FROM=crew@crew.example\n"
    (tmp_path / "crewlog.env").write_text(settings)
    wrapper = tmp_path / "crewlog"
    text = BLOCKS["wrapper"].replace("/etc/crewlog.env", str(tmp_path / "crewlog.env"))
    wrapper.write_text(text.replace(".venv/bin/python", sys.executable).replace("/srv/crewlog", str(ROOT)))
    wrapper.chmod(0o755)
    # cron gives hardly any environment
    plain = {"PATH": "/usr/bin:/bin", "HOME": str(tmp_path)}

    def run(*words):
        return subprocess.run([wrapper, *words], env=plain, capture_output=True, text=True, check=False)

    assert run("migrate", "-v", "0").returncode == 0
    assert run("createcachetable").returncode == 0
    there = set(get_commands())
    for *_, command in cron_lines():
        words = shlex.split(command.split(">")[0])[1:]
        if words[0] not in there or words[0] in OF_OTHER_PACKAGES:
            continue
        done = run(*words)
        allowed = (0, 1) if words[0] == "check_site" else (0,)  # 1: no mail, no back-up yet
        assert done.returncode in allowed, f"{words}: {done.stdout}{done.stderr}"


@pytest.fixture
def certificate(tmp_path):
    command = [program("openssl"), "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=x"]
    files = ["-keyout", str(tmp_path / "tls.key"), "-out", str(tmp_path / "tls.crt")]
    subprocess.run([*command, *files], check=True, capture_output=True)
    return tmp_path


def test_the_proxys_configuration_is_one_that_nginx_takes(certificate):
    nginx = shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin") or program("nginx")
    block = BLOCKS["proxy"].replace("/etc/crewlog/", f"{certificate}/").replace("listen 80", "listen 127.0.0.1:8148")
    block = block.replace("listen 443", "listen 127.0.0.1:8147")
    whole = f"pid {certificate}/pid;\nerror_log stderr;\nevents {{}}\nhttp {{\n{block}\n}}\n"
    (certificate / "nginx.conf").write_text(whole)
    command = [nginx, "-t", "-c", str(certificate / "nginx.conf"), "-p", str(certificate)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_the_table_of_faults_names_every_code():
    from crewlog.site import faults

    codes = {value.code for value in vars(faults).values() if isinstance(value, faults.MachineFault)}
    listed = set(re.findall(r"^\| `([a-z-]+)` \|", PAGE, flags=re.MULTILINE))
    assert codes - listed == {"disk-fault", "too-much-at-once"}  # neither has a cure of its own
    assert listed <= codes


@pytest.mark.parametrize(
    ("code", "out", "said", "answer"),
    [
        (0, "", "No known vulnerabilities found", 0),
        (1, "Name Version ID\nx 1.0 PYSEC-1", "Found 1 known vulnerability in 1 package", 2),
        (1, "", "Traceback ...\nrequests.exceptions.ConnectionError: Max retries exceeded", 3),
        (1, "", "", 3),
    ],
)
def test_the_audit_never_says_sound_of_what_it_did_not_look_at(code, out, said, answer):
    got, words = audit.judged(code, out, said)
    assert got == answer
    assert words
    assert ("Not looked at" in words) == (answer == 3)


def test_without_the_program_the_audit_says_so(monkeypatch):
    monkeypatch.setattr(shutil, "which", lambda *_, **__: None)
    assert audit.audit(audit.LOCK) == (3, audit.audit(audit.LOCK)[1])
    assert "not installed" in audit.audit(audit.LOCK)[1]


def test_the_health_address_of_the_container_answers():
    assert Client().get("/healthz").status_code == 200
