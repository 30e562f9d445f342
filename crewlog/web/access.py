"""Who may open what: a wrong role gets 403, another company's row 404."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Protocol, TypeVar

from django.core.exceptions import PermissionDenied
from django.db.models import Model, QuerySet
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404

from crewlog.models import Company, Role
from crewlog.web.http import CrewRequest

Row = TypeVar("Row", bound=Model, covariant=True)
View = Callable[..., HttpResponseBase]


class CompanyRows(Protocol[Row]):
    """A manager or queryset that can be narrowed to one company."""

    def for_company(self, company: Company) -> "QuerySet[Row]": ...


EVERYONE = tuple(Role)
COMPANY_PEOPLE = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR, Role.CREW)
PLANNERS = (Role.OWNER, Role.CREW_LEAD)
INSPECTORS = (Role.OWNER, Role.INSPECTOR)
CREW_READERS = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR)
RECORD_READERS = (*CREW_READERS, Role.AUDITOR)


def role_required(*roles: Role) -> Callable[[View], View]:
    """Let only members with one of the roles through; everyone else gets 403."""

    def guard(view: View) -> View:
        @wraps(view)
        def guarded(request: CrewRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if request.member is None or request.member.role not in roles:
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return guarded

    return guard


def get_for_company_or_404(rows: CompanyRows[Row], request: CrewRequest, **lookup: Any) -> Row:
    """One row of the member's own company; another company's row does not exist for them."""
    return get_object_or_404(rows.for_company(request.member.company), **lookup)
