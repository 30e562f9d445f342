"""Lines of the log: one a request, sign-ins and refusals; nothing that opens something, nobody's name."""

import json
import logging
import sys

import pytest
from django.test import Client
from django.urls import reverse

from crewlog.site.log_lines import ASKED, Asked, LogLine
from crewlog.site.masking import masked, masked_path
from tests.factories.crewlog import PASSWORD
from tests.factories.gear import ItemFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def lines(caplog):
    """A function that gives the lines written so far, as the log would show them."""
    caplog.set_level(logging.INFO)
    formatter = LogLine()
    return lambda: [formatter.format(record) for record in caplog.records]


def test_a_request_is_one_line_with_person_request_status_and_time(owner, signed_in, lines):
    answer = signed_in(owner).get(reverse("store"), headers={"X-Request-ID": "from-the-proxy-1"})
    assert answer["X-Request-ID"] == "from-the-proxy-1"
    (line,) = [line for line in lines() if "event=request" in line]
    assert "method=GET path=/store/ status=200 ms=" in line
    assert line.startswith("time=20")
    assert "Orla" not in line
    assert owner.user.email not in line


def test_the_line_names_the_person_by_an_opaque_id(owner, signed_in, caplog):
    seen = []

    class Keep(logging.Handler):
        def emit(self, record):
            seen.append(LogLine().format(record))

    caplog.set_level(logging.INFO, logger="crewlog.site")
    handler = Keep()
    logging.getLogger("crewlog.site").addHandler(handler)
    try:
        answer = signed_in(owner).get(reverse("store"))
    finally:
        logging.getLogger("crewlog.site").removeHandler(handler)
    (line,) = [line for line in seen if "event=request" in line]
    assert f"person={owner.person_id}" in line
    assert f"request={answer['X-Request-ID']}" in line


@pytest.mark.parametrize("given", ["", "a b", "short", "x" * 65, "line\nbreak", 'quote"quote'])
def test_a_request_id_that_is_not_sane_is_made_anew(given):
    answer = Client().get(reverse("healthz"), headers={"X-Request-ID": given})
    assert answer["X-Request-ID"] != given
    assert len(answer["X-Request-ID"]) == 16


def test_sign_ins_and_failed_ones_are_events_without_what_was_typed(owner, lines):
    address = reverse("account_login")
    Client().post(address, {"login": owner.user.email, "password": "a wrong password"})
    Client().post(address, {"login": owner.user.email, "password": PASSWORD})
    said = "\n".join(lines())
    assert "event=sign-in-failed" in said
    assert "event=signed-in" in said
    assert f"who={owner.person_id}" in said
    for secret in (owner.user.email, "a wrong password", PASSWORD):
        assert secret not in said


def test_refusals_are_events_with_the_rule_that_refused(owner, climber, outsider, signed_in, lines):
    item = ItemFactory(company=owner.company)
    signed_in(climber).get(reverse("company"))
    signed_in(outsider).get(reverse("item", args=[item.tag]))
    signed_in(owner).post(reverse("item_out", args=[item.tag]), {"because": ""})
    refused = [line for line in lines() if "event=refused" in line]
    assert any("status=403" in line and "path=/company/" in line for line in refused)
    assert any("status=404" in line and f"/gear/{item.tag}/" in line for line in refused)


def test_the_code_of_a_broken_rule_stands_in_the_line(owner, lead, signed_in, lines):
    from crewlog.errors import RuleBroken

    def refusing(request):
        RuleBroken("x", code="double-booked")
        from django.http import HttpResponse

        return HttpResponse(status=422)

    from django.test import RequestFactory

    from crewlog.site.logs import request_log

    request_log(refusing)(RequestFactory().post("/sheets/7/issue/"))
    assert any("event=refused" in line and "status=422" in line and "rules=double-booked" in line for line in lines())


def test_probes_are_not_logged_while_all_is_well(lines):
    Client().get(reverse("healthz"))
    Client().get(reverse("readyz"))
    assert not [line for line in lines() if "event=request" in line]


SECRETS = [
    ("/calendar/Zk3-secret_token/gear.ics", "Zk3-secret_token"),
    ("/accounts/password/reset/key/3-c1xyz-9f8a7b/", "9f8a7b"),
    ("/accounts/confirm-email/MTQ:1abc:sig/", "1abc"),
    ("GET /x/?token=t0ps3cret&page=2", "t0ps3cret"),
    ("csrfmiddlewaretoken=AbC123&password=hunter22", "hunter22"),
    ("{'password': 'hunter22', 'csrfmiddlewaretoken': ['AbC123']}", "AbC123"),
    ("postgres://crewlog:pa55word@db/crewlog", "pa55word"),
    ("Cookie: sessionid=abcdef123; theme=sun", "abcdef123"),
    ("DETAIL:  Key (email)=(someone@example.test) already exists.", "someone"),
    ("mail to orla.quenby@example.test failed", "orla.quenby"),
]


@pytest.mark.parametrize(("text", "secret"), SECRETS)
def test_what_opens_something_and_who_somebody_is_is_masked(text, secret):
    assert secret in text
    assert secret not in masked(text)
    assert "***" in masked(text)


def test_the_sites_key_is_masked_wherever_it_stands(settings):
    assert settings.SECRET_KEY not in masked(f"key was {settings.SECRET_KEY}.")


def test_arguments_of_an_address_that_are_secret_are_masked_at_any_address():
    assert masked_path("/any/place/s3cret/", {"token": "s3cret"}) == "/any/place/***/"
    assert masked_path("/gear/R-07/files/7/", {"tag": "R-07", "file_id": 7}) == "/gear/R-07/files/7/"


def test_secrets_are_masked_in_tracebacks_too():
    try:
        raise ValueError("connecting to postgres://crewlog:pa55word@db failed for someone@example.test")
    except ValueError:
        record = logging.LogRecord("x", logging.ERROR, __file__, 1, "it broke", None, sys.exc_info())
    for style in ("text", "json"):
        said = LogLine(style_of_lines=style).format(record)
        assert "ValueError" in said
        assert "pa55word" not in said
        assert "someone@" not in said


def test_lines_are_json_where_asked_for():
    record = logging.LogRecord("crewlog.site", logging.INFO, __file__, 1, "request", None, None)
    record.event, record.fields = "request", {"path": "/a b/", "status": 200}
    token = ASKED.set(Asked("req-1234", person="p-1"))
    try:
        said = json.loads(LogLine(style_of_lines="json").format(record))
    finally:
        ASKED.reset(token)
    assert said | {"time": "t"} == {
        "time": "t", "level": "info", "event": "request", "request": "req-1234", "person": "p-1", "path": "/a b/",
        "status": 200,
    }  # fmt: skip


def test_a_value_with_spaces_or_line_breaks_cannot_make_another_line():
    record = logging.LogRecord("x", logging.INFO, __file__, 1, 'a\nlevel=error event="x"', None, None)
    assert "\n" not in LogLine().format(record)
