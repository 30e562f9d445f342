"""Hanging gear and naming people on a draft sheet."""

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.once import once
from crewlog.stale import Opened, StaleEdit
from crewlog.stale.forms import Comparison, title_of
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import PLANNERS, get_for_company_or_404, role_required
from crewlog.web.form_fields import add_service_error
from crewlog.web.http import CrewRequest, render_page_or_part
from gear.models import GearItem
from jobs.models import Assignment, Duty, Sheet
from jobs.models.sheet import HANGS_AS
from jobs.models.shown_values import assignments_as_values, row_values
from jobs.sheets.assign import (
    assign_anchor,
    assign_duty,
    assign_item,
    clear_position,
    mark_not_used,
    open_draft,
    remove_duty,
)
from jobs.sheets.check import PositionRow, SheetCheck, check_sheet
from jobs.sheets.duties import sheet_duties
from jobs.sheets.forms import AnchorChoiceForm, DutyForm, HangForm
from jobs.sheets.page_assign import assign_page, reasons_allowed, split_choices
from jobs.sheets.page_path import path_line
from jobs.sheets.path_rows import path_row
from jobs.sheets.services import fill_from_store
from jobs.sites.pages import AnchorLine, anchor_line
from jobs.web.view_parts import draft_of, draft_or_404, status_of, stem_or_404
from jobs.wording.unit_formatter import UnitFormatter


@require_GET
@role_required(*PLANNERS)
def assign(request: CrewRequest, stem_id: int) -> HttpResponse:
    stem = stem_or_404(request, stem_id)
    draft = draft_of(stem)
    if draft is None:
        latest = stem.sheets.order_by("-revision").first()
        return render(request, "jobs/assign_open.html", {"stem": stem, "job": stem.job, "latest": latest})
    return assign_with(request, draft, DutyForm(company=stem.job.company))


def assign_with(request: CrewRequest, draft: Sheet, duty_form: DutyForm) -> HttpResponse:
    context = {
        "stem": draft.stem,
        "job": draft.stem.job,
        "sheet": draft,
        "page": assign_page(check_sheet(draft), sheet_duties(draft)),
        "duty_form": duty_form,
    }
    return render(request, "jobs/assign.html", context, status=status_of(duty_form))


@posts_only("assign", does="Open a sheet")
@role_required(*PLANNERS)
@once
def sheet_open(request: CrewRequest, stem_id: int) -> HttpResponse:
    stem = stem_or_404(request, stem_id)
    open_draft(actor=request.member, stem=stem)
    return redirect("assign", stem.pk)


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
def position(request: CrewRequest, stem_id: int, role: str) -> HttpResponse:
    draft = draft_or_404(request, stem_id)
    check = check_sheet(draft)
    row = check.by_role.get(role)
    if row is None:
        raise Http404("There is no such position on this load path.")
    if request.method == "GET":
        return position_page(request, check, row, hang_form(request.GET, row, draft))
    form = hang_form(request.POST, row, draft)
    try:
        done = fill_position(request, draft, row, form)
    except StaleEdit as error:
        return position_moved_on(request, draft, role, error)
    except (RuleBroken, ValidationError) as error:
        add_service_error(form, error)
        done = False
    if not done:
        return position_page(request, check, row, form, status=422)
    return redirect(f"{reverse('assign', args=[draft.stem_id])}#{role}")


def hang_form(data: QueryDict, row: PositionRow, draft: Sheet) -> HangForm:
    """How an item is used: what was asked for, else as gear now."""
    asked = any(name in data for name in ("configuration", "loaded", "rank", "item", "anchor", "reason"))
    held = row.assignment
    hangs = row_values(held, HANGS_AS) if held is not None and held.item_id is not None else {}
    return HangForm(
        data if asked else None,
        kinds=row.kinds,
        unit_system=draft.stem.job.company.unit_system,
        initial={"rank": 0, **hangs},
    )


def fill_position(request: CrewRequest, draft: Sheet, row: PositionRow, form: HangForm) -> bool:
    """Mark the position not used, put an anchor in it, or assign an item, as the POST says.

    False where the form now says what is missing. Raises StaleEdit, RuleBroken, ValidationError.
    """
    actor, opened = request.member, Opened.sent(position_key(draft, row.role), request.POST)
    if "reason" in request.POST:
        mark_not_used(actor=actor, sheet=draft, role=row.role, reason=request.POST["reason"], opened=opened)
        return True
    if row.is_anchor:
        anchors = AnchorChoiceForm(request.POST, sheet=draft)
        if not anchors.is_valid():
            form.add_error(None, "Choose an anchor of this job.")
            return False
        anchor = anchors.cleaned_data["anchor"]
        assign_anchor(actor=actor, sheet=draft, role=row.role, anchor=anchor, opened=opened)
        return True
    if not form.is_valid():
        return False
    item = item_of(request)
    if item is None:
        form.add_error(None, "Choose an item of the store.")
        return False
    how = form.hanging()
    assign_item(
        actor=actor,
        sheet=draft,
        role=row.role,
        item=item,
        rank=how.rank,
        configuration=how.configuration,
        basket_half_angle_deg=how.basket_half_angle_deg,
        choke_angle_deg=how.choke_angle_deg,
        loaded=how.loaded or Assignment.Loaded.MAJOR,
        opened=opened,
    )
    return True


def position_key(draft: Sheet, role: str) -> str:
    return f"position:{draft.pk}:{role}"


def position_moved_on(request: CrewRequest, draft: Sheet, role: str, error: StaleEdit) -> HttpResponse:
    """The position as it is held now: leaving it takes theirs, choosing again puts one's own there."""
    check = check_sheet(draft_or_404(request, draft.stem_id))
    row = check.by_role.get(role)
    if row is None:
        raise Http404("There is no such position on this load path.")
    form = hang_form(request.POST, row, check.sheet)
    stale = position_comparison(row, error, UnitFormatter(draft.stem.job.company.unit_system))
    return position_page(request, check, row, form, status=409, stale=stale)


def position_comparison(row: PositionRow, error: StaleEdit, write: UnitFormatter) -> Comparison:
    shown = path_line(path_row(row), write)
    now = (
        "Nothing is assigned here now."
        if shown.is_empty
        else f"Here now: {shown.tag or ''} {shown.what}.".replace("  ", " ")
    )
    then = "Nothing of yours was changed. Leave it, or choose again below to put yours in its place."
    title = title_of(error.changes, "this position")
    return Comparison(title=title, rows=(), kept=(), beside=(now, then), missing=0)


def item_of(request: CrewRequest) -> GearItem | None:
    field = forms.IntegerField(min_value=1, max_value=2**62)
    try:
        pk = field.clean(request.POST.get("item", ""))
    except ValidationError:
        return None
    item: GearItem = get_for_company_or_404(GearItem.objects, request, pk=pk)
    return item


def position_page(
    request: CrewRequest,
    check: SheetCheck,
    row: PositionRow,
    form: HangForm,
    *,
    status: int = 200,
    stale: Comparison | None = None,
) -> HttpResponse:
    draft, stem = check.sheet, check.plan_data.stem
    write = UnitFormatter(check.plan_data.job.company.unit_system)
    template = template_of(draft, row, form)
    must_say = "configuration" in form.fields or "loaded" in form.fields
    fits, refused = ([], []) if row.is_anchor else split_choices(check, row.role, template)
    held = [a for a in check.plan_data.assignments if a.role == row.role]
    context = {
        "stem": stem,
        "job": check.plan_data.job,
        "sheet": draft,
        "shown": {"opened": Opened.now(position_key(draft, row.role), assignments_as_values(held)), "stale": stale},
        "line": path_line(path_row(row), write),
        "form": form,
        "has_uses": must_say,
        "is_said": not must_say or template is not None,
        "fits": fits,
        "refused": refused,
        "anchors": anchors_of(check, write) if row.is_anchor else [],
        "is_anchor": row.is_anchor,
        "reasons": reasons_allowed(row.reasons),
        "used": form.cleaned_data if form.is_bound and form.is_valid() else form.initial,
    }
    return render_page_or_part(request, "jobs/position.html", "jobs/_position_choices.html", context, status=status)


def anchors_of(check: SheetCheck, write: UnitFormatter) -> list[AnchorLine]:
    return [anchor_line(each, write) for each in check.plan_data.job.anchors.select_related("estimated_by__details")]


def template_of(draft: Sheet, row: PositionRow, form: HangForm) -> Assignment | None:
    """How the candidates would be used: as asked for, or as gear now."""
    if form.is_bound:
        if not form.is_valid():
            return None
        how = form.hanging()
        return how.template(draft, row.role) if how.is_said else None
    return row.assignment if row.assignment is not None and row.assignment.item_id is not None else None


@posts_only("position", does="Remove what is assigned here")
@role_required(*PLANNERS)
def position_clear(request: CrewRequest, stem_id: int, role: str) -> HttpResponse:
    draft = draft_or_404(request, stem_id)
    opened = Opened.sent(position_key(draft, role), request.POST)
    try:
        clear_position(actor=request.member, sheet=draft, role=role, opened=opened)
    except StaleEdit as error:
        return position_moved_on(request, draft, role, error)
    return redirect(f"{reverse('assign', args=[stem_id])}#{role}")


@posts_only("assign", does="Fill from the store")
@role_required(*PLANNERS)
def fill(request: CrewRequest, stem_id: int) -> HttpResponse:
    draft = draft_or_404(request, stem_id)
    filled = fill_from_store(actor=request.member, sheet=draft)
    if filled:
        messages.success(request, f"{len(filled)} positions filled from the store.")
    else:
        messages.warning(request, "Nothing in the store cures what is open. Say how the slings are used first.")
    return redirect("assign", stem_id)


@posts_only("assign", does="Give the duty")
@role_required(*PLANNERS)
@once
def duty_add(request: CrewRequest, stem_id: int) -> HttpResponse:
    draft = draft_or_404(request, stem_id)
    form = DutyForm(request.POST, company=draft.stem.job.company)
    if form.is_valid():
        try:
            assign_duty(actor=request.member, sheet=draft, **form.cleaned_data)
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            return redirect(f"{reverse('assign', args=[stem_id])}#duties")
    return assign_with(request, draft, form)


def page_of_duty(request: CrewRequest, duty_id: int) -> str:
    """The page a duty's button stands on; once it is removed, or of another company, the list of jobs."""
    company = request.member.company if request.member else None
    rows = Duty.objects.filter(sheet__stem__job__company=company)
    duty = rows.select_related("sheet").filter(pk=duty_id).first()
    return reverse("jobs") if duty is None else f"{reverse('assign', args=[duty.sheet.stem_id])}#duties"


@posts_only(page_of_duty, does="Remove")
@role_required(*PLANNERS)
@once
def duty_remove(request: CrewRequest, duty_id: int) -> HttpResponse:
    rows = Duty.objects.select_related("sheet__issue")
    duty = get_object_or_404(rows, pk=duty_id, sheet__stem__job__company=request.member.company)
    try:
        remove_duty(actor=request.member, duty=duty)
    except RuleBroken as error:
        messages.error(request, error.message)
    return redirect(f"{reverse('assign', args=[duty.sheet.stem_id])}#duties")
