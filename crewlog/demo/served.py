"""Whether this process is the demo's own site. Nothing of the environment or the settings can say so."""

from django.conf import settings
from django.http import HttpRequest

from crewlog.demo import is_demo_database

LOOPBACK = ("127.0.0.1", "::1")
FROM_PROXIES = ("HTTP_FORWARDED", "HTTP_VIA", "HTTP_X_REAL_IP", "HTTP_X_CLIENT_IP", "HTTP_TRUE_CLIENT_IP")
HOSTS = ("127.0.0.1", "localhost", "[::1]")


class Serving:
    """Set by the demo's command just before it serves, in the process that serves."""

    by_the_demo = False


def offers_people(request: HttpRequest) -> bool:
    """Whether the demo's people may be signed in without a password.

    All must hold: the demo's command serves, the database carries its mark, and the request comes from this machine to
    an address of this machine, with no proxy in between.
    """
    return (
        Serving.by_the_demo
        and settings.PROXIES == 0
        and request.META.get("REMOTE_ADDR") in LOOPBACK
        and request.get_host().rpartition(":")[0] in HOSTS
        and not any(name.startswith("HTTP_X_FORWARDED") or name in FROM_PROXIES for name in request.META)
        and is_demo_database()
    )
