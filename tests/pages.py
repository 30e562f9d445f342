"""A page as the tests read it."""

import re
from typing import Protocol


class _Answer(Protocol):
    @property
    def content(self) -> bytes: ...


def html_of(answer: _Answer) -> str:
    """The page's HTML with one blank for each run of white space, and none where the template breaks a line beside a
    tag: a phrase is found in it however the template is laid out."""
    html = re.sub(r">[ \t]*\n\s*", ">", answer.content.decode(), flags=re.ASCII)
    html = re.sub(r"[ \t]*\n\s*</", "</", html, flags=re.ASCII)
    return re.sub(r"\s+", " ", html, flags=re.ASCII)  # a no-break space stays
