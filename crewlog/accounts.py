"""Sign-in by e-mail; nobody signs themself up."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class ClosedAccountAdapter(DefaultAccountAdapter):  # type: ignore[misc]
    """The owner adds people; the sign-up page is closed."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def populate_username(self, request: HttpRequest, user: Any) -> None:
        """A sign-in has no user name."""
