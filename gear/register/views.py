"""The store: its register, what falls due, and finding a tag."""

from typing import Any, cast

from django.core.paginator import Page, Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from crewlog.models import Role
from crewlog.web.access import EVERYONE, role_required
from crewlog.web.http import CrewRequest, render_page_or_part, whole_id
from gear.fact_changes.pages import waiting_changes
from gear.failures.pages import untold_part
from gear.fitness.dates import DUE_SOON_DAYS, DUE_WINDOWS
from gear.fitness.statuses import status_of_mark
from gear.models import GearItem
from gear.register.address import item_by_tag
from gear.register.find_forms import FinderForm, FindTagForm
from gear.register.pages import due_by, due_row, places_of, register_rows
from gear.register.store_list import StoreFilter, StoreList
from gear.web.view_parts import EXAMINERS, LIST_TAKERS, OUT_TAKERS

ROWS_PER_PAGE = 50
HELD_SHOWN = 5


def store_filter(request: CrewRequest) -> tuple[FinderForm, StoreFilter]:
    """What the address narrows the register to; nonsense narrows nothing."""
    finder = FinderForm(request.GET, places=places_of(request.member.company))
    finder.is_valid()
    said = finder.cleaned_data
    due = said.get("due", "")
    narrow = StoreFilter(
        text=said.get("q", ""),
        gear_class=said.get("c", ""),
        place=said.get("p", ""),
        status=status_of_mark(request.GET.get("s", "")),
        due_within_days=int(due) if due else None,
    )
    return finder, narrow


@require_GET
@role_required(*EVERYONE)
def store(request: CrewRequest) -> HttpResponse:
    company = request.member.company
    today = company.today()
    finder, narrow = store_filter(request)
    found = StoreList(company, today, narrow)
    role = request.member.role
    page: Page[GearItem] = Paginator(cast("Any", found), ROWS_PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "finder": finder,
        "narrow": narrow,
        "page": page,
        "rows": register_rows(page.object_list, on=today),
        "counts": None if found.is_broad else found.counts,
        "waiting": waiting_changes(company).count(),
        "may_add": role == Role.OWNER,
        "may_take_out": role in OUT_TAKERS,
        "may_take_list": role in LIST_TAKERS,
        **untold_part(request.member, limit=HELD_SHOWN),
    }
    return render_page_or_part(request, "gear/store.html", "gear/_register_part.html", context)


@require_GET
@role_required(*EVERYONE)
def store_due(request: CrewRequest) -> HttpResponse:
    company = request.member.company
    asked = whole_id(request.GET.get("days", ""))
    days = asked if asked in DUE_WINDOWS else DUE_SOON_DAYS
    today = company.today()
    page = Paginator(due_by(company=company, on=today, within_days=days), ROWS_PER_PAGE).get_page(
        request.GET.get("page")
    )
    rows = [due_row(item, today) for item in page.object_list]
    may_examine = request.member.role in EXAMINERS
    context = {"rows": rows, "page": page, "days": days, "windows": DUE_WINDOWS, "may_examine": may_examine}
    return render(request, "gear/due.html", context)


@require_GET
@role_required(*EVERYONE)
def find_tag(request: CrewRequest) -> HttpResponse:
    form = FindTagForm(request.GET or None)
    if form.is_bound and form.is_valid():
        item = item_by_tag(request.member.company, form.cleaned_data["tag"])
        if item is not None:
            return redirect(item)
        form.add_error("tag", "No item here has this tag. Check the tag, or look through the store.")
    return render(request, "gear/find_tag.html", {"form": form}, status=422 if form.errors else 200)
