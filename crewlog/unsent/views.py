"""Who is signed in, asked by a page before it sends a form; and the page of a form whose token had gone stale."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import requires_csrf_token
from django.views.decorators.http import require_GET

from crewlog.models import Membership
from crewlog.unsent.addresses import deed


@login_not_required
@never_cache
@require_GET
def who_is_here(request: HttpRequest) -> JsonResponse:
    """The person's id, "" for nobody, and a token of this browser's present cookie."""
    member: Membership | None = getattr(request, "member", None)
    return JsonResponse({"person": str(member.person_id) if member else "", "token": get_token(request)})


@requires_csrf_token
def csrf_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Says what was not done, and leads back to the page. `reason` is for developers and is not shown."""
    context = {"does": deed(request.resolver_match), "back": request.get_full_path()}
    return render(request, "403_csrf.html", context, status=403)
