"""Which sheets a change of schemes or limits would withdraw, worked out before it is saved."""

from dataclasses import asdict, dataclass

from django.db.models import Q

from crewlog.models import Company
from gear.fitness.changes import Loss, Watch
from gear.fitness.dependents import DependentSheet, dependents_of
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.refresh import load_evidence, state_for
from gear.fitness.use_limits import UseLimits
from gear.models import GearItem


@dataclass(frozen=True, slots=True)
class AffectedSheet:
    """A sheet in force, and the first item that would take it out of force."""

    sheet: DependentSheet
    loss: Loss


def affected_sheets(
    company: Company, *, book: InspectionRules | None = None, limits: UseLimits | None = None
) -> list[AffectedSheet]:
    """Sheets withdrawn under other rules (None: those in force), by their day. A fixed number of queries."""
    sheets = dependents_of(company)
    rows = GearItem.objects.for_company(company).in_service().filter(Q(pk__in=sheets) | Q(assembly__in=sheets))
    items = list(rows.select_related("company", "assembly").prefetch_related("parts"))
    watched = Watch.over(company, items, sheets)
    evidence = load_evidence(items)
    book, limits = book or InspectionRules.of(company), limits or UseLimits.of(company)
    for item in items:  # as they would be; never saved
        for name, value in asdict(state_for(item, evidence[item.pk], book, limits)).items():
            setattr(item, name, value)
    found: dict[str, AffectedSheet] = {}
    for loss in watched.losses():
        for sheet in sheets.get(loss.item.pk, ()):
            if sheet.day >= loss.since:
                found.setdefault(sheet.url, AffectedSheet(sheet, loss))
    return sorted(found.values(), key=lambda each: (each.sheet.day, each.sheet.title))
