"""The inspection schemes a company keeps; what a change would move is shown before it is saved."""

from collections.abc import Callable
from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.models import Role
from crewlog.once import once
from crewlog.web.access import EVERYONE, role_required
from crewlog.web.form_boxes import choices_of
from crewlog.web.http import CrewRequest, whole_id
from gear.fitness.affected_sheets import affected_sheets
from gear.fitness.inspection_rules import InspectionRules, with_months
from gear.models import InspectionScheme, SchemeRule
from gear.schemes.forms import IntervalForm, OwnRuleForm
from gear.schemes.moves import moves_under
from gear.schemes.services import add_own_rule, change_interval, ensure_default_schemes, switch_scheme
from gear.web.form_fields import add_service_error

MOVES_PER_PAGE = 50


@dataclass(frozen=True, slots=True)
class Change:
    """One change of schemes as asked for: in words, the rules after it, and how it is saved."""

    words: str
    book: InspectionRules
    save: Callable[[], object]


@require_GET
@role_required(*EVERYONE)
def schemes(request: CrewRequest) -> HttpResponse:
    """The intervals in force with their basis; the owner's buttons lead to what a change would move."""
    ensure_default_schemes(request.member.company)
    return schemes_page(request, IntervalForm(), OwnRuleForm())


def schemes_page(request: CrewRequest, interval: IntervalForm, own: OwnRuleForm) -> HttpResponse:
    rows = InspectionScheme.objects.for_company(request.member.company).prefetch_related("rules")
    status = 422 if interval.errors or own.errors else 200
    context = {"schemes": rows, "form": interval, "own": own, "may_set": request.member.role == Role.OWNER}
    return render(request, "gear/schemes.html", context, status=status)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def scheme_change(request: CrewRequest) -> HttpResponse:
    """Which due dates a change would move; posted, the change is saved."""
    said = request.POST if request.method == "POST" else request.GET
    interval, own = IntervalForm(said if "rule" in said else None), OwnRuleForm(said if "name" in said else None)
    change = change_asked(request, said, interval, own)
    if change is None:
        return schemes_page(request, interval, own)
    if request.method == "POST":
        change.save()
        messages.success(request, f"{change.words} Every due date follows.")
        return redirect("schemes")
    moves = moves_under(request.member.company, change.book)
    context = {
        "words": change.words,
        "moves": moves,
        "affected": affected_sheets(request.member.company, book=change.book),
        "page": Paginator(moves.rows, MOVES_PER_PAGE).get_page(request.GET.get("page")),
        "said": [(name, value) for name, values in said.lists() for value in values if name != "page"],
    }
    return render(request, "gear/scheme_change.html", context)


def change_asked(request: CrewRequest, said: QueryDict, interval: IntervalForm, own: OwnRuleForm) -> Change | None:
    """The change an address or a form asks for; None when it is refused, with the reason in its form."""
    if own.is_bound:
        return own_rule_asked(request, own)
    if interval.is_bound:
        return interval_asked(request, said, interval)
    actor, company = request.member, request.member.company
    scheme = get_object_or_404(InspectionScheme, company=company, pk=whole_id(said.get("switch", "")))
    now = not scheme.is_active
    return Change(
        f"{scheme.name} is {'on' if now else 'off'}.",
        InspectionRules.of(company).switched(scheme, is_active=now),
        lambda: switch_scheme(actor=actor, scheme=scheme, is_active=now),
    )


def interval_asked(request: CrewRequest, said: QueryDict, form: IntervalForm) -> Change | None:
    actor, company = request.member, request.member.company
    rows = SchemeRule.objects.select_related("scheme__company")
    rule = get_object_or_404(rows, scheme__company=company, pk=whole_id(said.get("rule", "")))
    if not form.is_valid():
        return None
    months = form.cleaned_data["months"]
    try:
        with_months(rule, months).full_clean()
    except ValidationError as fault:
        add_service_error(form, fault)
        return None
    return Change(
        f"{rule.get_use_display()}: every {months} months instead of {rule.months} ({rule.basis}).",
        InspectionRules.of(company).with_months(rule, months),
        lambda: change_interval(actor=actor, rule=rule, months=months),
    )


def own_rule_asked(request: CrewRequest, form: OwnRuleForm) -> Change | None:
    actor, company = request.member, request.member.company
    if not form.is_valid():
        return None
    rule = form.rule()
    try:
        rule.check(company)
    except RuleBroken as fault:
        add_service_error(form, fault)
        return None
    use = choices_of(form, "use")[rule.use]
    return Change(
        f"{rule.name}, {use}: every {rule.months} months ({rule.basis}).",
        InspectionRules.of(company).with_rule(rule.row()),
        lambda: add_own_rule(actor=actor, rule=rule),
    )
