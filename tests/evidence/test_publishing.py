"""Heads are sent once a day to each target that is set up; what failed is tried again at the next run."""

import json
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.management import CommandError, call_command

from crewlog.evidence import chain_head
from crewlog.evidence.publishing import FILE, MAIL, URL, publish, targets

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nothing_set_up(settings, tmp_path, monkeypatch):
    settings.HEADS_DIR = tmp_path / "heads"
    for name in (MAIL, FILE, URL):
        monkeypatch.delenv(name, raising=False)


class Kept(HTTPServer):
    """Holds what was sent, and the status to answer with."""

    def __init__(self):
        super().__init__(("127.0.0.1", 0), Listener)
        self.taken: list[object] = []
        self.status = 200


class Listener(BaseHTTPRequestHandler):
    """Keeps what it is sent, and answers with the status it is told."""

    server: Kept

    def do_POST(self):
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.server.taken.append((self.path, json.loads(body)))
        self.send_response(self.server.status)
        self.end_headers()

    def log_message(self, *_):
        pass


@pytest.fixture
def listener():
    server = Kept()
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    yield server
    server.shutdown()
    thread.join()
    server.server_close()


def test_heads_go_by_mail_into_a_file_and_to_an_address_once_a_day(
    chain, listener, tmp_path, monkeypatch, mailoutbox, capsys
):
    path = tmp_path / "heads.txt"
    monkeypatch.setenv(MAIL, "insurer@example.test, owner@example.test")
    monkeypatch.setenv(FILE, str(path))
    monkeypatch.setenv(URL, f"http://127.0.0.1:{listener.server_port}/heads")
    call_command("publish_heads")
    call_command("publish_heads")
    head = chain_head(chain)
    assert [mail.to for mail in mailoutbox] == [["insurer@example.test"], ["owner@example.test"]]
    assert all(f"{head}  4 records" in mail.body for mail in mailoutbox)
    assert path.read_text().count(head) == 1
    ((address, said),) = listener.taken
    assert address == "/heads"
    assert said["heads"] == [{"company": chain.pk, "name": chain.name, "records": 4, "head": head}]
    assert "Today's heads were sent already." in capsys.readouterr().out
    call_command("publish_heads", again=True)
    assert len(listener.taken) == 2


def test_a_folder_gets_a_file_for_each_day(chain, tmp_path, monkeypatch):
    monkeypatch.setenv(FILE, str(tmp_path))
    publish()
    (written,) = tmp_path.glob("heads-????-??-??.txt")
    assert chain_head(chain) in written.read_text()


def test_a_target_that_fails_is_one_line_and_exit_1_and_is_tried_again_alone(chain, listener, tmp_path, monkeypatch):
    path = tmp_path / "heads.txt"
    monkeypatch.setenv(FILE, str(path))
    monkeypatch.setenv(URL, f"http://127.0.0.1:{listener.server_port}/heads")
    listener.status = 503
    with pytest.raises(CommandError, match=r"Not sent.*address 127\.0\.0\.1: HTTP Error 503") as caught:
        call_command("publish_heads")
    assert caught.value.returncode == 1
    assert "\n" not in str(caught.value)
    listener.status = 200
    assert publish() == (["address 127.0.0.1"], {})
    assert path.read_text().count(chain_head(chain)) == 1


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        (MAIL, "insurer", "'insurer' is no mail address"),
        (MAIL, "insurer@crew.example", "needs CREWLOG_EMAIL_URL"),
        (FILE, "heads.txt", "must be a whole path"),
        (URL, "file:///etc/passwd", "must begin with http:// or https://"),
        (URL, "https://", "must begin with http:// or https:// and name a host"),
    ],
)
def test_a_setting_that_cannot_be_meant_is_said_loudly(chain, settings, monkeypatch, name, value, says):
    settings.MAIL_IS_SET_UP = "needs" not in says
    monkeypatch.setenv(name, value)
    with pytest.raises(ImproperlyConfigured, match=says):
        targets()
    with pytest.raises(CommandError, match=says):
        call_command("publish_heads")


def test_with_nothing_set_up_the_command_says_what_to_set(chain):
    with pytest.raises(CommandError, match=f"set {MAIL}, {FILE} or {URL}"):
        call_command("publish_heads")
