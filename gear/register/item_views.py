"""One item: its page, and registering and changing it."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.models import Role
from crewlog.once import once
from crewlog.web.access import EVERYONE, RECORD_READERS, role_required
from crewlog.web.form_fields import refused_status
from crewlog.web.http import CrewRequest
from gear.fact_changes.pages import waiting_of
from gear.fact_changes.words import facts_of
from gear.failures.pages import standing_failures
from gear.fitness.entries import ALTERERS
from gear.fitness.facts import item_fitness
from gear.fitness.set_parts import part_rows
from gear.fitness.usage_since_pass import has_failed, usage_since_pass
from gear.loads.pages import CHART_POINTS, load_chart, load_rows, standing_loads
from gear.models import GearItem
from gear.recalls.services import open_recalls
from gear.register.address import OF, item_by_tag
from gear.register.forms import ItemForm
from gear.register.history_page import item_history
from gear.register.item_page import item_code, item_figures, on_record
from gear.register.pages import register_row
from gear.register.services import add_item, change_item
from gear.web.view_parts import EXAMINERS, OUT_TAKERS, REPORTERS, item_or_404, run_service

HISTORY_SHOWN = 12
FILES_SHOWN = 8
LOADS_SHOWN = 5
LOADS_PER_PAGE = 40


@require_GET
@role_required(*EVERYONE)
def item(request: CrewRequest, tag: str) -> HttpResponse:
    found = scanned_item(request, tag)
    if found is None:
        return render(request, "gear/no_such_item.html", status=404)
    company = request.member.company
    today = company.today()
    row = register_row(found, today)
    history = item_history(found)
    show_all = "all" in request.GET
    role = request.member.role
    live = not found.is_retired
    context = {
        "item": found,
        "row": row,
        "reasons": item_fitness(found, today),
        "failures": standing_failures(request.member, found.pk),
        "figures": item_figures(found, company.unit_system),
        "facts": on_record(found, company.unit_system),
        "history": history if show_all else history[:HISTORY_SHOWN],
        "history_count": len(history),
        "code": item_code(found),
        **load_context(found, company.unit_system),
        "usage_since_pass": usage_since_pass(found, until=today) if has_failed(found) else None,
        "is_back_late": live and found.is_back_late(today),
        "parts": part_rows(found, today) if found.is_assembly else (),
        "files": [file for entry in history for file in entry.files][:FILES_SHOWN],
        "may_add_files": role in REPORTERS,
        "may_examine": live and role in EXAMINERS,
        "may_report": live and role in REPORTERS,
        "may_take_out": live and role in OUT_TAKERS and found.quarantined_on is None,
        "may_change": live and role == Role.OWNER,
        "may_change_facts": live and role in EXAMINERS,
        "waiting": waiting_of(found, request.member) if live else (),
        "may_alter": role in ALTERERS,
        "may_read_reports": role in RECORD_READERS,
        "may_resolve": live and role in EXAMINERS and open_recalls(found).exists(),
    }
    return render(request, "gear/item.html", context)


def load_context(found: GearItem, units: str) -> dict[str, Any]:
    """The chart and the newest rows of an item's load history. Two queries."""
    rows = standing_loads(found)
    newest = list(rows[:CHART_POINTS])
    return {
        "load_chart": load_chart(newest, found.overload_share_ratio),
        "loads": load_rows(newest[:LOADS_SHOWN], units),
        "loads_count": rows.count() if len(newest) == CHART_POINTS else len(newest),
    }


@require_GET
@role_required(*EVERYONE)
def item_loads(request: CrewRequest, tag: str) -> HttpResponse:
    """Everything on record of what an item carried."""
    found = item_or_404(request, tag)
    units = request.member.company.unit_system
    rows = standing_loads(found)
    page = Paginator(rows, LOADS_PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "item": found,
        "page": page,
        "loads": load_rows(page.object_list, units),
        "load_chart": load_chart(list(rows[:CHART_POINTS]), found.overload_share_ratio),
        "overload": found.declared.overload,
    }
    return render(request, "gear/item_loads.html", context)


def scanned_item(request: CrewRequest, tag: str) -> GearItem | None:
    """The item an address or a code leads to; another company's code with an equal tag leads to none."""
    company = request.member.company
    is_ours = request.GET.get(OF, str(company.pk)) == str(company.pk)
    return item_by_tag(company, tag) if is_ours else None


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def item_new(request: CrewRequest) -> HttpResponse:
    form = ItemForm(request.POST or None, company=request.member.company, initial={"pulls_at_ground": True})
    made = run_service(form, lambda: add_item(actor=request.member, **form.facts()))
    if made is not None:
        messages.success(request, f"{made.tag} is registered. It needs an examination before its first use.")
        return redirect(made)
    return render(request, "gear/item_form.html", {"form": form}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
def item_edit(request: CrewRequest, tag: str) -> HttpResponse:
    found = item_or_404(request, tag)
    form = ItemForm(request.POST or None, company=request.member.company, item=found)
    changed = run_service(
        form, lambda: change_item(actor=request.member, item=found, opened=form.opened, **form.facts())
    )
    if changed is not None:
        messages.success(request, f"{found.tag} is changed; earlier values stay on record.")
        return redirect(found)
    context = {"form": form, "item": found, "facts": facts_of(found, request.member.company.unit_system)}
    return render(request, "gear/item_edit.html", context, status=refused_status(form))
