"""Addresses: sign-in, the pages of the company, then gear and jobs."""

from django.urls import include, path

from crewlog import company_views, views

urlpatterns = [
    path("accounts/", include("allauth.account.urls")),
    path("accounts/2fa/", include("allauth.mfa.urls")),
    path("theme/", views.choose_theme, name="theme"),
    path("more/", views.more, name="more"),
    path("crew/", views.crew, name="crew"),
    path("company/", company_views.company, name="company"),
    path("crew/<uuid:person_id>/examiner/", company_views.examiner, name="examiner"),
    path("records/", views.records, name="records"),
    path("", include("gear.urls")),
    path("", include("jobs.urls")),
]
