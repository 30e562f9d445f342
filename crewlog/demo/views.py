"""Signing in as one of the demo's people with one press; anywhere else there is no such address."""

from allauth.account.internal.flows.login import perform_login
from allauth.account.models import Login
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import get_object_or_404
from django.utils.http import url_has_allowed_host_and_scheme

from crewlog.demo.people import sign_ins
from crewlog.demo.served import offers_people


@login_not_required
def demo_sign_in(request: HttpRequest, member_id: int) -> HttpResponse:
    if not offers_people(request):
        raise Http404
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    member = get_object_or_404(sign_ins(), pk=member_id)
    back = request.POST.get("next", "")
    ours = url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}, require_https=request.is_secure())
    answer: HttpResponse = perform_login(request, Login(user=member.user, redirect_url=back if ours else None))
    return answer
