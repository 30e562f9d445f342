"""App config."""

from django.apps import AppConfig


class GearConfig(AppConfig):
    name = "gear"
    verbose_name = "Gear"
