"""The limits of use that hold for each class of a company's gear, read once for many items."""

from dataclasses import dataclass, field, replace
from typing import Self

from crewlog.models import Company
from gear.catalogue.classes import BY_CODE
from gear.models import ClassLimit


@dataclass(frozen=True, slots=True)
class Limits:
    """What holds for one class: uses at the most, None where none are set, and the share a peak may reach."""

    most_uses: int | None
    peak_share_ratio: float

    def uses_end_at(self, permitted_uses: int | None) -> int | None:
        """The stricter of the class's uses and those an item is permitted; None where neither is set."""
        return min((uses for uses in (self.most_uses, permitted_uses) if uses is not None), default=None)


def strictest(gear_class: str, most_uses: int | None, peak_share_ratio: float | None) -> Limits:
    """A company's own figures beside the class's default."""
    default = BY_CODE[gear_class].overload.share_ratio
    return Limits(most_uses, default if peak_share_ratio is None else min(default, peak_share_ratio))


@dataclass(frozen=True, slots=True)
class UseLimits:
    """A company's own limits by class."""

    own: dict[str, Limits] = field(default_factory=dict)

    @classmethod
    def of(cls, company: Company) -> Self:
        """One query."""
        rows = ClassLimit.objects.for_company(company)
        return cls({row.gear_class: strictest(row.gear_class, row.most_uses, row.peak_share_ratio) for row in rows})

    def with_limits(self, gear_class: str, most_uses: int | None, peak_share_ratio: float | None) -> Self:
        """The limits as they would be with a company's other figures for one class."""
        return replace(self, own=self.own | {gear_class: strictest(gear_class, most_uses, peak_share_ratio)})

    def limits(self, gear_class: str) -> Limits:
        """What holds for a class."""
        return self.own.get(gear_class) or strictest(gear_class, None, None)
