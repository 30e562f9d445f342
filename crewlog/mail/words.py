"""The words of every mail: `templates/mail/KIND.txt`, its first line the subject."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urljoin

from django.conf import settings
from django.template import Context, Engine
from django.urls import reverse


@dataclass(frozen=True, slots=True)
class Words:
    subject: str
    body: str


def link(name: str, *args: Any, **kwargs: Any) -> str:
    """An address of ours as a mail gives it: from CREWLOG_ADDRESS, whatever host a request named."""
    return urljoin(settings.SITE_ADDRESS, reverse(name, args=args or None, kwargs=kwargs or None))


def mail_words(kind: str, facts: Mapping[str, Any]) -> Words:
    """Subject and text of a mail. Plain text: nothing is escaped, and a subject is one line."""
    template = Engine.get_default().get_template(f"mail/{kind}.txt")
    text = template.render(Context({"site": settings.SITE_ADDRESS, **facts}, autoescape=False))
    subject, _, body = text.strip().replace("\N{NO-BREAK SPACE}", " ").partition("\n")
    return Words(" ".join(subject.split())[:200], body.strip() + "\n")
