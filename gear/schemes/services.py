"""Inspection schemes: the defaults, and which intervals an item keeps."""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import prefetch_related_objects

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.models import Company, Membership, Role
from crewlog.people.rights import must_be_ours, require_role
from gear.catalogue.classes import ACCESSORIES
from gear.fitness.apply_evidence import apply_evidence_to_all
from gear.models import GearItem, InspectionScheme, SchemeRule

MEMORY = "from memory"
OWN = "our own rule"
NA_BASIS = "WAC 296-155-55820 Table 25 and ASME B30.9, normal service: yearly"


@dataclass(frozen=True, slots=True)
class DefaultRule:
    """One interval as the product proposes it; local law comes first."""

    use: str
    months: int
    basis: str
    how_obtained: str
    gear_classes: tuple[str, ...] = ()
    inspection_kind: str = "thorough"


@dataclass(frozen=True, slots=True)
class DefaultScheme:
    name: str
    rules: tuple[DefaultRule, ...]
    is_active: bool = True


DEFAULT_SCHEMES: tuple[DefaultScheme, ...] = (
    DefaultScheme(
        "United Kingdom: LOLER 1998 and PUWER 1998",
        (
            DefaultRule(
                "lift_or_lower", 6, "LOLER 1998 reg. 9(3), lifting accessories", "HSE leaflet on LOLER", (ACCESSORIES,)
            ),
            DefaultRule("lift_or_lower", 12, "LOLER 1998 reg. 9(3), other lifting equipment", "HSE leaflet on LOLER"),
            DefaultRule("support_person", 6, "LOLER 1998 reg. 9(3), equipment lifting people", "HSE leaflet on LOLER"),
            DefaultRule("pull_at_ground", 12, "PUWER 1998 reg. 6, suitable intervals: 12 months chosen", MEMORY),
        ),
    ),
    DefaultScheme(
        "North America: annual periodic inspection",
        tuple(
            DefaultRule(
                use,
                12,
                NA_BASIS,
                "WAC text read; ASME from memory",
            )
            for use in ("pull_at_ground", "lift_or_lower", "support_person")
        ),
        is_active=False,
    ),
    DefaultScheme(
        "Personal equipment: EN 365",
        (DefaultRule("support_person", 12, "EN 365, periodic examination by a competent person", MEMORY),),
    ),
    DefaultScheme(
        "Measuring equipment: calibration",
        (DefaultRule("measure", 12, "yearly calibration, common practice", "common practice"),),
    ),
)


@transaction.atomic
def ensure_default_schemes(company: Company) -> None:
    """Give a company that has no scheme the default ones; one that has any is left as it is."""
    if InspectionScheme.objects.for_company(company).exists():
        return
    for default in DEFAULT_SCHEMES:
        scheme = InspectionScheme.objects.create(company=company, name=default.name, is_active=default.is_active)
        SchemeRule.objects.bulk_create(
            SchemeRule(
                scheme=scheme,
                use=rule.use,
                gear_classes=list(rule.gear_classes),
                inspection_kind=rule.inspection_kind,
                months=rule.months,
                default_months=rule.months,
                basis=rule.basis,
                how_obtained=rule.how_obtained,
            )
            for rule in default.rules
        )


@transaction.atomic
def switch_scheme(*, actor: Membership, scheme: InspectionScheme, is_active: bool) -> InspectionScheme:
    """Switch a scheme on or off; every item's due date follows. A use left without a scheme is not fit.

    A sheet that lists an item for a day past its new date is withdrawn with it; so with every change of schemes.
    """
    require_role(actor, Role.OWNER)
    must_be_ours(actor, scheme.company_id, "scheme")
    before = scheme.is_active
    scheme.is_active = is_active
    scheme.save(update_fields=["is_active"])
    body = {"scheme": scheme.name, "is_active": [before, is_active]}
    entry = Entry(actor=actor.person)
    append(scheme.company, "gear.scheme-switched", entry, body=body, people=[actor.person])
    settle_company(scheme.company, entry)
    return scheme


@transaction.atomic
def change_interval(*, actor: Membership, rule: SchemeRule, months: int) -> SchemeRule:
    """Shorten an interval, or lengthen it again up to the default. Raises ValidationError past the default."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, rule.scheme.company_id, "rule")
    before = rule.months
    rule.months = months
    rule.full_clean()
    rule.save(update_fields=["months"])
    body = {"scheme": rule.scheme.name, "rule": rule.pk, "basis": rule.basis, "months": [before, months]}
    entry = Entry(actor=actor.person)
    append(rule.scheme.company, "gear.interval-changed", entry, body=body, people=[actor.person])
    settle_company(rule.scheme.company, entry)
    return rule


def longest_default(use: str) -> int:
    """The longest interval any default scheme allows for a use."""
    return max(rule.months for default in DEFAULT_SCHEMES for rule in default.rules if rule.use == use)


@dataclass(frozen=True, slots=True)
class OwnRule:
    """A rule of a company's own as it is entered."""

    name: str
    use: str
    months: int
    basis: str
    inspection_kind: str = "thorough"
    gear_classes: tuple[str, ...] = ()

    def check(self, company: Company) -> None:
        """Raise RuleBroken for an interval longer than the defaults', and for the name of a scheme that is not own."""
        longest = longest_default(self.use)
        if self.months > longest:
            raise RuleBroken(
                f"At most {longest} months. Your own interval may be shorter than the defaults, not longer.",
                code="looser-than-defaults",
                field="months",
            )
        taken = SchemeRule.objects.filter(scheme__company=company, scheme__name=self.name)
        if taken.exclude(how_obtained=OWN).exists():
            raise RuleBroken("Intervals with that name already exist.", code="scheme-name-taken", field="name")

    def row(self, scheme: InspectionScheme | None = None) -> SchemeRule:
        """The rule, not saved. Once entered it can be made shorter, never longer."""
        return SchemeRule(
            scheme=scheme,
            use=self.use,
            gear_classes=list(self.gear_classes),
            inspection_kind=self.inspection_kind,
            months=self.months,
            default_months=self.months,
            basis=self.basis,
            how_obtained=OWN,
        )


@transaction.atomic
def add_own_rule(*, actor: Membership, rule: OwnRule) -> SchemeRule:
    """Add a rule of the company's own, beside the defaults; the strictest wins, so it can only shorten.

    Raises RuleBroken, and ValidationError for what its columns refuse.
    """
    require_role(actor, Role.OWNER)
    company = actor.company
    rule.check(company)
    scheme, _ = InspectionScheme.objects.get_or_create(company=company, name=rule.name)
    row = rule.row(scheme)
    row.full_clean()
    row.save()
    body = {
        "scheme": rule.name,
        "use": rule.use,
        "gear_classes": list(rule.gear_classes),
        "kind": rule.inspection_kind,
        "months": rule.months,
        "basis": rule.basis,
    }
    entry = Entry(actor=actor.person)
    append(company, "gear.scheme-rule-added", entry, body=body, people=[actor.person])
    settle_company(company, entry)
    return row


def settle_company(company: Company, entry: Entry) -> None:
    """Rebuild every item in service, and withdraw what listed one for a day past its new date. Queries by chunks."""
    items = list(GearItem.objects.for_company(company).in_service().select_related("company", "assembly"))
    prefetch_related_objects([item for item in items if item.is_assembly], "parts")
    apply_evidence_to_all(company, items, entry)
