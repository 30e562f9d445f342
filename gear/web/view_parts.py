"""What the store's views share."""

from django.http import Http404

from crewlog.models import Role
from crewlog.web.form_fields import run_service
from crewlog.web.http import CrewRequest
from gear.models import GearItem
from gear.register.address import item_by_tag

__all__ = ["EXAMINERS", "LIST_TAKERS", "OUT_TAKERS", "REPORTERS", "item_or_404", "run_service", "set_or_404"]

REPORTERS = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR, Role.CREW)
OUT_TAKERS = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR)
EXAMINERS = (Role.OWNER, Role.INSPECTOR)
# The owner's own list; an inspector and an auditor read the same facts on the pages they may open.
LIST_TAKERS = (Role.OWNER, Role.INSPECTOR, Role.AUDITOR)


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
