"""Which papers a change of schemes or limits would withdraw, worked out before it is saved."""

from dataclasses import asdict, dataclass

from django.db.models import Q

from crewlog.models import Company
from gear.class_limits import LimitBook
from gear.losses import Loss, Watch
from gear.models import GearItem
from gear.reliance import Paper, papers_of
from gear.scheme_book import SchemeBook
from gear.services.state import load_evidence, state_for


@dataclass(frozen=True, slots=True)
class LostPaper:
    """A paper in force, and the first item that would take it out of force."""

    paper: Paper
    loss: Loss


def papers_lost(
    company: Company, *, book: SchemeBook | None = None, limits: LimitBook | None = None
) -> list[LostPaper]:
    """Papers withdrawn under other rules (None: those in force), by their day. A fixed number of queries."""
    papers = papers_of(company)
    rows = GearItem.objects.for_company(company).in_service().filter(Q(pk__in=papers) | Q(assembly__in=papers))
    items = list(rows.select_related("company", "assembly").prefetch_related("parts"))
    watched = Watch.over(company, items, papers)
    evidence = load_evidence(items)
    book, limits = book or SchemeBook.of(company), limits or LimitBook.of(company)
    for item in items:  # as they would be; never saved
        for name, value in asdict(state_for(item, evidence[item.pk], book, limits)).items():
            setattr(item, name, value)
    found: dict[str, LostPaper] = {}
    for loss in watched.losses():
        for paper in papers.get(loss.item.pk, ()):
            if paper.day >= loss.since:
                found.setdefault(paper.url, LostPaper(paper, loss))
    return sorted(found.values(), key=lambda each: (each.paper.day, each.paper.title))
