"""Inspection intervals, limits and the check of changes held against what the records say of them."""

from collections.abc import Iterator
from typing import Any

from crewlog.models import Company
from gear.models import ClassLimit, FactCheck, FactSetting, InspectionScheme, SchemeRule
from gear.schemes.services import DEFAULT_SCHEMES, DefaultRule
from gear.state_check.replay import ReplayedFacts

Key = tuple[str, str, str, str, tuple[str, ...]]


def check_settings(company: Company, told: ReplayedFacts) -> Iterator[str]:
    """One sentence for each setting that is not as it was recorded. Four queries."""
    rules = list(SchemeRule.objects.filter(scheme__company=company).select_related("scheme").order_by("pk"))
    schemes = list(InspectionScheme.objects.for_company(company))
    if schemes:
        yield from check_schemes(schemes, told)
        yield from check_rules(rules, told)
    yield from check_limits(company, told)
    row = FactSetting.objects.for_company(company).first()
    stands = row.check_by if row is not None else FactCheck.EXAMINATION.value
    said = told.check_by.value if told.check_by is not None else FactCheck.EXAMINATION.value
    if stands != said:
        yield f"what is asked for before a changed fact counts: by the records {said}, the store says {stands}"


def check_schemes(schemes: list[InspectionScheme], told: ReplayedFacts) -> Iterator[str]:
    defaults = {default.name: default.is_active for default in DEFAULT_SCHEMES}
    for name in defaults.keys() - {scheme.name for scheme in schemes}:
        yield f"{name}: gone from the store"
    for scheme in schemes:
        said = told.active.get(scheme.name)
        on = said.value if said is not None else defaults.get(scheme.name, True)
        if scheme.is_active != on:
            by = f"record {said.sequence}" if said is not None else "the defaults"
            yield f"{scheme.name}: {'on' if on else 'off'} by {by}, the store says {'on' if not on else 'off'}"


def key_of_default(name: str, rule: DefaultRule) -> Key:
    return (name, rule.use, rule.inspection_kind, rule.basis, tuple(rule.gear_classes))


def key_of_added(body: dict[str, Any]) -> Key:
    return (body["scheme"], body["use"], body["kind"], body["basis"], tuple(body["gear_classes"]))


def key_of(rule: SchemeRule) -> Key:
    return (rule.scheme.name, rule.use, rule.inspection_kind, rule.basis, tuple(rule.gear_classes))


def check_rules(rules: list[SchemeRule], told: ReplayedFacts) -> Iterator[str]:
    """Every rule that was a default or was added is there with its interval, and no other."""
    names = {rule.scheme.name for rule in rules}
    first: dict[Key, list[int]] = {}
    for default in DEFAULT_SCHEMES:
        for each in default.rules if default.name in names else ():
            first.setdefault(key_of_default(default.name, each), []).append(each.months)
    for body, _ in told.added:
        first.setdefault(key_of_added(body), []).append(body["months"])
    for rule in rules:
        key = key_of(rule)
        begun = first[key].pop(0) if first.get(key) else None
        if begun is None:
            yield f"{rule.scheme.name}: {rule}: no record added this rule"
            continue
        allowed, by = months_allowed(rule, begun, told)
        if rule.months not in allowed:
            words = " or ".join(str(months) for months in sorted(allowed))
            yield f"{rule.scheme.name}, {rule.basis}: {words} months by {by}, the store says {rule.months}"
        if rule.default_months != begun:
            kept = rule.default_months
            yield f"{rule.scheme.name}, {rule.basis}: {begun} months at the most, the store says {kept}"
    for key, left in first.items():
        for months in left:
            yield f"{key[0]}, {key[3]}: the rule of {months} months is gone from the store"


def months_allowed(rule: SchemeRule, begun: int, told: ReplayedFacts) -> tuple[set[int], str]:
    """What the interval may be: the last recorded; records of before may be of another rule on the same basis."""
    own = told.months.get((rule.scheme.name, rule.pk), [])
    if own:
        return {own[-1].value}, f"record {own[-1].sequence}"
    shared = told.months.get((rule.scheme.name, rule.basis), [])
    if shared:
        return {begun, *(said.value for said in shared)}, f"record {shared[-1].sequence} and before"
    return {begun}, "its first entry"


def check_limits(company: Company, told: ReplayedFacts) -> Iterator[str]:
    stands = {row.gear_class: (row.most_uses, row.peak_share_ratio) for row in ClassLimit.objects.for_company(company)}
    for code in sorted({*stands, *told.limits}):
        said = told.limits.get(code)
        expected = said.value if said is not None else (None, None)
        if stands.get(code, (None, None)) != expected:
            by = f"record {said.sequence}" if said is not None else "no record"
            yield f"limits of {code}: {limit_words(expected)} by {by}, the store says {limit_words(stands.get(code))}"


def limit_words(limits: tuple[int | None, float | None] | None) -> str:
    uses, share = limits or (None, None)
    return f"{'any number of' if uses is None else uses} uses, {'default' if share is None else f'{share:g}'} share"
