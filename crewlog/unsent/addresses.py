"""Addresses that only take what a form sends. A reader who comes there is led to the page the form stands on."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Protocol, cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponseNotAllowed
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import ResolverMatch, reverse

View = Callable[..., HttpResponseBase]
Page = str | Callable[..., str]


class PostsOnly(Protocol):
    """A view of such an address: what its button says, and the address of its page for the same arguments."""

    does: str
    page: Page

    def __call__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase: ...


def posts_only(page: Page, *, does: str = "") -> Callable[[View], View]:
    """A view that takes POST. GET does nothing, says so, and goes to `page`.

    `page` is the name of an address with the same arguments, or a function of the request and the arguments.
    `does` are the words of the button; without them nothing is said.
    """

    def guard(view: View) -> View:
        @wraps(view)
        def answered(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if request.method == "POST":
                return view(request, *args, **kwargs)
            if request.method not in ("GET", "HEAD"):
                return HttpResponseNotAllowed(["GET", "POST"])
            where = page(request, **kwargs) if callable(page) else reverse(page, args=args, kwargs=kwargs)
            if does and not getattr(request, "is_told", False):
                messages.warning(request, f"“{does}” was not done. Use its button on this page.")
            return redirect(where)

        marked = cast(PostsOnly, answered)
        marked.does, marked.page = does, page
        return answered

    return guard


def is_posts_only(view: object) -> bool:
    return hasattr(view, "does")


def deed(match: ResolverMatch | None) -> str:
    """What the button of an address says; empty for a page that takes its own form."""
    return str(getattr(match.func, "does", "")) if match is not None else ""
