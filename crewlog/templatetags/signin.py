"""What account pages ask of this installation."""

import ipaddress

from django.http import HttpRequest
from django.template import Library

from crewlog.mail.outbox import is_set_up
from crewlog.signin.second_step import lacks_second_step
from crewlog.signin.sessions import ENDED

register = Library()


@register.simple_tag
def mails_go_out() -> bool:
    return is_set_up()


@register.simple_tag
def takes_passkeys(request: HttpRequest) -> bool:
    """Whether a browser lets this address use passkeys: it needs a name, not a number."""
    host = request.get_host().rpartition("]")[0].lstrip("[") or request.get_host().partition(":")[0]
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return True
    return False


@register.simple_tag
def second_step_missing(request: HttpRequest) -> bool:
    """Whether the company asks this member for a second step that they do not have."""
    member = getattr(request, "member", None)
    return member is not None and lacks_second_step(member)


@register.simple_tag
def idle_minutes(request: HttpRequest) -> int:
    """After how many minutes a shared device was signed out a moment ago; 0 when it was not. Said once."""
    return int(request.session.pop(ENDED, 0))
