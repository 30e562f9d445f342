"""What pages show in the demo alone."""

from typing import Any

from django.http import HttpRequest
from django.template import Library

from crewlog.demo.people import Offered, offered
from crewlog.demo.served import offers_people

register = Library()


@register.simple_tag
def demo_people(request: HttpRequest) -> list[Offered]:
    """People to sign in as; none anywhere but at the demo's own site."""
    return offered() if offers_people(request) else []


@register.inclusion_tag("parts/demo_tries.html")
def demo_tries(tries: Any) -> dict[str, Any]:
    return {"tries": tries}
