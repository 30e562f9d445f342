"""A company's inspection intervals, read once for many items."""

from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass, replace
from typing import Self

from crewlog.models import Company
from gear.fitness.rules import Interval
from gear.models import InspectionScheme, SchemeRule

AFTER_ALL = 2**62  # where a rule that is not saved yet stands among those of the same interval


@dataclass(frozen=True, slots=True)
class InspectionRules:
    """A company's active rules, read once."""

    rules: tuple[SchemeRule, ...]

    @classmethod
    def of(cls, company: Company) -> Self:
        """The rules in force for a company. One query."""
        rules = SchemeRule.objects.filter(scheme__company=company, scheme__is_active=True)
        return cls(tuple(rules.order_by("months", "id")))

    def switched(self, scheme: InspectionScheme, *, is_active: bool) -> Self:
        """The rules as they would be with a scheme on or off. One query."""
        others = [rule for rule in self.rules if rule.scheme_id != scheme.pk]
        return self._of_rules([*others, *scheme.rules.all()] if is_active else others)

    def with_months(self, changed: SchemeRule, months: int) -> Self:
        """The rules as they would be with another interval in one of them."""
        return self._of_rules([with_months(rule, months) if rule.pk == changed.pk else rule for rule in self.rules])

    def with_rule(self, added: SchemeRule) -> Self:
        """The rules as they would be with one more."""
        return self._of_rules([*self.rules, added])

    def _of_rules(self, rules: Iterable[SchemeRule]) -> Self:
        return replace(self, rules=tuple(sorted(rules, key=lambda rule: (rule.months, rule.pk or AFTER_ALL))))

    def intervals(self, *, gear_class: str, uses: tuple[str, ...]) -> tuple[Interval, ...]:
        """The intervals that apply: every rule for one of the uses and for this class. The strictest wins."""
        return tuple(
            Interval(rule.inspection_kind, rule.months, rule.basis)
            for rule in self.rules
            if rule.use in uses and rule.is_for(gear_class)
        )


def with_months(rule: SchemeRule, months: int) -> SchemeRule:
    """A copy of a rule with another interval, not saved."""
    changed = copy(rule)
    changed.months = months
    return changed
