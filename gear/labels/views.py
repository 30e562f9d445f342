"""Labels and tracer bands as a PDF, for items chosen in the store."""

from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from crewlog.models import Company
from crewlog.web.access import role_required
from crewlog.web.http import CrewRequest
from gear.catalogue.classes import TACKLE_SET
from gear.fitness.statuses import status_of_mark
from gear.labels.forms import LabelForm
from gear.labels.pdf import Label, bands_pdf, labels_pdf
from gear.models import GearItem
from gear.models.querysets import GearItemQuerySet
from gear.register.address import item_address
from gear.register.find_forms import FinderForm
from gear.register.pages import places_of, register_items
from gear.register.store_list import StoreFilter
from gear.web.view_parts import OUT_TAKERS, run_service

MOST_ITEMS = 300


@require_http_methods(["GET", "POST"])
@role_required(*OUT_TAKERS)
def labels(request: CrewRequest) -> HttpResponse:
    """Tick items out of a search, a place, a class or a set; choose the size; get the PDF."""
    company = request.member.company
    finder = FinderForm(request.GET, places=places_of(company))
    finder.is_valid()
    offered = wanted(request, finder)
    shown = offered[:MOST_ITEMS]
    initial = {"kind": "label", "size": "a4-38×21mm", "start": 1, "items": [item.pk for item in shown]}
    mine = GearItem.objects.for_company(company).in_service().order_by("tag")
    form = LabelForm(request.POST or None, initial=initial, choices=mine, offered=shown)
    paper = run_service(form, lambda: make_pdf(company, form))
    if paper is not None:
        response = HttpResponse(paper, content_type="application/pdf")
        response["Content-Disposition"] = 'inline; filename="labels.pdf"'
        response["Cache-Control"] = "private, no-store"
        return response
    sets = mine.of_class(TACKLE_SET)
    context = {"form": form, "finder": finder, "sets": sets, "found": offered.count(), "most": MOST_ITEMS}
    return render(request, "gear/labels.html", context, status=422 if form.errors else 200)


def wanted(request: CrewRequest, finder: FinderForm) -> GearItemQuerySet[GearItem]:
    """Items in service that the address asks for: by tag, by set with its parts, or as the store is narrowed."""
    company = request.member.company
    said = finder.cleaned_data
    narrow = StoreFilter(
        text=said.get("q", ""),
        gear_class=said.get("c", ""),
        place=said.get("p", ""),
        status=status_of_mark(request.GET.get("s", "")),
    )
    rows = register_items(company=company, on=company.today(), narrow=narrow)
    rows = rows.filter(retired_on__isnull=True)
    if request.GET.get("tag"):
        rows = rows.filter(tag__in=request.GET.getlist("tag"))
    if request.GET.get("set"):
        rows = rows.filter(Q(tag=request.GET["set"]) | Q(assembly__tag=request.GET["set"]))
    return rows.order_by("tag")


def make_pdf(company: Company, form: LabelForm) -> bytes:
    data = form.cleaned_data
    chosen = [label_of(item, company) for item in data["items"]]
    layout = form.layout()
    if layout is None:
        raise ValidationError("Choose a size.")
    if data["kind"] == "band":
        return bands_pdf(chosen, start=data["start"])
    return labels_pdf(chosen, layout, start=data["start"])


def label_of(item: GearItem, company: Company) -> Label:
    return Label(
        tag=item.tag,
        class_name=item.declared.name,
        company=company.name,
        tracer=item.colour_tracer,
        address=item_address(item),
    )
