"""Photographs and documents to bring: sound ones, and those that nobody should take; files an answer hands out."""

import io
import random
import struct
import zlib

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image
from pypdf import PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, StreamObject, TextStringObject

PLACE = (51.0, 30.0, 12.5)


def jpeg(size=(640, 480), colour="#7a5230", *, exif=None, **options):
    out = io.BytesIO()
    picture = Image.new("RGB", size, colour)
    picture.paste("#ffffff", (0, 0, size[0] // 4, size[1] // 4))  # a corner that shows how it lies
    if exif is not None:
        options["exif"] = exif
    picture.save(out, "JPEG", quality=92, **options)
    return out.getvalue()


def noise(seed, side=240):
    """A photograph of which no two are alike and none packs well."""
    rows = random.Random(seed).randbytes(side * side * 3)
    out = io.BytesIO()
    Image.frombytes("RGB", (side, side), rows).save(out, "JPEG", quality=92)
    return out.getvalue()


def placed_exif(orientation=1):
    """Exif with a place, a camera and an owner."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "Camera of Nobody"
    exif[0x9286] = b"ASCII\0\0\0secret comment"
    exif.get_ifd(0x8825).update({1: "N", 2: PLACE, 3: "W", 4: PLACE})
    return exif


def png(size=(320, 200), mode="RGBA"):
    out = io.BytesIO()
    Image.new(mode, size).save(out, "PNG")
    return out.getvalue()


def webp(size=(320, 200)):
    out = io.BytesIO()
    Image.new("RGB", size, "#226622").save(out, "WEBP")
    return out.getvalue()


def png_bomb(side=40_000):
    """A PNG of a few kilobytes that claims 1.6 thousand million pixels."""

    def chunk(name, body):
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * (1 << 20))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def pdf(pages=1, change=None, password=""):
    """A PDF; `change` puts something into it."""
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(200, 200)
    if change is not None:
        change(writer)
    if password:
        writer.encrypt(password, algorithm="RC4-128")
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def action(kind, **more):
    return DictionaryObject(
        {NameObject("/S"): NameObject(kind)} | {NameObject(f"/{k}"): TextStringObject(v) for k, v in more.items()}
    )


def with_script(writer):
    writer._root_object[NameObject("/OpenAction")] = action("/JavaScript", JS="app.alert(1)")


def with_launch(writer):
    writer._root_object[NameObject("/OpenAction")] = action("/Launch", F="calc")


def with_attachment(writer):
    writer.add_attachment("notes.txt", b"hidden")


def with_unreached_script(writer):
    """A script that no page leads to."""
    writer._add_object(action("/JavaScript", JS="x"))


def with_action_by_itself(writer):
    writer.pages[0][NameObject("/AA")] = DictionaryObject({NameObject("/O"): action("/Named")})


def with_script_in_a_list(writer):
    writer.pages[0][NameObject("/Annots")] = ArrayObject(
        [DictionaryObject({NameObject("/Subtype"): NameObject("/Link"), NameObject("/A"): action("/Launch", F="x")})]
    )


def opening(act):
    """Something that happens when the document is opened."""

    def change(writer):
        writer._root_object[NameObject("/OpenAction")] = writer._add_object(act)

    return change


def chained(*acts):
    """Actions of which each is followed by the next."""
    first, *rest = acts
    if rest:
        first[NameObject("/Next")] = ArrayObject([chained(*rest)])
    return first


def with_outside_stream(writer):
    stream = StreamObject()
    stream[NameObject("/F")] = DictionaryObject({NameObject("/FS"): NameObject("/URL")})
    writer._add_object(stream)


def with_link(writer):
    """A link that a person may press."""
    link = {"/Type": NameObject("/Annot"), "/Subtype": NameObject("/Link")}
    pressed = {
        **{NameObject(k): v for k, v in link.items()},
        NameObject("/A"): action("/URI", URI="https://a.example/"),
    }
    writer.pages[0][NameObject("/Annots")] = ArrayObject([DictionaryObject(pressed)])


def with_page_to_open_at(writer):
    writer._root_object[NameObject("/OpenAction")] = ArrayObject(
        [writer.pages[0].indirect_reference, NameObject("/Fit")]
    )


HARMLESS = {
    "a link to press": with_link,
    "a page to open at": with_page_to_open_at,
    "an action to open at a page": opening(action("/GoTo")),
}
HARMFUL = {
    "an outside address opened": opening(action("/URI", URI="https://a.example/")),
    "an outside address after a page": opening(chained(action("/GoTo"), action("/URI", URI="https://a.example/"))),
    "another file opened": opening(action("/GoToR", F="other.pdf")),
    "an embedded file opened": opening(action("/GoToE")),
    "data sent": opening(action("/SubmitForm", F="https://a.example/")),
    "data loaded": opening(action("/ImportData", F="x.fdf")),
    "printed when opened": opening(action("/Named", N="Print")),
    "a part fetched from outside": with_outside_stream,
    "a script": with_script,
    "a program started": with_launch,
    "a file inside": with_attachment,
    "a script that no page leads to": with_unreached_script,
    "an action that runs by itself": with_action_by_itself,
    "an action in a list": with_script_in_a_list,
}


def upload(content, name="photo.jpg", content_type="image/jpeg"):
    return SimpleUploadedFile(name, content, content_type=content_type)


def close_file(answer):
    """Close the file an answer hands out. answer.close() would close the test's connection on a server as well."""
    for close in answer._resource_closers:
        close()
