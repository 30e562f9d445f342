"""What the store's views share."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import Http404

from crewlog.errors import RuleBroken
from crewlog.http import CrewRequest
from crewlog.models import Role
from gear.forms.fields import show_fault
from gear.models import GearItem
from gear.selectors import item_by_tag

REPORTERS = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR, Role.CREW)
OUT_TAKERS = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR)
EXAMINERS = (Role.OWNER, Role.INSPECTOR)


def item_or_404(request: CrewRequest, tag: str) -> GearItem:
    """The company's item with this tag; another company's does not exist."""
    item = item_by_tag(request.member.company, tag)
    if item is None:
        raise Http404
    return item


def set_or_404(request: CrewRequest, tag: str) -> GearItem:
    """The company's tackle set with this tag; anything else has no parts."""
    item = item_or_404(request, tag)
    if not item.is_assembly:
        raise Http404
    return item


def done(form: forms.BaseForm, service: Callable[[], Any]) -> Any:
    """Run a service on a valid form. None when it refused, with the reason shown at its field."""
    if not form.is_valid():
        return None
    try:
        return service()
    except (RuleBroken, ValidationError) as fault:
        show_fault(form, fault)
        return None
