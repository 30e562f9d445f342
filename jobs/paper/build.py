"""One checked sheet as the content of its paper."""

import datetime as dt
from collections.abc import Iterable
from urllib.parse import urljoin

from django.conf import settings
from django.urls import reverse

from crewlog.models import Company, Person
from jobs.calculation import plan_figures
from jobs.changes import Change
from jobs.checking import SheetCheck
from jobs.code_words import codes_words
from jobs.mechanics.defaults import DEFAULTS
from jobs.mechanics.plan_result import PlanResult
from jobs.models import Place
from jobs.paper import figures as paper_figures
from jobs.paper import sequence as paper_sequence
from jobs.paper.haul import haul_stages, times_words
from jobs.paper.path_rows import anchor_rows, path_rows
from jobs.paper.words import NBSP, day_words, moment_words, window_words
from jobs.paper.working_groups import significant, sources_used, working_groups
from jobs.sheets.content import (
    Assumption,
    Caution,
    ChangedInput,
    Emergency,
    HaulTable,
    Seal,
    SheetContent,
    Site,
)
from jobs.unit_formatter import UnitFormatter

# Defaults that every plan rests on; the rest stand with their formula in the working.
SHOWN_BASES = ("panel's judgement", "from memory", "chosen")


def build_content(
    check: SheetCheck, *, issued_by: Person, issued_at: dt.datetime, snapshot_sha256: str, chain_head: str
) -> SheetContent:
    """Content of a sheet that stands. Raises ValueError for a check without a result: there is nothing to print."""
    result, envelope = check.outcome.result, check.outcome.envelope
    if result is None or envelope is None:
        raise ValueError("a sheet cannot be printed without its result")
    bundle, sheet = check.bundle, check.sheet
    company = bundle.job.company
    reader = UnitFormatter(company.unit_system)
    return SheetContent(
        company=company.name,
        sheet_number=sheet.number,
        revision=str(sheet.revision),
        title=f"{bundle.stem}, {species_words(check)}",
        day=day_words(sheet.day),
        window=window_words(sheet),
        issued=f"{moment_words(issued_at, company)}, by {issued_by}",
        site=site(check),
        emergency=emergency(check, f"{moment_words(issued_at, company)}, by {issued_by}"),
        duties=paper_sequence.duties(check),
        key_figures=paper_figures.key_figures(check, result, envelope, reader),
        envelope=paper_figures.envelope_words(check, reader),
        sequence=paper_sequence.sequence(check, result, reader),
        plan_figures=paper_figures.plan_figures(result, envelope, reader),
        load_path=path_rows(check, reader),
        cautions=tuple(Caution(title=f.title, text=f"{f.text} {f.cure}") for f in check.cautions),
        checks=paper_sequence.rigging_checks(check),
        hazards=paper_sequence.hazards(check, reader),
        anchors=anchor_rows(check, company, reader),
        changed_inputs=changed_inputs(check.changes, company),
        resets=paper_sequence.resets(result, reader),
        hauls=haul_tables(result, reader),
        working=working_groups(result),
        assumptions=assumptions(result),
        signatures=paper_sequence.signatures(check, company),
        figures=plan_figures(check.outcome),
        formatter=reader,
        place_words=tuple((kind.value, kind.label) for kind in Place.Kind),
        seal=Seal(
            snapshot_sha256=snapshot_sha256,
            chain_head=chain_head,
            mechanics_version=check.outcome.mechanics_version,
            address=urljoin(settings.SITE_ADDRESS, reverse("sheet", args=[sheet.pk])),
        ),
    )


def haul_tables(result: PlanResult, reader: UnitFormatter) -> tuple[HaulTable, ...]:
    """The pull in steps; the last table says what the times rest on."""
    stages = haul_stages(result, reader)
    basis = times_words(reader)
    return tuple(
        HaulTable(
            title=f"{stage.title}: the pull in steps",
            rows=stage.rows,
            notes=(stage.total, *stage.choices, *((basis,) if stage is stages[-1] else ())),
        )
        for stage in stages
    )


def species_words(check: SheetCheck) -> str:
    from jobs.species import find_species

    species = find_species(check.bundle.stem.species)
    return species.common_name if species else "species not known"


def site(check: SheetCheck) -> Site:
    job = check.bundle.job
    return Site(
        job_reference=job.reference,
        client=job.client,
        name=job.site_name,
        address=job.address,
        grid_reference=job.grid_reference,
        access=job.access,
    )


def emergency(check: SheetCheck, issued: str) -> Emergency:
    job = check.bundle.job
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
            refusal=codes_words(change.refusal),
            source=change.source or "a choice of the plan",
        )
        for change in changes
    )


def assumptions(result: PlanResult) -> tuple[Assumption, ...]:
    """Every default and limit that is not a published standard, with what it rests on; then the sources named."""
    defaults = (
        Assumption(
            name=default.name.replace("_", " "),
            value=significant(default.value) + ("" if default.unit == "1" else f"{NBSP}{default.unit}"),
            basis=f"{default.basis}: {default.note}",
        )
        for default in DEFAULTS.values()
        if default.basis in SHOWN_BASES
    )
    sources = (
        Assumption(name=f"Source {source.id}", value=source.where, basis=f"{source.author}: {source.title}")
        for source in sources_used(result)
    )
    return (*defaults, *sources)
