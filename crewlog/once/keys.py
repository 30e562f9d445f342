"""The key a form carries, and what makes two submissions of it equal."""

import hashlib
import re
import secrets
from collections.abc import Iterator
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest

from crewlog.unsent.middleware import TOKEN_BOX

BOX = "form_key"
SHAPE = re.compile(r"[A-Za-z0-9_-]{16,64}")
# Made anew whenever a page is shown or sent, and not part of what somebody says.
NOT_SAID = {BOX, TOKEN_BOX, "csrfmiddlewaretoken"}


def new_key() -> str:
    return secrets.token_urlsafe(18)


def key_of(request: HttpRequest) -> str | None:
    """The key that was sent; None for a form without one, or with something else in its place."""
    key = str(request.POST.get(BOX, ""))
    return key if SHAPE.fullmatch(key) else None


def digest_of(request: HttpRequest) -> str:
    """sha256 over the address and everything that was typed, chosen and attached."""
    said = hashlib.sha256()
    for part in parts_of(request):
        said.update(len(part).to_bytes(8, "big") + part)
    return said.hexdigest()


def parts_of(request: HttpRequest) -> Iterator[bytes]:
    yield request.get_full_path().encode()
    for name in sorted(set(request.POST) - NOT_SAID):
        yield b"box"
        yield name.encode()
        for value in request.POST.getlist(name):
            yield str(value).encode("utf-8", "surrogatepass")
    for name in sorted(request.FILES):
        for file in request.FILES.getlist(name):
            yield b"file"
            yield name.encode()
            yield content_digest(file)


def content_digest(file: "UploadedFile[Any]") -> bytes:
    content = hashlib.sha256()
    for chunk in file.chunks():
        content.update(chunk)
    file.seek(0)
    return content.digest()
