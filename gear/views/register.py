"""The store: its register, what falls due, and finding a tag."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from crewlog.access import EVERYONE, role_required
from crewlog.http import CrewRequest, render_page_or_part
from gear.forms.small import FinderForm, FindTagForm
from gear.querysets import DUE_SOON_DAYS, STATUSES
from gear.selectors import (
    StoreFilter,
    due_list,
    item_by_tag,
    places_of,
    register_items,
    register_rows,
    store_counts,
)

ROWS_PER_PAGE = 50
DUE_WINDOWS = (7, DUE_SOON_DAYS, 90)


@require_GET
@role_required(*EVERYONE)
def store(request: CrewRequest) -> HttpResponse:
    company = request.member.company
    today = company.today()
    finder = FinderForm(request.GET, places=places_of(company))
    finder.is_valid()
    said = finder.cleaned_data
    due = request.GET.get("due", "")
    status = request.GET.get("s", "")
    narrow = StoreFilter(
        text=said.get("q", ""),
        gear_class=said.get("c", ""),
        place=said.get("p", ""),
        status=status if status in STATUSES else "",
        due_within_days=int(due) if due.isdigit() and int(due) in DUE_WINDOWS else None,
    )
    page = Paginator(register_items(company=company, on=today, narrow=narrow), ROWS_PER_PAGE).get_page(
        request.GET.get("page")
    )
    context = {
        "finder": finder,
        "narrow": narrow,
        "page": page,
        "rows": register_rows(page.object_list, on=today),
        "counts": store_counts(company, today, narrow),
        "windows": DUE_WINDOWS,
    }
    return render_page_or_part(request, "gear/store.html", "gear/_register_part.html", context)


@require_GET
@role_required(*EVERYONE)
def store_due(request: CrewRequest) -> HttpResponse:
    company = request.member.company
    asked = request.GET.get("days", "")
    days = int(asked) if asked.isdigit() and int(asked) in DUE_WINDOWS else DUE_SOON_DAYS
    rows = due_list(company=company, on=company.today(), within_days=days)
    return render(request, "gear/due.html", {"rows": rows, "days": days, "windows": DUE_WINDOWS})


@require_GET
@role_required(*EVERYONE)
def find_tag(request: CrewRequest) -> HttpResponse:
    form = FindTagForm(request.GET or None)
    if form.is_bound and form.is_valid():
        item = item_by_tag(request.member.company, form.cleaned_data["tag"])
        if item is not None:
            return redirect(item)
        form.add_error("tag", "No item here has this tag. Read it again, or look through the store.")
    return render(request, "gear/find_tag.html", {"form": form}, status=422 if form.errors else 200)
