"""Pages of learning: a skill begun, a skill ended."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from crewlog.errors import RuleBroken
from crewlog.models import Role
from crewlog.models.training import Learning
from crewlog.once import once
from crewlog.people.views import form_page, person_or_404
from crewlog.training.forms import LearningForm
from crewlog.training.services import begin_learning, end_learning
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import role_required
from crewlog.web.form_fields import run_service
from crewlog.web.http import CrewRequest


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def learning_new(request: CrewRequest, person_id: UUID) -> HttpResponse:
    """Make somebody a trainee of one skill."""
    row = person_or_404(request, person_id)
    form = LearningForm(request.POST or None)
    begun = run_service(
        form, lambda: begin_learning(actor=request.member, person=row, skill=form.cleaned_data["skill"])
    )
    if begun is not None:
        messages.success(request, f"{row} learns: {begun}.")
        return redirect("person", row.pk)
    line = "A trainee takes a duty under a named supervisor with no other duty, and does not count as qualified."
    return form_page(request, form, title="Add a skill to learn", action="Record it", person=row, line=line)


def page_of_learning(request: CrewRequest, learning_id: int) -> str:
    """The page the button stands on; once it is ended, or of another company, the list of people."""
    company = request.member.company if request.member else None
    row = Learning.objects.filter(pk=learning_id, person__company=company).first()
    return reverse("crew") if row is None else reverse("person", args=[row.person_id])


@posts_only(page_of_learning, does="End")
@role_required(Role.OWNER)
@once
def learning_end(request: CrewRequest, learning_id: int) -> HttpResponse:
    rows = Learning.objects.select_related("person__details", "person__company")
    row = get_object_or_404(rows, pk=learning_id, person__company=request.member.company)
    try:
        end_learning(actor=request.member, learning=row)
    except RuleBroken as fault:
        messages.error(request, fault.message)
    else:
        messages.success(request, f"{row.person} no longer learns: {row}.")
    return redirect("person", row.person_id)
