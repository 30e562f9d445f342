"""Addresses of jobs, plans and sheets."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
