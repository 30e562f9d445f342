"""Addresses of the gear store."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
