"""Receiving files: no more is written to disk than any form takes."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import TemporaryFileUploadHandler

from crewlog.files.documents import Document, read_document
from crewlog.files.errors import FileRefused
from crewlog.files.limits import MOST_BYTES
from crewlog.files.photographs import Photograph, read_photograph

NAME_LONGEST = 120


class CappedUploadHandler(TemporaryFileUploadHandler):
    """Counts a file to its end but writes only what may be taken; its size then says that it is too large."""

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        if start <= settings.UPLOAD_CAP_BYTES:
            super().receive_data_chunk(raw_data, start)


def content_of(upload: UploadedFile[Any], max_bytes: int = MOST_BYTES) -> bytes:
    """The bytes of an upload. Raises FileRefused before reading one that is too large."""
    if (upload.size or 0) > max_bytes:
        raise FileRefused(
            f"The file is larger than {max_bytes // 1_000_000} MB. Choose a smaller one.", code="file-too-large"
        )
    upload.seek(0)
    content: Any = upload.read()
    return bytes(content)


def plain_name(name: str | None) -> str:
    """The name a file was brought under, without folders and control characters."""
    base = (name or "").replace("\\", "/").rsplit("/", 1)[-1]
    shown = "".join(c for c in base if c.isprintable()).strip()
    return shown[:NAME_LONGEST]


def photograph_from(upload: UploadedFile[Any]) -> Photograph:
    return read_photograph(content_of(upload), plain_name(upload.name))


def document_from(upload: UploadedFile[Any]) -> Document:
    return read_document(content_of(upload), plain_name(upload.name))


def either_from(upload: UploadedFile[Any]) -> Photograph | Document:
    """A document where the content begins as one, else a photograph; the name says nothing."""
    content, name = content_of(upload), plain_name(upload.name)
    return read_document(content, name) if content.startswith(b"%PDF-") else read_photograph(content, name)
