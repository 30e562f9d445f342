"""Pages: changing a fact, answering a change, and the changes that wait."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.models import Role
from crewlog.once import once
from crewlog.web.access import EVERYONE, INSPECTORS, role_required
from crewlog.web.form_fields import add_service_error
from crewlog.web.http import CrewRequest
from gear.fact_changes import pages
from gear.fact_changes.forms import AnswerForm, CheckForm, FactForm, TakeBackForm
from gear.fact_changes.rules import BY_SUBJECT
from gear.fact_changes.services import (
    SECOND_PEOPLE,
    answer_change,
    change_fact,
    check_asked,
    check_grounds,
    set_check,
    take_back,
    weigh,
)
from gear.fact_changes.words import facts_of
from gear.fitness.entries import must_be_in_service
from gear.models import ChangeAnswer, FactChange, GearItem
from gear.register.pages import register_row
from gear.web.file_boxes import hold_files
from gear.web.view_parts import item_or_404, run_service


@require_http_methods(["GET", "POST"])
@role_required(*INSPECTORS)
def item_change(request: CrewRequest, tag: str) -> HttpResponse:
    """Which fact, then its form; it shows first what the change would do, and enters it when that was seen."""
    item = item_or_404(request, tag)
    company = request.member.company
    subject = BY_SUBJECT.get(request.GET.get("fact", ""))
    if subject is None:
        context = {"item": item, "facts": facts_of(item, company.unit_system)}
        return render(request, "gear/fact_choose.html", context, status=422 if request.method == "POST" else 200)
    form = FactForm(
        request.POST or None,
        request.FILES or None,
        company=company,
        item=item,
        subject=subject,
        member=request.member,
    )
    form.is_valid()  # reads the photograph, before the transaction begins
    return changed(request, item, form)


@once
def changed(request: CrewRequest, item: GearItem, form: FactForm) -> HttpResponse:
    """Show what a form that was read would do, or enter it."""
    preview = preview_for(form, item)
    if preview is not None and request.POST.get("seen") == preview.token:
        made = run_service(form, lambda: enter(request, item, form))
        if made is not None:
            messages.success(request, entered_words(item, made))
            return redirect(item)
    hold_files(form, request.member, shown_again=preview is not None)
    context = change_context(request, item, form, preview)
    return render(request, "gear/fact_change.html", context, status=422 if form.errors else 200)


def preview_for(form: FactForm, item: GearItem) -> pages.Preview | None:
    """What the change would do; None where the form or the rules refuse it, said on the form."""
    if not form.is_valid():
        return None
    try:
        must_be_in_service(item)
        weighed = weigh(item, form.subject.code, form.values())
        check_grounds(weighed, form.grounds())
        return pages.preview_of(item, weighed)
    except (RuleBroken, ValidationError) as fault:
        add_service_error(form, fault)
        return None


def enter(request: CrewRequest, item: GearItem, form: FactForm) -> list[FactChange]:
    return change_fact(
        actor=request.member, item=item, subject=form.subject.code, values=form.values(), grounds=form.grounds()
    )


def entered_words(item: GearItem, made: list[FactChange]) -> str:
    if any(change.waits for change in made):
        return f"The change of {item.tag} is entered. A more favourable value waits for confirmation."
    return f"The change of {item.tag} applies from now on; the old value stays on record."


def change_context(
    request: CrewRequest, item: GearItem, form: FactForm, preview: pages.Preview | None
) -> dict[str, Any]:
    units = request.member.company.unit_system
    on_record = next((fact for fact in facts_of(item, units) if fact.code == form.subject.code), None)
    return {
        "item": item,
        "form": form,
        "subject": form.subject,
        "preview": None if form.errors else preview,
        "on_record": on_record,
        "row": register_row(item, request.member.company.today()),
        "asks": check_asked(request.member.company).label.lower(),
        "may_manage": request.member.role == Role.OWNER,
    }


@require_http_methods(["GET", "POST"])
@role_required(*EVERYONE)
@once
def fact_change(request: CrewRequest, tag: str, change_id: int) -> HttpResponse:
    """One change with its grounds; who may answer it does so here."""
    item = item_or_404(request, tag)
    rows = FactChange.objects.filter(item=item).select_related(
        "item__company", "record", "author__details", "shown_by__record", "answer__by__details", "answer__record"
    )
    change: FactChange = get_object_or_404(rows, pk=change_id)
    if request.method == "POST" and request.member.role not in SECOND_PEOPLE:
        raise PermissionDenied
    taking_back = request.POST.get("do") == "back"
    answer = AnswerForm(request.POST if request.method == "POST" and not taking_back else None)
    back = TakeBackForm(request.POST if taking_back else None)
    if run_service(answer, lambda: say(request, change, answer)) is not None:
        messages.success(request, f"Recorded on {item.tag}.")
        return redirect(item)
    if run_service(back, lambda: take_back(actor=request.member, change=change, **back.cleaned_data)) is not None:
        messages.success(request, f"The change of {item.tag} is withdrawn.")
        return redirect(item)
    context = answer_context(request, item, change) | {"form": answer, "back": back}
    return render(request, "gear/fact_answer.html", context, status=422 if answer.errors or back.errors else 200)


def say(request: CrewRequest, change: FactChange, form: AnswerForm) -> object:
    said = form.cleaned_data
    return answer_change(actor=request.member, change=change, agrees=said["answer"] == "agrees", words=said["words"])


def answer_context(request: CrewRequest, item: GearItem, change: FactChange) -> dict[str, Any]:
    member = request.member
    (row,) = pages.change_rows([change], member)
    answer = getattr(change, "answer", None)
    is_open = change.waits and answer is None and not item.is_retired
    return {
        "item": item,
        "change": change,
        "row": row,
        "file": pages.shown_file(change),
        "is_open": is_open,
        "agrees": answer is not None and answer.answer == ChangeAnswer.AGREES,
        "may_answer": is_open and row.may_answer,
        "may_take_back": is_open and (row.is_mine or member.role == Role.OWNER),
    }


@require_GET
@role_required(*EVERYONE)
def fact_changes(request: CrewRequest) -> HttpResponse:
    """Every change of the company that waits."""
    member = request.member
    page = Paginator(pages.waiting_changes(member.company), pages.PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": pages.change_rows(list(page.object_list), member),
        "asks": check_asked(member.company).label,
        "may_set": member.role == Role.OWNER,
    }
    return render(request, "gear/fact_changes.html", context)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def fact_check(request: CrewRequest) -> HttpResponse:
    """Who answers a change to the favourable side."""
    form = CheckForm(request.POST or None, initial={"check_by": check_asked(request.member.company)})
    if run_service(form, lambda: set_check(actor=request.member, **form.cleaned_data)) is not None:
        messages.success(request, "Saved. Changes already waiting keep the rule they were entered under.")
        return redirect("fact_changes")
    return render(request, "gear/fact_check.html", {"form": form}, status=422 if form.errors else 200)
