"""Pages of the company's people: the list, one person, their sign-in, competences, leaving and removal."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.mail.outbox import is_set_up
from crewlog.models import Competence, Membership, Person, Role, TrainingSession
from crewlog.once import once
from crewlog.people.competence import end_competence, enter_assessment, enter_certificate
from crewlog.people.forms import BecauseForm, CompetenceForm, LeftForm, PersonForm, RemoveForm, RoleForm, SignInForm
from crewlog.people.invitation import (
    give_and_invite,
    last_invitation,
    link_days,
    may_show_link,
    send_invitation,
    show_link,
)
from crewlog.people.removal import remove_person_data
from crewlog.people.services import add_person, change_person, change_role, end_membership, take_back
from crewlog.retention.rules import obstacles
from crewlog.training.pages import learning_rows
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import CREW_READERS, PLANNERS, get_for_company_or_404, role_required
from crewlog.web.form_fields import refused_status, run_service
from crewlog.web.http import CrewRequest

PEOPLE_PER_PAGE = 40
SESSIONS_SHOWN = 20


def person_or_404(request: CrewRequest, person_id: UUID) -> Person:
    row: Person = get_for_company_or_404(Person.objects.with_details(), request, pk=person_id)
    return row


def member_of(person: Person) -> Membership | None:
    return Membership.objects.select_related("user", "company").filter(person=person).first()


def form_page(
    request: CrewRequest, form: Any, *, title: str, action: str, person: Person | None = None, line: str = ""
) -> HttpResponse:
    """One form about a person, or about a new one."""
    context = {"form": form, "title": title, "action": action, "person": person, "line": line}
    return render(request, "crewlog/person_form.html", context, status=refused_status(form))


@require_GET
@role_required(*CREW_READERS)
def crew(request: CrewRequest) -> HttpResponse:
    company = request.member.company
    rows = Person.objects.for_company(company)
    role = request.member.role
    may_manage = role == Role.OWNER
    has_left = "left" in request.GET and may_manage
    people = rows.filter(left_on__isnull=False).order_by("-left_on", "id") if has_left else rows.working()
    page = Paginator(
        people.with_details().select_related("membership").prefetch_related("competences__assessment", "learning"),
        PEOPLE_PER_PAGE,
    ).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "people": page.object_list,
        "today": company.today(),
        "has_left": has_left,
        "may_manage": may_manage,
        "may_open_people": role in PLANNERS,
    }
    return render(request, "crewlog/crew.html", context)


@require_GET
@role_required(*PLANNERS)
def person(request: CrewRequest, person_id: UUID) -> HttpResponse:
    return person_page(request, person_or_404(request, person_id))


def person_page(request: CrewRequest, row: Person, *, link: str = "") -> HttpResponse:
    """A person; with the link to a password where the owner asked to see it."""
    today = request.member.company.today()
    may_manage = request.member.role == Role.OWNER
    member = member_of(row)
    context = {
        "person": row,
        "details": getattr(row, "details", None),
        "member": member,
        "learning": learning_rows(row, today),
        "sessions": row.training_sessions.select_related("assessor__details")[:SESSIONS_SHOWN],
        "competences": row.competences.select_related("assessment__assessor__details").order_by("skill", "gear_class"),
        "today": today,
        "may_manage": may_manage,
        "obstacles": obstacles(row, on=today) if may_manage and row.left_on else (),
        "link": link,
        "link_days": link_days(),
        "invitation": last_invitation(member) if may_manage and member is not None else "",
        "may_show_link": may_manage and member is not None and may_show_link(member),
        "mails": is_set_up(),
    }
    response = render(request, "crewlog/person.html", context)
    if link:  # that it was shown is on record
        request.recorded_at = reverse("person", args=[row.pk])
        response["Cache-Control"] = "private, no-store"
    return response


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def person_new(request: CrewRequest) -> HttpResponse:
    form = PersonForm(request.POST or None)
    made = run_service(form, lambda: add_person(actor=request.member, contact=form.contact()))
    if made is not None:
        words = "Added. For a duty enter a qualification or a skill they learn; a sign-in is not needed."
        messages.success(request, words)
        return redirect("person", made.pk)
    return form_page(request, form, title="Add a person", action="Add them")


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
def person_edit(request: CrewRequest, person_id: UUID) -> HttpResponse:
    row = person_or_404(request, person_id)
    form = PersonForm(request.POST or None, person=row)
    changed = run_service(
        form,
        lambda: change_person(
            actor=request.member,
            person=row,
            contact=form.contact(),
            opened=form.opened,
        ),
    )
    if changed is not None:
        messages.success(request, "Changed.")
        return redirect("person", row.pk)
    return form_page(request, form, title="Name and contact", action="Save", person=row)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def person_sign_in(request: CrewRequest, person_id: UUID) -> HttpResponse:
    """Give a sign-in with a link by e-mail, or change the role of one who has it."""
    row = person_or_404(request, person_id)
    member = member_of(row)
    if member is not None:
        form = RoleForm(request.POST or None, initial={"role": member.role, "ends_on": member.ends_on})
        changed = run_service(form, lambda: change_role(actor=request.member, member=member, **form.cleaned_data))
        if changed is not None:
            messages.success(request, f"{row} is {member.get_role_display().lower()} now.")
            return redirect("person", row.pk)
        return form_page(request, form, title="Role", action="Save the role", person=row)
    form = SignInForm(request.POST or None, initial={"role": Role.CREW})
    made = run_service(form, lambda: give_and_invite(actor=request.member, person=row, **form.cleaned_data))
    if made is not None:
        return invited(request, made)
    action = "Send the link" if is_set_up() else "Give it and show the link"
    return form_page(request, form, title="Give a sign-in", action=action, person=row)


def invited(request: CrewRequest, member: Membership) -> HttpResponse:
    """What follows an invitation: where mail goes out it is on its way, else the owner sees the link."""
    if is_set_up():
        messages.success(request, f"A link to choose a password goes to {member.user.email}.")
        return redirect("person", member.person_id)
    return person_page(request, member.person, link=show_link(actor=request.member, member=member))


@posts_only("person", does="Send a link to choose a password")
@role_required(Role.OWNER)
@once
def person_invite(request: CrewRequest, person_id: UUID) -> HttpResponse:
    """Send the link once more, or show it to be handed over."""
    row = person_or_404(request, person_id)
    member = get_object_or_404(Membership.objects.select_related("user", "company", "person__details"), person=row)
    try:
        if request.POST.get("do") == "show":
            return person_page(request, row, link=show_link(actor=request.member, member=member))
        send_invitation(actor=request.member, member=member)
        return invited(request, member)
    except RuleBroken as fault:
        messages.error(request, fault.message)
    return redirect("person", row.pk)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def person_left(request: CrewRequest, person_id: UUID) -> HttpResponse:
    row = person_or_404(request, person_id)
    form = LeftForm(request.POST or None, initial={"on": request.member.company.today()})
    if (
        run_service(form, lambda: end_membership(actor=request.member, person=row, on=form.cleaned_data["on"]))
        is not None
    ):
        messages.success(request, f"{row} has left. Their sign-in has ended.")
        return redirect("person", row.pk)
    line = "Name and qualifications stay while records that name them are kept."
    return form_page(request, form, title="Record that they left", action="End it", person=row, line=line)


@posts_only("person", does="Record that they are back")
@role_required(Role.OWNER)
@once
def person_back(request: CrewRequest, person_id: UUID) -> HttpResponse:
    row = person_or_404(request, person_id)
    try:
        take_back(actor=request.member, person=row)
    except RuleBroken as fault:
        messages.error(request, fault.message)
    else:
        messages.success(request, f"{row} works here again.")
    return redirect("person", row.pk)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def person_remove(request: CrewRequest, person_id: UUID) -> HttpResponse:
    row = person_or_404(request, person_id)
    form = RemoveForm(request.POST or None)
    removed = run_service(
        form,
        lambda: remove_person_data(actor=request.member, person=row, because=form.cleaned_data["because"]),
    )
    if removed is not None:
        messages.success(request, "Personal data is deleted. The records are intact.")
        return redirect("crew")
    line = "Needs every retention period ended and no legal hold. The records keep a number in place of the name."
    return form_page(request, form, title="Remove their data", action="Delete it", person=row, line=line)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def competence_new(request: CrewRequest, person_id: UUID) -> HttpResponse:
    row = person_or_404(request, person_id)
    company = request.member.company
    initial = {"granted_on": company.today(), "basis": "certificate"}
    form = CompetenceForm(request.POST or None, company=company, initial=initial)

    def enter() -> object:
        facts: dict[str, Any] = {"actor": request.member, "person": row, "skilled": form.skilled()}
        if form.cleaned_data["basis"] == "assessment":
            return enter_assessment(**facts, assessed=form.assessed())
        return enter_certificate(**facts, certificate=form.cleaned_data["certificate"])

    entered = run_service(form, enter)
    if entered is not None:
        if isinstance(entered, TrainingSession) and not entered.granted:
            messages.warning(request, f"The session is on record. {entered.outcome}.")
        else:
            messages.success(request, "The qualification is on record.")
        return redirect("person", row.pk)
    context = {"form": form, "person": row}
    return render(request, "crewlog/competence_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def competence_end(request: CrewRequest, competence_id: int) -> HttpResponse:
    rows = Competence.objects.select_related("person__details", "person__company")
    row = get_object_or_404(rows, pk=competence_id, person__company=request.member.company)
    form = BecauseForm(request.POST or None)

    def end() -> bool:
        end_competence(actor=request.member, competence=row, because=form.cleaned_data["because"])
        return True

    if run_service(form, end):
        messages.success(request, f"{row} is ended.")
        return redirect("person", row.person_id)
    return form_page(request, form, title=f"End: {row}", action="End it", person=row.person)
