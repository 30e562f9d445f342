"""The places of the navigation as blank pages, so that the parts can be rendered without the pages."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path

from crewlog.templatetags.ui import PLACES


def blank(request: HttpRequest) -> HttpResponse:
    return HttpResponse()


urlpatterns = [
    path("accounts/", include("allauth.account.urls")),
    path("theme/", blank, name="theme"),
    path("here/", blank, name="who_is_here"),
    *(path(f"{name}/", blank, name=name) for name in PLACES),
]
