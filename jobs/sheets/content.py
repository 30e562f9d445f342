"""One checked sheet as the content of its paper."""

import datetime as dt
from collections.abc import Iterable
from urllib.parse import urljoin

from django.conf import settings
from django.urls import reverse

from crewlog.dates import day_words
from crewlog.models import Company, Person
from jobs.mechanics.defaults import DEFAULTS
from jobs.models import Place
from jobs.plans.calculation import plan_figures as drawn_figures
from jobs.plans.code_words import reasons_words
from jobs.plans.hauls import haul_tables, resets, times_words
from jobs.plans.key_figures import key_figures
from jobs.plans.plan_figures import plan_figures, stands_while
from jobs.plans.presentation import TO_WORK_BY, Assumption, chosen
from jobs.plans.tackle_parts import part_rows
from jobs.plans.working_rows import assumption, sources_used, working_groups
from jobs.sheet_rows.content import Seal, SheetContent
from jobs.sheet_rows.rows import Caution, ChangedInput, Emergency, Site
from jobs.sheets import work_rows
from jobs.sheets.changes import Change
from jobs.sheets.check import SheetCheck
from jobs.sheets.path_rows import anchor_rows, path_rows
from jobs.stems.species import find_species
from jobs.wording.date_words import moment_words, window_words
from jobs.wording.unit_formatter import UnitFormatter

# Defaults that every plan rests on; the rest stand with their formula in the working.
SHOWN_BASES = ("panel's judgement", "from memory", "chosen")


def build_content(
    check: SheetCheck, *, issued_by: Person, issued_at: dt.datetime, snapshot_sha256: str, chain_head: str
) -> SheetContent:
    """Content of a sheet that stands. Raises ValueError for a check without a result: there is nothing to print."""
    result = check.outcome.result
    if result is None or check.outcome.envelope is None:
        raise ValueError("a sheet cannot be printed without its result")
    plan_data, sheet = check.plan_data, check.sheet
    company = plan_data.job.company
    issued = f"{moment_words(issued_at, company)}, by {issued_by}"
    return SheetContent(
        company=company.name,
        sheet_number=sheet.number,
        revision=str(sheet.revision),
        title=f"{plan_data.stem}, {species_words(check)}",
        day=day_words(sheet.day),
        window=window_words(sheet),
        issued=issued,
        site=site(check),
        emergency=emergency(check, issued),
        duties=(work_rows.lead(check), *(duty for duty in work_rows.duties(check) if duty.people)),
        key_figures=chosen(key_figures(plan_data, check.outcome), TO_WORK_BY),
        envelope=stands_while(plan_data),
        sequence=work_rows.sequence(check, result),
        plan_figures=plan_figures(plan_data, check.outcome),
        load_path=tuple(row for row in path_rows(check.positions) if row.hung is not None),
        cautions=tuple(Caution(title=f.title, text=f"{f.text} {f.cure}") for f in check.cautions),
        checks=work_rows.rigging_checks(check),
        hazards=work_rows.hazards(plan_data.hazards),
        anchors=anchor_rows(check.positions, company),
        changed_inputs=changed_inputs(check.changes, company),
        parts=part_rows(result),
        resets=resets(result),
        hauls=haul_tables(result),
        haul_times=times_words(),
        working=working_groups(result),
        assumptions=assumptions(),
        sources=sources_used(result),
        signatures=work_rows.signatures(check),
        figures=drawn_figures(check.outcome),
        write=UnitFormatter(company.unit_system),
        place_words=tuple((kind.value, kind.label) for kind in Place.Kind),
        seal=Seal(
            snapshot_sha256=snapshot_sha256,
            chain_head=chain_head,
            mechanics_version=check.outcome.mechanics_version,
            address=urljoin(settings.SITE_ADDRESS, reverse("sheet", args=[sheet.pk])),
        ),
    )


def species_words(check: SheetCheck) -> str:
    species = find_species(check.plan_data.stem.species)
    return species.common_name if species else "species not known"


def site(check: SheetCheck) -> Site:
    job = check.plan_data.job
    return Site(
        job_reference=job.reference,
        client=job.client,
        name=job.site_name,
        address=job.address,
        grid_reference=job.grid_reference,
        access=job.access,
    )


def emergency(check: SheetCheck, issued: str) -> Emergency:
    job = check.plan_data.job
    return Emergency(
        number=job.company.emergency_number,
        department=job.emergency_department,
        signal=job.phone_signal,
        grid_reference=job.grid_reference,
        rescue_plan=job.rescue_plan,
        communication=job.communication,
        looked_at=f"Emergency department, number, rescue plan and signals: {issued}",
    )


def changed_inputs(changes: Iterable[Change], company: Company) -> tuple[ChangedInput, ...]:
    return tuple(
        ChangedInput(
            what=change.what,
            before=change.before,
            after=change.after,
            at=moment_words(dt.datetime.fromisoformat(change.refused_at), company),
            refusal=reasons_words(change.refusal, change.path),
            source=change.source or "a choice of the plan",
        )
        for change in changes
    )


def assumptions() -> tuple[Assumption, ...]:
    """Every default and limit that is not a published standard, with what it rests on."""
    return tuple(assumption(default) for default in DEFAULTS.values() if default.basis in SHOWN_BASES)
