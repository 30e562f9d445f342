"""Sheets in force, for whoever changes the gear they list."""

from django.db.models import QuerySet
from django.urls import reverse

from crewlog.models import Company
from gear.fitness.dependents import DependentSheet
from jobs.models import Assignment, Sheet


def assignments_in_force(company: Company) -> QuerySet[Assignment]:
    """What hangs on a company's standing sheets of today and later; alternates do not count."""
    standing = Sheet.objects.for_company(company).standing().filter(day__gte=company.today())
    return Assignment.objects.filter(sheet__in=standing, rank=0, item__isnull=False)


def sheets_in_force(company: Company) -> list[DependentSheet]:
    """Every item a standing sheet of today or later lists. One query."""
    columns = ("item", "sheet", "sheet__day", "sheet__number", "sheet__revision", "sheet__stem__job__site_name")
    return [
        DependentSheet(item, day, f"Sheet {number}, revision {revision}, {site}", reverse("sheet", args=[sheet]))
        for item, sheet, day, number, revision, site in assignments_in_force(company).values_list(*columns)
    ]
