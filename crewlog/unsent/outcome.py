"""What became of a form that was sent, read from the answer: asked by the key of a form and by its draft alike."""

from django.contrib import messages
from django.http import HttpRequest
from django.http.response import HttpResponseBase


def recorded_at(request: HttpRequest, response: HttpResponseBase) -> str:
    """Where what was recorded is shown; empty for a refused form, a preview, and a refusal that leads on.

    Who leads on without an error has recorded something. A view that records and answers with a page of its own sets
    `request.recorded_at`.
    """
    if tells_an_error(request):
        return ""
    if response.status_code in (302, 303):
        return response["Location"]
    return str(getattr(request, "recorded_at", ""))


def tells_an_error(request: HttpRequest) -> bool:
    """Whether this request queued an error for the next page; reading the messages would mark them as shown."""
    queued = getattr(messages.get_messages(request), "_queued_messages", ())
    return any(message.level >= messages.ERROR for message in queued)
