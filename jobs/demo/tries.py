"""Six things to try in the demo, each with where it is, for the role that looks."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import F
from django.urls import reverse

from crewlog.demo import is_demo_database
from crewlog.models import Company, Membership, Role
from gear.models import GearItem, RoundDraft
from jobs.models import Sheet, SheetWithdrawal, Stem

MOST = 6
STAFF = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR, Role.CREW)
RECORDS = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR, Role.AUDITOR)
EVERYONE = tuple(Role)


@dataclass(frozen=True, slots=True)
class Try:
    """One thing to try."""

    title: str
    hint: str
    href: str


def tries_for(member: Membership) -> tuple[Try, ...]:
    """What this member may open of what is worth a look; nothing anywhere but in a demo database."""
    if not is_demo_database():
        return ()
    found = [one for roles, one in all_tries(member) if member.role in roles and one is not None]
    return tuple(found[:MOST])


def all_tries(member: Membership) -> Iterator[tuple[tuple[Role, ...], Try | None]]:
    """Everything there is to try with the roles that may, what matters most first."""
    company = member.company
    yield STAFF, refused_sheet(company)
    yield STAFF, decayed_stem(company)
    yield EVERYONE, withdrawn_sheet(company)
    yield (Role.INSPECTOR, Role.OWNER), half_answered_round(member)
    yield EVERYONE, overdue(company)
    yield (
        RECORDS,
        Try("Verify the records", "Every hash is recomputed while you wait", reverse("records") + "?verify=1"),
    )
    yield EVERYONE, issued_paper(company)
    yield EVERYONE, load_history(company)
    yield EVERYONE, Try("Look up a default", "Every value with its basis", reverse("mechanics_defaults"))


def refused_sheet(company: Company) -> Try | None:
    sheet = Sheet.objects.for_company(company).drafts().filter(refusals__isnull=False).order_by("pk").first()
    sheet = sheet or Sheet.objects.for_company(company).drafts().order_by("pk").first()
    if sheet is None:
        return None
    hint = "It is refused until every reason is cured"
    return Try(f"Issue sheet {sheet.number}", hint, reverse("sheet", args=[sheet.pk]))


def decayed_stem(company: Company) -> Try | None:
    stem = Stem.objects.filter(job__company=company, hazards__kind="decay", plan__isnull=False).order_by("pk").first()
    if stem is None:
        return None
    return Try("The decayed stem", "Its plan: no felling figures, and why", reverse("plan", args=[stem.pk]))


def withdrawn_sheet(company: Company) -> Try | None:
    row = SheetWithdrawal.objects.filter(record__company=company).select_related("sheet").order_by("pk").first()
    if row is None:
        return None
    return Try(f"Sheet {row.sheet.number}, withdrawn", row.reason, reverse("sheet", args=[row.sheet_id]))


def half_answered_round(member: Membership) -> Try | None:
    draft = RoundDraft.objects.filter(company=member.company, closed_at__isnull=True).order_by("pk").first()
    if draft is None:
        return None
    is_own = draft.inspector_id == member.person_id
    href = reverse("round", args=[draft.pk]) if is_own else reverse("rounds")
    return Try("A round half answered", "Go on with it, or see how far it is" if is_own else "See how far it is", href)


def overdue(company: Company) -> Try | None:
    count = GearItem.objects.for_company(company).needing("overdue", company.today()).count()
    return Try(f"{count} items overdue", "What the store needs first", reverse("store_due")) if count else None


def issued_paper(company: Company) -> Try | None:
    sheet = (
        Sheet.objects.for_company(company)
        .holding_gear()
        .filter(day__gte=company.today())
        .order_by(F("day").desc(), "pk")
        .first()
    )
    if sheet is None:
        return None
    return Try(f"The PDF of sheet {sheet.number}", "As the crew has it on site", reverse("sheet_pdf", args=[sheet.pk]))


def load_history(company: Company) -> Try | None:
    item = GearItem.objects.for_company(company).in_service().filter(tag="R-01").first()
    if item is None:
        return None
    return Try("What rope R-01 carried", "Its history of loads", reverse("item_loads", args=[item.tag]))
