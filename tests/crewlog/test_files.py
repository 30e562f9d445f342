"""Photographs and documents read from what people bring: cleaned, or refused."""

import io
import os
import time
import zlib
from typing import Any

import pytest
from PIL import Image

from crewlog.files import keeping, limits
from crewlog.files.documents import read_document
from crewlog.files.errors import FileRefused
from crewlog.files.photographs import read_photograph, thumbnail_of
from crewlog.files.uploads import CappedUploadHandler, either_from, photograph_from, plain_name
from tests import files


def opened(content):
    return Image.open(io.BytesIO(content))


def code_of(call, *arguments):
    with pytest.raises(FileRefused) as refused:
        call(*arguments)
    return refused.value.code


@pytest.mark.parametrize("content", [files.jpeg(), files.png(), files.png(mode="P"), files.png(mode="L"), files.webp()])
def test_a_photograph_becomes_a_jpeg_of_its_size(content):
    kept = read_photograph(content)
    assert opened(kept.content).format == "JPEG"
    assert opened(kept.content).size == (kept.width_px, kept.height_px) == opened(content).size


def test_place_camera_and_comments_are_gone():
    content = files.jpeg(exif=files.placed_exif(), comment=b"taken at home")
    assert opened(content).getexif().get_ifd(0x8825)  # the place is in what was brought
    kept = read_photograph(content).content
    assert dict(opened(kept).getexif()) == {}
    assert opened(kept).info.keys() <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    for trace in (b"Exif", b"GPS", b"secret", b"Nobody", b"home"):
        assert trace not in kept


def test_a_photograph_is_turned_upright():
    kept = read_photograph(files.jpeg((640, 480), exif=files.placed_exif(orientation=6)))
    assert (kept.width_px, kept.height_px) == (480, 640)
    corner = opened(kept.content).getpixel((470, 10))
    assert min(corner) > 240  # the white corner went from the left to the right


def test_a_large_photograph_is_kept_smaller():
    kept = read_photograph(files.jpeg((4000, 3000)))
    assert (kept.width_px, kept.height_px) == (limits.KEPT_SIDE_PX, 1800)
    assert max(opened(thumbnail_of(kept.content)).size) == limits.THUMB_SIDE_PX


def test_what_is_see_through_becomes_white():
    assert min(opened(read_photograph(files.png()).content).getpixel((5, 5))) > 250


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "file-empty"),
        (b"\0" * 2000, "not-a-photograph"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>x</script></svg>", "not-a-photograph"),
        (files.jpeg()[:300], "not-a-photograph"),
        (files.pdf(), "not-a-photograph"),
        (b"GIF89a" + b"\0" * 400, "not-a-photograph"),
        (files.png_bomb(), "photograph-too-many-pixels"),
        (b"\xff\xd8" + b"\0" * limits.PHOTOGRAPH_BYTES, "file-too-large"),
    ],
    ids=["nothing", "noughts", "drawing with a script", "cut off", "PDF", "GIF", "bomb", "huge"],
)
def test_what_is_no_photograph_is_refused(content, code):
    assert code_of(read_photograph, content) == code


def test_nothing_that_hangs_on_a_photograph_is_kept():
    double = files.jpeg() + b"%PDF-1.7 <script>alert(1)</script> PK\x03\x04"
    kept = read_photograph(double).content
    assert b"script" not in kept
    assert b"PK\x03\x04" not in kept
    assert b"%PDF" not in kept


def test_a_plain_pdf_is_taken_as_it_is():
    content = files.pdf(pages=3)
    kept = read_document(content)
    assert (kept.content, kept.pages) == (content, 3)


@pytest.mark.parametrize("change", files.HARMLESS.values(), ids=files.HARMLESS)
def test_a_pdf_with_a_link_to_press_or_a_page_to_open_at_is_taken(change):
    assert read_document(files.pdf(change=change)).pages == 1


@pytest.mark.parametrize("change", files.HARMFUL.values(), ids=files.HARMFUL)
def test_a_pdf_that_could_do_something_is_refused(change):
    assert code_of(read_document, files.pdf(change=change)) == "document-not-plain"


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "file-empty"),
        (files.jpeg(), "not-a-document"),
        (b"%PDF-1.7\nnothing\n%%EOF\n", "not-a-document"),
        (b"GIF89a" + files.pdf(), "not-a-document"),
        (files.pdf() + b"PK\x03\x04", "document-not-whole"),
        (files.pdf()[:-8], "document-not-whole"),
        (files.pdf(password="x"), "document-encrypted"),
        (files.pdf(pages=limits.DOCUMENT_PAGES + 1), "document-too-long"),
        (b"%PDF-1.7" + b"\0" * limits.DOCUMENT_BYTES + b"%%EOF", "file-too-large"),
    ],
    ids=[
        "nothing",
        "picture",
        "hollow",
        "other file before",
        "other file after",
        "cut off",
        "password",
        "long",
        "huge",
    ],
)
def test_what_is_no_plain_pdf_is_refused(content, code):
    assert code_of(read_document, content) == code


def test_a_script_in_packed_objects_is_found():
    """Objects of newer files lie packed in streams, where no search of the bytes finds them."""
    plain = files.pdf(change=files.with_unreached_script)
    assert b"/JavaScript" in plain
    packed = packed_objects(b"<</S/JavaScript/JS(x)>>")
    assert b"/JavaScript" not in packed
    assert code_of(read_document, packed) == "document-not-plain"


def test_an_outside_address_opened_from_packed_objects_is_found():
    packed = packed_objects(b"<</OpenAction<</S/URI/URI(https://a.example/)>>>>")
    assert b"/OpenAction" not in packed
    assert code_of(read_document, packed) == "document-not-plain"


def packed_objects(body):
    """A PDF 1.5 whose catalogue, pages and one more object lie in a compressed object stream."""
    objects = [b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[3 0 R]/Count 1>>"]
    objects += [b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 9 9]>>", body]
    heads, offset = [], 0
    for number, each in enumerate(objects, start=1):
        heads.append(b"%d %d" % (number, offset))
        offset += len(each) + 1
    head = b" ".join(heads) + b" "
    stream = zlib.compress(head + b" ".join(objects))
    out = b"%PDF-1.5\n"
    at_stream = len(out)
    out += b"5 0 obj<</Type/ObjStm/N 4/First %d/Filter/FlateDecode/Length %d>>stream\n" % (len(head), len(stream))
    out += stream + b"\nendstream endobj\n"
    at_table = len(out)
    rows = b"\0\0\0\0" + b"".join(b"\2\0\5" + bytes([i]) for i in range(4))
    rows += b"\1" + at_stream.to_bytes(2, "big") + b"\0" + b"\1" + at_table.to_bytes(2, "big") + b"\0"
    out += b"6 0 obj<</Type/XRef/Size 7/W[1 2 1]/Root 1 0 R/Length %d>>stream\n" % len(rows)
    return out + rows + b"\nendstream endobj\nstartxref\n%d\n%%%%EOF\n" % at_table


def test_the_content_says_what_a_file_is_not_its_name():
    assert either_from(files.upload(files.pdf(), "photo.jpg")).kind == "document"
    assert either_from(files.upload(files.png(), "papers.pdf", "application/pdf")).kind == "photograph"


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("C:\\fakepath\\rope.jpg", "rope.jpg"),
        ("../../etc/passwd", "passwd"),
        ("a\u202egpj.exe", "agpj.exe"),
        ("x\r\nSet-Cookie: a=b.jpg", "xSet-Cookie: a=b.jpg"),
        ("", ""),
        (None, ""),
        ("n" * 300, "n" * 120),
    ],
)
def test_a_name_is_kept_without_folders_and_signs_that_do_not_print(given, kept):
    assert plain_name(given) == kept


def test_a_file_beyond_the_cap_is_counted_but_not_written(settings):
    settings.UPLOAD_CAP_BYTES = 100
    handler = CappedUploadHandler()
    handler.new_file("f", "x.jpg", "image/jpeg", None)
    for start in range(0, 1000, 50):
        handler.receive_data_chunk(b"\0" * 50, start)
    done: Any = handler.file_complete(1000)
    assert done.size == 1000
    assert os.path.getsize(done.temporary_file_path()) <= 150
    done.size = limits.MOST_BYTES + 1
    assert code_of(photograph_from, done) == "file-too-large"
    done.close()


# --- keeping ----------------------------------------------------------------------------------------------------------


@pytest.fixture
def folder(settings, tmp_path):
    settings.FILES_DIR = tmp_path / "kept"
    return settings.FILES_DIR


def test_the_same_bytes_are_kept_once_and_mended_where_they_were_changed(folder, db):
    first = keeping.keep(b"bytes")
    path = keeping.path_of(first)
    assert keeping.keep(b"bytes") == first
    assert [p for p in folder.rglob("*") if p.is_file()] == [path]
    assert keeping.file_fault(first) == ""
    path.write_bytes(b"other")
    assert keeping.file_fault(first) == f"the file {first} was changed"
    keeping.keep(b"bytes")
    assert keeping.file_fault(first) == ""
    path.unlink()
    assert keeping.file_fault(first) == f"the file {first} is missing"


def test_a_file_that_cannot_be_written_leaves_nothing_behind(folder, db, monkeypatch):
    def full(*_):
        raise OSError("no space left")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="no space"):
        keeping.keep(b"bytes")
    assert [p for p in folder.rglob("*") if p.is_file()] == []


def test_a_path_is_made_of_a_hash_only(folder):
    with pytest.raises(ValueError, match="sha256"):
        keeping.path_of("../../secret-key")


@pytest.mark.django_db
def test_a_sweep_removes_what_no_row_names_once_it_is_a_day_old(folder):
    old, young = keeping.path_of(keeping.keep(b"old")), keeping.path_of(keeping.keep(b"young"))
    long_ago = time.time() - keeping.ORPHAN_AFTER_S - 60
    os.utime(old, (long_ago, long_ago))
    assert keeping.sweep_files() == 1
    assert (old.exists(), young.exists()) == (False, True)
