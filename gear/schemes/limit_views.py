"""The limits of use a company sets for each class; what a change puts out of use is shown before it is saved."""

from dataclasses import dataclass

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.models import Role
from crewlog.once import once
from crewlog.web.access import EVERYONE, role_required
from crewlog.web.http import CrewRequest
from gear.catalogue.classes import BY_CODE, CLASSES
from gear.catalogue.gear_class import GearClass
from gear.fitness.affected_sheets import affected_sheets
from gear.fitness.use_limits import Limits, UseLimits
from gear.schemes.limit_forms import ClassLimitForm
from gear.schemes.limit_services import set_class_limit, used_up_by

ITEMS_PER_PAGE = 50


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One class as the page shows it; the form only where it was refused."""

    declared: GearClass
    limits: Limits
    form: ClassLimitForm | None = None

    @property
    def share_percent(self) -> int:
        return round(self.limits.peak_share_ratio * 100)


@require_GET
@role_required(*EVERYONE)
def class_limits(request: CrewRequest) -> HttpResponse:
    """Every class with what holds for it and where that comes from."""
    return limits_page(request)


def limits_page(request: CrewRequest, refused: str = "", form: ClassLimitForm | None = None) -> HttpResponse:
    book = UseLimits.of(request.member.company)
    rows = [
        LimitRow(declared, book.limits(declared.code), form if declared.code == refused else None)
        for declared in CLASSES
        if declared.carries_load
    ]
    sources = dict.fromkeys(row.declared.overload.source for row in rows)
    context = {"rows": rows, "defaults": list(sources), "form": form, "may_set": request.member.role == Role.OWNER}
    return render(request, "gear/class_limits.html", context, status=422 if form else 200)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def class_limit_change(request: CrewRequest) -> HttpResponse:
    """Which items a limit would put out of use; posted, it is saved."""
    said = request.POST if request.method == "POST" else request.GET
    declared = BY_CODE.get(said.get("class", ""))
    if declared is None or not declared.carries_load:
        raise Http404
    form = ClassLimitForm(said)
    if not form.is_valid():
        return limits_page(request, declared.code, form)
    uses, share = form.cleaned_data["uses"], form.peak_share_ratio
    words = f"{declared.name}: {words_of(uses, share)}"
    if request.method == "POST":
        set_class_limit(actor=request.member, gear_class=declared.code, most_uses=uses, peak_share_ratio=share)
        messages.success(request, words)
        return redirect("class_limits")
    company = request.member.company
    items = used_up_by(company=company, gear_class=declared.code, most_uses=uses)
    context = {
        "words": words,
        "uses": uses,
        "affected": affected_sheets(company, limits=UseLimits.of(company).with_limits(declared.code, uses, share)),
        "page": Paginator(items, ITEMS_PER_PAGE).get_page(request.GET.get("page")),
        "said": [("class", declared.code), ("uses", uses or ""), ("share", form.cleaned_data["share"] or "")],
    }
    return render(request, "gear/class_limit_change.html", context)


def words_of(uses: int | None, share: float | None) -> str:
    used = "no limit on uses" if uses is None else f"{uses} use{'' if uses == 1 else 's'} at most"
    return f"{used}, an overload above {round(100 * (share or 1.0))}\N{NO-BREAK SPACE}% of the limit."
