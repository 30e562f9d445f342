"""The one mechanism: a view that records runs in the transaction that claims its form's key."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.db import IntegrityError, transaction
from django.http import HttpResponse
from django.shortcuts import redirect

from crewlog.models import SentForm
from crewlog.once.keys import digest_of, key_of
from crewlog.unsent.outcome import recorded_at
from crewlog.web.http import CrewRequest

View = Callable[..., HttpResponse]
TRIES = 3


def once(view: View) -> View:
    """Let equal submissions of a form with `{% form_key %}` record one thing and get one answer.

    The key is claimed first and kept with what the view records, in one transaction: a crash leaves neither, and a
    second submission waits for the first. A view that redirects, or sets `request.recorded_at`, has recorded something;
    any other answer (a refused form, a preview, a redirect with an error) gives the key back. What is sent again with
    other contents is another submission. A form without a key is taken as it comes.

    The first argument is the request. A view that reads photographs does so first and hands the rest to an inner
    function that is decorated: on SQLite nobody else writes meanwhile.
    """

    @wraps(view)
    def recorded(request: CrewRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        key = key_of(request) if request.method == "POST" and request.user.is_authenticated else None
        if key is None:
            return view(request, *args, **kwargs)
        with transaction.atomic():
            sent, is_first = claim(request, key)
            if not is_first:
                return repeated(request, sent)
            response = view(request, *args, **kwargs)
            sent.location = recorded_at(request, response)
            if sent.location:
                sent.save(update_fields=["location"])
            else:
                sent.delete()
            return response

    vars(recorded)["records_once"] = True
    return recorded


def claim(request: CrewRequest, key: str) -> tuple[SentForm, bool]:
    """This submission's row, and whether it is the first. Waits for an equal one that is under way."""
    told = {"user": request.user, "key": key, "digest": digest_of(request)}
    for _ in range(TRIES):
        try:
            with transaction.atomic():
                return SentForm.objects.create(**told), True
        except IntegrityError:
            found = SentForm.objects.filter(**told).first()
            if found is not None:
                return found, False
    raise RuntimeError("A form's key was taken and given back three times.")


def repeated(request: CrewRequest, sent: SentForm) -> HttpResponse:
    """Where the first submission was answered, or what it recorded is shown."""
    messages.info(request, "This was sent more than once and recorded once.")
    return redirect(sent.location)
