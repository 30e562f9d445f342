"""Addresses: sign-in, the pages of the company, then gear and jobs."""

from django.urls import include, path

from crewlog import views

urlpatterns = [
    path("accounts/", include("allauth.account.urls")),
    path("accounts/2fa/", include("allauth.mfa.urls")),
    path("theme/", views.choose_theme, name="theme"),
    path("more/", views.more, name="more"),
    path("crew/", views.crew, name="crew"),
    path("records/", views.records, name="records"),
    path("", include("gear.urls")),
    path("", include("jobs.urls")),
]
