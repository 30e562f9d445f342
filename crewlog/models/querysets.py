"""Query vocabulary shared by every company-owned table."""

from typing import TYPE_CHECKING, ClassVar, Protocol, Self, TypeVar, cast

from django.db import models

if TYPE_CHECKING:
    from crewlog.models import Company

Row = TypeVar("Row", bound=models.Model, covariant=True)


class OfAKind(Protocol):
    """What every table of evidence declares; a queryset cannot import the tables that are built on it."""

    record_kind: ClassVar[str]


class CompanyQuerySet(models.QuerySet[Row]):
    """Rows that belong to one company."""

    def for_company(self, company: "Company") -> Self:
        return self.filter(company=company)


class EvidenceQuerySet(models.QuerySet[Row]):
    """Rows of evidence; their company stands on their record."""

    def for_company(self, company: "Company") -> Self:
        """By kind too: found by the index of a company's records of one kind, never among all of them."""
        return self.filter(record__company=company, record__kind=cast(type[OfAKind], self.model).record_kind)

    def standing(self) -> Self:
        """Without those that a later record corrects."""
        return self.filter(record__corrections__isnull=True)
