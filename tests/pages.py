"""A page as the tests read it."""

import re
from typing import Protocol


class _Answer(Protocol):
    @property
    def content(self) -> bytes: ...


def in_one_line(html: str) -> str:
    """HTML with one blank for each run of white space, and none where a template breaks a line beside or inside a tag:
    a phrase is found in it however the template is laid out."""
    html = re.sub(r"[ \t]*\n\s*>", ">", html, flags=re.ASCII)
    html = re.sub(r">[ \t]*\n\s*", ">", html, flags=re.ASCII)
    html = re.sub(r"[ \t]*\n\s*</", "</", html, flags=re.ASCII)
    return re.sub(r"\s+", " ", html, flags=re.ASCII)  # a no-break space stays


def html_of(answer: _Answer) -> str:
    """The page's HTML, in one line."""
    return in_one_line(answer.content.decode())
