"""Text goes compressed over the wire, whatever server stands in front; what is small already goes as it is."""

import gzip

import pytest
from django.http import FileResponse, HttpResponse
from django.test import RequestFactory
from django.urls import reverse

from crewlog.delivery.compression import CompressedText

LONG = "A hundred figures and their units. " * 100


def answer(response, method="get"):
    request = getattr(RequestFactory(), method)("/", headers={"accept-encoding": "gzip, br"})
    return CompressedText(lambda asked: response)(request)


@pytest.mark.django_db
def test_a_page_is_compressed_for_a_browser_that_takes_it(client):
    plain = client.get(reverse("account_login"))
    packed = client.get(reverse("account_login"), headers={"accept-encoding": "gzip"})
    assert "Content-Encoding" not in plain
    assert packed["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed["Vary"]
    assert len(packed.content) < len(plain.content) / 2
    assert b"<h1" in gzip.decompress(packed.content)


@pytest.mark.django_db
def test_a_static_file_that_was_not_collected_is_compressed_too(client):
    packed = client.get("/static/crewlog/crewlog.css", headers={"accept-encoding": "gzip"})
    assert packed["Content-Encoding"] == "gzip"
    assert b"@layer" in gzip.decompress(b"".join(packed.streaming_content))
    packed.close()


@pytest.mark.parametrize("kind", ["application/pdf", "image/jpeg", "application/zip", "font/woff2"])
def test_what_is_compressed_already_goes_as_it_is(kind):
    assert "Content-Encoding" not in answer(HttpResponse(LONG, content_type=kind))


def test_a_part_of_a_file_and_an_answer_without_a_body_go_as_they_are():
    assert "Content-Encoding" not in answer(HttpResponse(LONG, status=206))
    assert "Content-Encoding" not in answer(HttpResponse(LONG), method="head")
    assert "Content-Encoding" not in answer(FileResponse((), content_type=None, status=304))


def test_refused_forms_are_compressed_as_well():
    assert answer(HttpResponse(LONG, status=422))["Content-Encoding"] == "gzip"
