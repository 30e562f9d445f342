"""Photographs and documents in the browser: adding, seeing, saving, and forms that keep what was chosen."""

import pytest
from django.test import Client
from django.urls import reverse

from gear.files.services import store_document, store_photograph
from gear.models import Inspection, PendingUpload, StoredFile
from tests import files
from tests.factories.crewlog import CompetenceFactory
from tests.factories.gear import ItemFactory, examined
from tests.pages import html_of
from tests.web.test_inspect import answers, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines(inspector):
    CompetenceFactory(person=inspector.person, skill="examine_gear", gear_class="")
    return inspector


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, tag="R-07", rope=True)


def page(item):
    return reverse("item_files", args=[item.tag])


def got(client, address):
    response = client.get(address)
    body = b"".join(response.streaming_content)
    files.close_file(response)
    return response, body


# --- adding -----------------------------------------------------------------------------------------------------------


def test_a_photograph_and_a_document_are_added_by_one_form(signed_in, climber, rope):
    client = signed_in(climber)
    for content, name in ((files.jpeg(), "a.jpg"), (files.pdf(), "b.pdf")):
        typed = {"file": files.upload(content, name), "caption": f"of {name}"}
        assert client.post(page(rope), typed).status_code == 302
    assert set(StoredFile.objects.values_list("kind", "caption")) == {
        ("photograph", "of a.jpg"),
        ("document", "of b.pdf"),
    }
    for address in (page(rope), rope.get_absolute_url()):
        html = html_of(client.get(address))
        shots = html[html.index('class="shots"') : html.index("</section>", html.index('class="shots"'))]
        assert "of a.jpg" in shots
        assert "of b.pdf" in shots


@pytest.mark.parametrize(
    ("content", "name", "says"),
    [
        (b"<html><script>alert(1)</script>", "rope.jpg", "not a photograph"),
        (b"", "rope.jpg", "empty"),
        (files.png_bomb(), "rope.png", "million pixels"),
        (files.pdf(change=files.with_script), "paper.pdf", "script"),
        (files.pdf(change=files.with_attachment), "paper.jpg", "embedded file"),
    ],
)
def test_what_is_refused_is_said_at_its_box_and_the_words_stay(signed_in, owner, rope, content, name, says):
    typed = {"file": files.upload(content, name), "caption": "the far eye"}
    response = signed_in(owner).post(page(rope), typed)
    html = html_of(response)
    assert response.status_code == 422
    assert says in html
    assert "the far eye" in html
    assert not StoredFile.objects.exists()


def test_a_name_and_a_caption_are_shown_never_read_as_markup(signed_in, owner, rope):
    client = signed_in(owner)
    wicked = "<script>alert(1)</script>.pdf"
    client.post(page(rope), {"file": files.upload(files.pdf(), wicked), "caption": "<b>x</b>"})
    html = html_of(client.get(page(rope)))
    assert "<script>alert" not in html
    assert "&lt;b&gt;x&lt;/b&gt;" in html


# --- handing out ------------------------------------------------------------------------------------------------------


def test_a_photograph_is_shown_with_headers_that_keep_it_a_photograph(signed_in, owner, rope):
    row = store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg(exif=files.placed_exif())))
    response, body = got(signed_in(owner), row.get_absolute_url())
    assert body.startswith(b"\xff\xd8")
    assert b"GPS" not in body
    assert response["Content-Type"] == "image/jpeg"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Content-Disposition"].startswith("inline")
    assert response["Cache-Control"] == "private, no-store"
    policy = response["Content-Security-Policy"]
    assert "sandbox" in policy
    assert "script-src" not in policy
    small = reverse("item_file_thumb", args=[rope.tag, row.pk])
    assert len(got(signed_in(owner), small)[1]) < len(body)


def test_a_document_is_only_ever_saved(signed_in, auditor, owner, rope):
    content = files.pdf()
    row = store_document(actor=owner, item=rope, upload=files.upload(content, 'x"\r\nA: b.html', "text/html"))
    response, body = got(signed_in(auditor), row.get_absolute_url())
    assert body == content
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == f'attachment; filename="R-07-{row.pk}.pdf"'
    assert "sandbox" in response["Content-Security-Policy"]
    assert signed_in(auditor).get(reverse("item_file_thumb", args=[rope.tag, row.pk])).status_code == 404


def test_a_file_is_found_under_its_own_item_and_company_only(signed_in, owner, outsider, rope, company):
    row = store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg()))
    other = ItemFactory(company=company, tag="B-01")
    assert signed_in(owner).get(reverse("item_file", args=[other.tag, row.pk])).status_code == 404
    assert signed_in(outsider).get(row.get_absolute_url()).status_code == 404
    assert Client().get(row.get_absolute_url()).status_code == 302


def test_a_file_whose_bytes_are_missing_is_said_to_be_missing(signed_in, owner, rope, settings, tmp_path):
    settings.FILES_DIR = tmp_path / "a"
    row = store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg()))
    settings.FILES_DIR = tmp_path / "b"
    client = signed_in(owner)
    answer = client.get(row.get_absolute_url())
    assert answer.status_code == 404
    assert "This photograph is missing on the server" in html_of(answer)
    assert "This photograph is missing on the server" in html_of(client.get(page(rope)))
    history = html_of(client.get(reverse("item", args=[rope.tag])))
    assert "Photograph missing on the server" in history


@pytest.mark.parametrize("damage", [None, b"no picture"])
def test_a_small_picture_that_cannot_be_made_is_not_found(signed_in, owner, rope, settings, tmp_path, damage):
    settings.FILES_DIR = tmp_path / "a"
    row = store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg()))
    (kept,) = (path for path in (tmp_path / "a").rglob("*") if path.is_file())
    kept.unlink() if damage is None else kept.write_bytes(damage)
    assert signed_in(owner).get(reverse("item_file_thumb", args=[rope.tag, row.pk])).status_code == 404


def test_pages_of_files_ask_no_more_of_the_database_as_they_grow(signed_in, owner, rope, django_assert_max_num_queries):
    client = signed_in(owner)
    for number in range(30):
        store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg((8, 8))), caption=f"no {number}")
    with django_assert_max_num_queries(12):
        html = html_of(client.get(page(rope)))
    assert "24 of 30 files" in html


# --- with an inspection -----------------------------------------------------------------------------------------------


def failing(item, **more):
    told = {"told_at": "2026-01-02T09:30", "told_how": "by telephone"}
    return answers(item, verdict="out_of_use", findings="cut at 14 m", **told, **more)


def test_photographs_of_points_and_of_the_findings_hang_on_the_inspection(signed_in, ines, rope):
    examined(rope, days=40)
    point = rope.declared.checklist.points[1].code
    typed = failing(rope) | {
        "photo": files.upload(files.jpeg(), "whole.jpg"),
        f"photo_{point}": files.upload(files.png(), "strand.png"),
    }
    assert signed_in(ines).post(url(rope), typed).status_code == 302
    inspection = Inspection.objects.filter(item=rope).order_by("-record_id").first()
    kept = {(file.point, file.name_given) for file in inspection.files.all()}
    assert kept == {("", "whole.jpg"), (point, "strand.png")}


def test_a_refused_inspection_keeps_its_photographs_until_it_is_signed(signed_in, ines, rope):
    client = signed_in(ines)
    typed = answers(rope, verdict="out_of_use", findings="cut") | {"photo": files.upload(files.jpeg(), "whole.jpg")}
    response = client.post(url(rope), typed)  # not said how the employer was told
    assert response.status_code == 422
    held = PendingUpload.objects.get()
    html = html_of(response)
    assert f'name="photo-held" value="{held.pk}"' in html
    assert got(client, reverse("held_upload", args=[held.pk]))[1].startswith(b"\xff\xd8")
    again = client.post(url(rope), answers(rope, verdict="out_of_use", findings="cut") | {"photo-held": str(held.pk)})
    assert again.status_code == 422
    assert PendingUpload.objects.get() == held  # held once, however often the form comes back
    assert client.post(url(rope), failing(rope) | {"photo-held": str(held.pk)}).status_code == 302
    assert StoredFile.objects.get().sha256 == held.sha256
    assert StoredFile.objects.get().inspection is not None


def test_a_held_photograph_may_be_left_out(signed_in, ines, rope):
    client = signed_in(ines)
    client.post(url(rope), answers(rope, verdict="out_of_use") | {"photo": files.upload(files.jpeg())})
    held = PendingUpload.objects.get()
    typed = failing(rope) | {"photo-held": str(held.pk), "photo-leave-out": "1"}
    assert client.post(url(rope), typed).status_code == 302
    assert not StoredFile.objects.exists()


def test_nobody_takes_anothers_held_photograph(signed_in, ines, owner, rope):
    signed_in(owner).post(page(rope), {"file": files.upload(files.jpeg()), "caption": "c" * 300})
    held = PendingUpload.objects.get()
    client = signed_in(ines)
    assert client.get(reverse("held_upload", args=[held.pk])).status_code == 404
    response = client.post(url(rope), failing(rope) | {"photo-held": str(held.pk)})
    assert response.status_code == 422
    assert "Choose it again" in html_of(response)
    assert client.post(url(rope), failing(rope) | {"photo-held": "x"}).status_code == 422
    assert not StoredFile.objects.exists()


def test_a_wrong_photograph_signs_nothing(signed_in, ines, rope):
    before = Inspection.objects.count()
    response = signed_in(ines).post(url(rope), failing(rope) | {"photo": files.upload(b"not a picture")})
    assert response.status_code == 422
    assert "not a photograph" in html_of(response)
    assert Inspection.objects.count() == before
