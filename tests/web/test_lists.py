"""The pages on which a list comes in and goes out."""

import datetime as dt
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from gear.models import ColumnMapping, GearItem, ListUpload
from tests.factories.crewlog import MembershipFactory
from tests.factories.gear import ItemFactory
from tests.pages import html_of

pytestmark = pytest.mark.django_db
GOOD = "Tag,Class,Name,Uses\nM-1,Rope,Line,Measuring\n"
COLUMNS = {"column-0": "tag", "column-1": "gear_class", "column-2": "description", "column-3": "uses"}


@pytest.fixture
def browse(signed_in, owner):
    return signed_in(owner)


def upload(client, text, encoding="utf-8"):
    file = SimpleUploadedFile("gear.csv", text if isinstance(text, bytes) else text.encode(encoding))
    return client.post(reverse("list_new"), {"file": file})


def page(client, address):
    return html_of(client.get(address))


def seal_on(html):
    return re.search(r'name="seal" value="(\w+)"', html)[1]


def test_a_list_that_explains_itself_goes_straight_to_the_preview_and_in(browse, company):
    address = upload(browse, GOOD)["Location"]
    html = page(browse, address)
    assert "The list can be imported" in html
    assert not GearItem.objects.exists()
    response = browse.post(address, {"seal": seal_on(html)})
    assert (response.status_code, response["Location"]) == (302, reverse("store"))
    assert GearItem.objects.get().tag == "M-1"
    assert not ListUpload.objects.exists()
    assert browse.post(address, {"seal": "x"}).status_code == 404


def test_what_columns_are_is_asked_once_and_remembered(browse, company):
    text = "Code,Class,Name,Uses,Limit\nM-1,Rope,Line,Measuring,9\n"
    address = upload(browse, text)["Location"]
    assert address.endswith("columns/")
    assert browse.post(address, COLUMNS | {"column-4": "working_load_limit_n"}).status_code == 422
    assert browse.post(address, COLUMNS | {"column-4": "working_load_limit_n", "unit-4": "kN"}).status_code == 302
    assert ColumnMapping.objects.get().columns["limit"] == {"column": "working_load_limit_n", "unit": "kN"}
    again = upload(browse, text)["Location"]
    assert not again.endswith("columns/")
    assert "WLL 9.00" in page(browse, again)


def test_every_fault_is_on_the_page_and_there_is_no_button(browse):
    html = page(browse, upload(browse, GOOD.replace("Rope", "Hammock"))["Location"])
    assert "Not imported" in html
    assert "Hammock" in html
    assert "Import 1 item" not in html


def test_a_stale_preview_is_not_confirmed(browse):
    address = upload(browse, GOOD)["Location"]
    response = browse.post(address, {"seal": "0" * 64})
    assert (response.status_code, "The list was changed since" in html_of(response)) == (422, True)
    assert not GearItem.objects.exists()


def test_what_changed_since_the_preview_is_found_at_the_confirmation(browse, company):
    address = upload(browse, GOOD)["Location"]
    seal = seal_on(page(browse, address))
    ItemFactory(company=company, tag="M-1")
    assert browse.post(address, {"seal": seal}).status_code == 422
    assert GearItem.objects.count() == 1


def test_letters_are_asked_about_and_read_anew(browse):
    address = upload(browse, "Tag,Class,Name,Uses\nM-1,Rope,Müller,Measuring\n", "latin-1")["Location"]
    assert "Müller" in page(browse, address)
    assert browse.post(address, COLUMNS | {"encoding": "cp1250"})["Location"] == address  # its columns are asked anew
    assert browse.post(address, COLUMNS | {"encoding": "cp1252"})["Location"] == address
    assert browse.post(address, COLUMNS | {"encoding": "cp1252"})["Location"] == address.removesuffix("columns/")


def test_a_list_waits_for_its_owner_alone_and_not_for_ever(browse, company, signed_in):
    address = upload(browse, GOOD)["Location"]
    assert signed_in(MembershipFactory(company=company)).get(address).status_code == 404
    ListUpload.objects.update(kept_at=timezone.now() - dt.timedelta(hours=25))
    assert browse.get(address).status_code == 404


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7", b"PK\x03\x04 nothing"])
def test_what_is_no_list_is_refused_on_the_form(browse, data):
    response = upload(browse, data)
    assert response.status_code == 422
    assert not ListUpload.objects.exists()


@pytest.mark.parametrize("form", ["csv", "xlsx", "json"])
@pytest.mark.parametrize("what", ["register", "history"])
def test_lists_go_out_as_files(browse, company, what, form):
    ItemFactory(company=company, tag="B-01")
    response = browse.get(reverse("list_file"), {"what": what, "form": form})
    assert response.status_code == 200
    assert response["Content-Disposition"].endswith(f'.{form}"')
    assert len(b"".join(response.streaming_content)) > 200


def test_the_filter_of_the_store_goes_out_with_the_list(browse, company):
    ItemFactory(company=company, tag="B-01")
    ItemFactory(company=company, tag="R-01", rope=True)
    assert 'name="c" value="rope"' in page(browse, reverse("list_out") + "?c=rope")
    response = browse.get(reverse("list_file"), {"what": "register", "form": "csv", "c": "rope"})
    text = b"".join(response.streaming_content).decode()
    assert "R-01" in text
    assert "B-01" not in text
