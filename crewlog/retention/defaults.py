"""How long names in records are kept unless a company keeps them longer; local law comes first."""

from dataclasses import dataclass

from django.db import transaction

from crewlog.models import Company, RetentionPeriod

MEMORY = "from memory"
CHOSEN = "chosen"
LIMITATION = "Limitation Act 1980 (UK) ss. 5, 11: claims in contract six years, for injury three from knowledge"


@dataclass(frozen=True, slots=True)
class DefaultPeriod:
    """`minimum_months` is what law or our judgement asks for at least; `months` what is proposed."""

    kind: str
    minimum_months: int
    months: int
    basis: str
    how_obtained: str
    while_in_use: bool = False


DEFAULT_PERIODS: tuple[DefaultPeriod, ...] = (
    DefaultPeriod(
        "",
        36,
        72,
        f"{LIMITATION}. Personal data law (UK GDPR art. 5(1)(e)): no longer than it is needed for that.",
        MEMORY,
    ),
    DefaultPeriod(
        "gear.inspection",
        24,
        72,
        "LOLER 1998 reg. 11(2): the first report while the equipment is used, later ones two years or until the next, "
        "whichever is later; six years proposed for claims.",
        MEMORY,
        while_in_use=True,
    ),
    DefaultPeriod(
        "gear.retirement", 36, 72, f"{LIMITATION}: why gear was retired answers a claim about what came before.", MEMORY
    ),
    DefaultPeriod("jobs.sheet-issued", 36, 72, f"{LIMITATION}: the sheet says who held which duty.", MEMORY),
    DefaultPeriod(
        "crewlog.competence",
        36,
        72,
        f"{LIMITATION}: shows that who held a duty was competent. Certificates of first-aiders: three years.",
        MEMORY,
    ),
    DefaultPeriod(
        "crewlog.hold", 0, 0, "A hold keeps everything while it stands; once lifted it keeps nothing itself.", CHOSEN
    ),
    DefaultPeriod("crewlog.calendar", 0, 12, "Made and revoked addresses of calendars: for questions only.", CHOSEN),
)


@transaction.atomic
def ensure_default_periods(company: Company) -> None:
    """Give a company the default periods that it lacks; those it has stay as they are."""
    held = set(RetentionPeriod.objects.for_company(company).values_list("kind", flat=True))
    RetentionPeriod.objects.bulk_create(
        RetentionPeriod(
            company=company,
            kind=default.kind,
            months=default.months,
            minimum_months=default.minimum_months,
            while_in_use=default.while_in_use,
            basis=default.basis,
            how_obtained=default.how_obtained,
        )
        for default in DEFAULT_PERIODS
        if default.kind not in held
    )
