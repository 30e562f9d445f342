"""The company's own page, and what reports say of an examiner."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from crewlog.company.forms import CompanyForm, ExaminerForm
from crewlog.company.services import change_company, describe_examiner
from crewlog.models import Company, ExaminerDetails, Person, Role, Skill
from crewlog.web.access import INSPECTORS, get_for_company_or_404, role_required
from crewlog.web.form_fields import refused_status, run_service
from crewlog.web.http import CrewRequest


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
def company(request: CrewRequest) -> HttpResponse:
    form = CompanyForm(request.POST or None, instance=Company.objects.get(pk=request.member.company_id))
    kept = run_service(form, lambda: change_company(actor=request.member, opened=form.opened, **form.cleaned_data))
    if kept is not None:
        messages.success(request, "The company's details are saved.")
        return redirect("company")
    return render(request, "crewlog/company.html", {"form": form}, status=refused_status(form))


@require_http_methods(["GET", "POST"])
@role_required(*INSPECTORS)
def examiner(request: CrewRequest, person_id: str) -> HttpResponse:
    rows = Person.objects.with_details()
    person = get_for_company_or_404(rows, request, pk=person_id)
    if request.member.role != Role.OWNER and person.pk != request.member.person_id:
        raise PermissionDenied
    if getattr(person, "details", None) is None:
        raise Http404
    known = ExaminerDetails.objects.filter(details__person=person).first()
    form = ExaminerForm(request.POST or None, instance=known, initial=initial_of(person, known))
    if request.method == "POST" and form.is_valid():
        describe_examiner(actor=request.member, person=person, **form.cleaned_data)
        messages.success(request, f"Saved. Reports by {person} now print these details.")
        return redirect("reports")
    context = {"form": form, "person": person}
    return render(request, "crewlog/examiner.html", context, status=422 if form.errors else 200)


def initial_of(person: Person, known: ExaminerDetails | None) -> dict[str, str]:
    """Qualifications from the person's competence to examine, and the company's address, to start from."""
    if known is not None:
        return {}
    held = person.competences.filter(skill=Skill.EXAMINE_GEAR).order_by("-granted_on").first()
    return {"qualifications": held.evidence if held else "", "address": person.company.address}
