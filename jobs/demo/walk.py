"""The walk through the demo's main job: plan, refusal, cure, issue, and the chain of records at the end."""

from collections.abc import Callable, Iterable
from pathlib import Path

from crewlog.dates import day_words
from crewlog.evidence import verify
from crewlog.models import Company, Person
from gear.models import GearItem
from jobs.demo.scenario import Cast
from jobs.demo.works import DECAYED, MAIN, fresh, keep_plan, lead_of
from jobs.errors import SheetRefused
from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.roles import role_title
from jobs.models import IssuedSheet, SheetWithdrawal
from jobs.plans.calculation import calculate
from jobs.plans.data import load_plan_data
from jobs.sheets.check import SheetCheck, check_sheet
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import fill_from_store, issue_sheet
from jobs.stems.species import find_species
from jobs.wording.date_words import window_words
from jobs.wording.felling import felling
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

Say = Callable[[str], None]
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def walk_main_job(cast: Cast, *, out: Path, say: Say) -> IssuedSheet:
    """Tell the main job from plan to paper. Everything said is computed while it is said."""
    write = UnitFormatter(cast.company.unit_system)
    check = check_sheet(fresh(cast.sheets[MAIN]))
    tell_company(cast, say)
    tell_job(check, say)
    tell_stem(check, write, say)
    if check.outcome.result is not None:
        tell_plan(check, check.outcome.result, write, say)
    tell_decayed(cast, say)
    tell_withdrawal(cast, say)
    ask_and_be_refused(cast, say)
    cure(cast, check, write, say)
    issue = issue_main(cast, out, say)
    tell_chain(say)
    return issue


def heading(text: str, say: Say) -> None:
    say("")
    say(text)
    say("-" * len(text))


def counted(number: int, noun: str, plural: str = "") -> str:
    """ "one block", "14 blocks": small numbers in words."""
    words = NUMBERS[number] if number < len(NUMBERS) else str(number)
    return f"{words} {noun if number == 1 else plural or noun + 's'}"


def sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def tell_company(cast: Cast, say: Say) -> None:
    heading(f"{cast.company}: the store on {day_words(cast.today)}", say)
    items = GearItem.objects.for_company(cast.company)
    live = items.in_service()
    fit = live.fit_on(cast.today).count()
    retired = items.count() - live.count()
    people = Person.objects.filter(company=cast.company, membership__ends_on__isnull=True)
    trainees = people.filter(learning__isnull=False).distinct().count()
    say(f"{items.count()} items with two years of examinations.")
    say(f"{fit} are fit today, {live.count() - fit} are not, {retired} are retired.")
    crew = f"{counted(people.count(), 'person', 'people')}, {counted(trainees, 'trainee')} among them"
    say(f"{sentence(counted(len(cast.jobs), 'job'))}, {crew}.")


def tell_job(check: SheetCheck, say: Say) -> None:
    job, sheet = check.plan_data.job, check.sheet
    heading(f"Job {job}", say)
    say(f"Sheet {sheet.number} is planned for {day_words(sheet.day)}, {window_words(sheet)}, led by {job.lead}.")
    say(f"The job ends on {day_words(job.last_day)}, so every item has to be in date until then.")


def tell_stem(check: SheetCheck, write: UnitFormatter, say: Say) -> None:
    plan_data = check.plan_data
    stem, plan = plan_data.stem, plan_data.plan
    working = check.outcome.result.working if check.outcome.result else None
    species = find_species(stem.species)
    kind = species.common_name if species else stem.species
    say(f"{stem} is a {kind}, {write.length(stem.tree_height_m or 0.0)} high.")
    if working is not None:
        measured = working.situation.stem
        say(
            f"{write.diameter(measured.hinge_diameter_over_bark_m)} at the hinge, "
            f"{write.mass(measured.total_mass_kg)} above it, leaning {write.angle(stem.lean_deg or 0.0)} "
            f"to bearing {stem.lean_azimuth_deg:.0f}°; it is to fall to {plan.lay_azimuth_deg:.0f}°."
        )
    say(
        f"The line goes on at {write.length(plan.attach_height_m or 0.0)} and over "
        f"{counted(len(plan_data.pull_redirects), 'redirect')} to a tackle of {counted(plan.parts, 'part')}."
    )


def tell_plan(check: SheetCheck, result: PlanResult, write: UnitFormatter, say: Say) -> None:
    heading("The plan, at the worst case within the tolerances", say)
    people = check.plan_data.plan.haulers or 0
    verb = "gives" if people == 1 else "give"
    crowd = counted(people, "person", "people")
    say(
        f"The pull needs {write.force(result.tackle_tension_n)} at the tackle; "
        f"{crowd} {verb} it with {write.hand(result.hauling_force_n)} between them."
    )
    envelope = check.outcome.envelope
    if envelope is not None:
        say(
            f"{felling('Before the back cut')}: at least {write.force(envelope.lowest_tension_n)} and at most "
            f"{write.force_limit(envelope.highest_tension_n)} in the line at the stem."
        )
    say(
        f"From {write.angle(result.balance_angle_deg)} of tilt it may go by itself; it is pulled for "
        f"{write.length(result.tip_travel_m)} of line at most."
    )
    if result.travel is not None:
        stage = result.travel.stages[0]
        haul = write.length(result.travel.total_haul_m)
        say(f"{sentence(counted(stage.resets, 'reset'))} of the tackle, {haul} of rope to haul.")
    if result.bollard is not None:
        say(f"{sentence(counted(result.bollard.whole_wraps, 'wrap'))} on the bollard hold it by hand.")
    say(f"Proof pull before the first cut: {write.force(result.proof_tension_n)} for one minute.")
    heaviest = max((row for row in check.positions if row.use), key=lambda r: r.use.utilisation_ratio if r.use else 0)
    if heaviest.use is not None:
        say(
            f"Most loaded for its rating: {heaviest.title.lower()}, {write.force(heaviest.use.load_n)} of "
            f"{write.force_limit(heaviest.use.capacity_n)}."
        )
    say("An estimate, not an instruction: a competent person on site decides.")


def tell_decayed(cast: Cast, say: Say) -> None:
    stem = cast.stems[DECAYED]
    stem = type(stem).objects.with_plan().get(pk=stem.pk)
    heading(f"{stem}: refused", say)
    tell_findings(calculate(load_plan_data(stem)).refusals, say)


def tell_withdrawal(cast: Cast, say: Say) -> None:
    heading("A sheet withdrawn", say)
    withdrawals = SheetWithdrawal.objects.filter(record__company=cast.company).select_related("sheet", "item")
    for withdrawal in withdrawals:
        sheet = withdrawal.sheet
        say(f"Sheet {sheet.number} was issued for {day_words(sheet.day)} and withdrawn today.")
        say(f"{withdrawal.reason}")
        for spare in sheet.assignments.filter(rank__gt=0).select_related("item"):
            say(f"Its alternate {spare.item} covers the position for the next revision.")


def tell_findings(findings: Iterable[Finding], say: Say) -> None:
    for number, finding in enumerate(findings, start=1):
        say(f"{number}. {finding.title}")
        say(f"   {finding.text}")
        say(f"   Cure: {finding.cure}")


def ask_and_be_refused(cast: Cast, say: Say) -> None:
    """The lead asks for the sheet and is refused; the attempt stays on record."""
    sheet = fresh(cast.sheets[MAIN])
    heading(f"Sheet {sheet.number}: refused", say)
    try:
        issue_sheet(actor=lead_of(cast, MAIN), sheet=sheet, looked_at=EVERYTHING)
    except SheetRefused as refusal:
        say(refusal.message)
        tell_findings(refusal.findings, say)
        say("There is no override. The attempt is on record with its inputs.")


def cure(cast: Cast, refused: SheetCheck, write: UnitFormatter, say: Say) -> None:
    """Fill the refused positions from the store and say what took whose place."""
    heading("Cured from the store", say)
    roles = fill_from_store(actor=lead_of(cast, MAIN), sheet=fresh(cast.sheets[MAIN]))
    check = check_sheet(fresh(cast.sheets[MAIN]))
    before = refused.plan_data.in_place()
    for role in roles:
        row = check.by_role[role]
        old, new = before[role].item, row.assignment.item if row.assignment else None
        if old is None or new is None or row.use is None:
            continue
        due = f"due {day_words(new.next_due_on)}" if new.next_due_on else "no due date"
        say(
            f"{role_title(role)}: {new.tag} for {old.tag}, {due}, carries {write.force(row.use.load_n)} of "
            f"{write.force_limit(row.use.capacity_n)}."
        )
    if check.cautions:
        say(f"The sheet can be issued with {counted(len(check.cautions), 'caution')}:")
        tell_findings(check.cautions, say)
    say(f"{sentence(counted(len(check.changes), 'change'))} since the refusal, listed on the sheet.")


def issue_main(cast: Cast, out: Path, say: Say) -> IssuedSheet:
    keep_plan(cast, MAIN)
    issue = issue_sheet(actor=lead_of(cast, MAIN), sheet=fresh(cast.sheets[MAIN]), looked_at=EVERYTHING)
    sheet = issue.sheet
    path = out / f"sheet-{sheet.number}-revision-{sheet.revision}.pdf"
    paper = issue.paper() or b""
    path.write_bytes(paper)
    heading(f"Sheet {sheet.number}: issued", say)
    say(f"{path} ({len(paper) // 1000} kB)")
    say(f"Latest record code before it: {issue.chain_head}")
    return issue


def tell_chain(say: Say) -> None:
    """Recompute every company's chain, as verify_records does."""
    heading("The records", say)
    for company in Company.objects.order_by("pk"):
        verdict = verify(company)
        state = "recomputed and whole" if verdict.holds else f"BROKEN: {verdict.fault}"
        say(f"{company}: {verdict.count} records, {state}.")
        say(f"Head {verdict.head}")
