"""A PDF checked by its content: nothing in it may run, open something else or carry a file."""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject, NameObject, StreamObject

from crewlog.files.errors import FileRefused
from crewlog.files.limits import DOCUMENT_BYTES, DOCUMENT_OBJECTS, DOCUMENT_PAGES, MEGABYTE

CONTENT_TYPE = "application/pdf"
# Keys of the format (ISO 32000-1, 7.11, 12.6 and 12.7) and what each would do.
FORBIDDEN_KEYS = {
    "/JS": "a script",
    "/JavaScript": "a script",
    "/AA": "an action that runs by itself",
    "/EF": "an embedded file",
    "/EmbeddedFiles": "an embedded file",
    "/XFA": "a form with scripts",
    "/RichMedia": "embedded media",
    "/RichMediaContent": "embedded media",
    "/Collection": "an embedded file",
}
FORBIDDEN_VALUES = {
    ("/S", "/JavaScript"): "a script",
    ("/S", "/Launch"): "an action that starts a program",
    ("/S", "/SubmitForm"): "an action that sends data",
    ("/S", "/ImportData"): "an action that loads data",
    ("/S", "/GoToE"): "an embedded file",
    ("/S", "/GoToR"): "an action that opens another file",
    ("/S", "/Rendition"): "embedded media",
    ("/S", "/Movie"): "embedded media",
    ("/S", "/Sound"): "embedded media",
    ("/S", "/RichMediaExecute"): "embedded media",
    ("/Type", "/EmbeddedFile"): "an embedded file",
    ("/Subtype", "/FileAttachment"): "an embedded file",
    ("/Subtype", "/RichMedia"): "embedded media",
    ("/Subtype", "/Movie"): "embedded media",
    ("/Subtype", "/Sound"): "embedded media",
    ("/Subtype", "/Screen"): "embedded media",
    ("/Subtype", "/3D"): "embedded media",
    ("/FS", "/URL"): "a part that is fetched from an outside address",
}
LOOKED_UP = {key for key, _ in FORBIDDEN_VALUES}
# What may happen when a document is opened: it goes to one of its own pages.
OPENS_AT = "/GoTo"
# Long enough not to stand in packed data by chance; they catch an object that no cross-reference names.
FORBIDDEN_BYTES = re.compile(rb"/(?:JavaScript|Launch|EmbeddedFiles?|RichMedia|SubmitForm|ImportData)\b")
ESCAPED = re.compile(rb"#([0-9A-Fa-f]{2})")
MOST_NESTED = 60


@dataclass(frozen=True)
class Document:
    """A checked PDF with the name it was brought under."""

    content: bytes
    pages: int
    name: str = ""
    kind = "document"
    content_type = CONTENT_TYPE
    width_px = height_px = None

    @cached_property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()


def read_document(content: bytes, name: str = "") -> Document:
    """Check a PDF, object by object. Raises FileRefused with a stable code and what was found."""
    if not content:
        raise FileRefused("The file is empty. Choose the document again.", code="file-empty")
    if len(content) > DOCUMENT_BYTES:
        raise FileRefused(f"The PDF is larger than {DOCUMENT_BYTES // MEGABYTE} MB.", code="file-too-large")
    if not content.startswith(b"%PDF-"):
        raise FileRefused("This is not a PDF. Choose a PDF document.", code="not-a-document")
    if content[content.rfind(b"%%EOF") + 5 :].strip() or b"%%EOF" not in content:
        raise FileRefused("There is data after the end of the PDF. Save it again.", code="document-not-whole")
    try:
        return Document(content, checked_pages(content), name=name)
    except FileRefused:
        raise
    except Exception as fault:  # whatever the reader trips over, it is no document to us
        raise FileRefused("This PDF cannot be read. Save or print it as a PDF again.", code="not-a-document") from fault


def checked_pages(content: bytes) -> int:
    """Number of pages of a PDF in which nothing forbidden was found."""
    reader = PdfReader(io.BytesIO(content))
    if reader.is_encrypted:
        raise FileRefused("The PDF has a password. Save it without one.", code="document-encrypted")
    pages = len(reader.pages)
    if pages > DOCUMENT_PAGES:
        raise FileRefused(f"The PDF has {pages} pages; at most {DOCUMENT_PAGES} are taken.", code="document-too-long")
    plain = ESCAPED.sub(lambda found: bytes([int(found[1], 16)]), content)
    if FORBIDDEN_BYTES.search(plain):
        refuse("a script, an embedded file or an action")
    for value in every_object(reader):
        check_object(value)
    return pages


def every_object(reader: PdfReader) -> Iterator[Any]:
    """Each object of the file, reached or not, and the document's own dictionary."""
    places = [(number, generation) for generation, found in reader.xref.items() for number in found]
    places += [(number, 0) for number in reader.xref_objStm]
    if len(places) > DOCUMENT_OBJECTS:
        raise FileRefused("The PDF is too complex. Print it as a PDF again.", code="document-too-intricate")
    yield reader.trailer
    for number, generation in places:
        yield reader.get_object(IndirectObject(number, generation, reader))


def check_object(value: Any, depth: int = 0) -> None:
    """Refuse a dictionary that holds a forbidden key or value; what it points at is looked at by itself."""
    if depth > MOST_NESTED:
        raise FileRefused("The PDF is too complex. Print it as a PDF again.", code="document-too-intricate")
    if isinstance(value, DictionaryObject):
        for key, inner in value.items():
            if key in FORBIDDEN_KEYS:
                refuse(FORBIDDEN_KEYS[key])
            if key == "/OpenAction":
                check_opening(inner)
            if key == "/F" and isinstance(value, StreamObject):
                refuse("a part that is fetched from another file")
            resolved = resolve(inner) if key in LOOKED_UP else inner
            if isinstance(resolved, NameObject) and (key, str(resolved)) in FORBIDDEN_VALUES:
                refuse(FORBIDDEN_VALUES[key, str(resolved)])
            check_object(inner, depth + 1)
    elif isinstance(value, ArrayObject):
        for inner in value:
            check_object(inner, depth + 1)


def resolve(value: Any) -> Any:
    return value.get_object() if isinstance(value, IndirectObject) else value


def check_opening(action: Any, depth: int = 0) -> None:
    """Refuse what a reader would do by itself on opening, but for going to one of the document's own pages.

    A link that a person presses may lead outside; the same action under /OpenAction, or chained to it, may not.
    """
    action = resolve(action)
    if depth > MOST_NESTED:
        raise FileRefused("The PDF is too complex. Print it as a PDF again.", code="document-too-intricate")
    if not isinstance(action, DictionaryObject):
        return  # a place in the document itself
    if str(resolve(action.get("/S", OPENS_AT))) != OPENS_AT:
        refuse("an action that runs by itself when it is opened")
    following = resolve(action.get("/Next"))
    for each in following if isinstance(following, ArrayObject) else [following]:
        check_opening(each, depth + 1)


def refuse(what: str) -> None:
    raise FileRefused(f"The PDF contains {what}. Print it as a plain PDF, then choose that.", code="document-not-plain")
