"""A company's inspection intervals, read once for many items."""

from dataclasses import dataclass
from typing import Self

from crewlog.models import Company
from gear.models import SchemeRule
from gear.rules import Interval


@dataclass(frozen=True, slots=True)
class SchemeBook:
    """A company's active rules, read once."""

    rules: tuple[SchemeRule, ...]

    @classmethod
    def of(cls, company: Company) -> Self:
        """The rules in force for a company. One query."""
        rules = SchemeRule.objects.filter(scheme__company=company, scheme__is_active=True)
        return cls(tuple(rules.order_by("months", "id")))

    def intervals(self, *, gear_class: str, uses: tuple[str, ...]) -> tuple[Interval, ...]:
        """The intervals that apply: every rule for one of the uses and for this class. The strictest wins."""
        return tuple(
            Interval(rule.inspection_kind, rule.months, rule.basis)
            for rule in self.rules
            if rule.use in uses and (not rule.gear_classes or gear_class in rule.gear_classes)
        )
