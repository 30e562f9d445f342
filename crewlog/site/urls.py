"""Addresses of the site itself."""

from django.urls import path

from crewlog.site import pages, probes

urlpatterns = [
    path("healthz", probes.healthz, name="healthz"),
    path("readyz", probes.readyz, name="readyz"),
    path("favicon.ico", pages.favicon, name="favicon"),
    path("robots.txt", pages.robots, name="robots"),
    path(".well-known/security.txt", pages.security_text, name="security_text"),
]
