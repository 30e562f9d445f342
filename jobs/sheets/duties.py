"""Who may do what on a sheet, and how many it takes."""

import datetime as dt
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from crewlog.models import Competence, Person, Skill
from jobs.models import Duty, DutyKind, Sheet
from jobs.models.plan import PullPlan
from jobs.wording.counted import counted, number_word
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

LEAST_CREW = 3  # for a cut under tension

SKILL_OF = {
    DutyKind.CUTTER: Skill.CUTTER,
    DutyKind.HAULER: Skill.HAULER,
    DutyKind.BOLLARD_TENDER: Skill.BOLLARD,
    DutyKind.HITCH_TENDER: Skill.HITCH,
    DutyKind.LOOKOUT: Skill.LOOKOUT,
    DutyKind.SIDE_TENDER: Skill.LINE_TENDER,
    DutyKind.RESTRAINT_TENDER: Skill.LINE_TENDER,
    DutyKind.FIRST_AIDER: Skill.FIRST_AID,
    DutyKind.RESCUE_CLIMBER: Skill.RESCUE,
}
ALWAYS = (DutyKind.CUTTER, DutyKind.HAULER, DutyKind.BOLLARD_TENDER, DutyKind.HITCH_TENDER, DutyKind.LOOKOUT)
# Duties one person cannot hold together: each has eyes and hands on something else at the same moment.
ONE_AT_A_TIME = (
    DutyKind.CUTTER,
    DutyKind.HAULER,
    DutyKind.BOLLARD_TENDER,
    DutyKind.LOOKOUT,
    DutyKind.SIDE_TENDER,
    DutyKind.RESTRAINT_TENDER,
)


@dataclass(frozen=True, slots=True)
class Holder:
    """One duty held by one person, as the rules see it."""

    duty: DutyKind
    person: str
    name: str
    is_trainee: bool  # learns the skill of this duty and does not hold it on the day
    supervisor: str | None
    supervisor_name: str
    skills: frozenset[str]  # in force on the day
    lapsed: frozenset[str]
    cutter_limit_m: float | None = None
    supervisor_skills: frozenset[str] = frozenset()
    supervisor_unfit: str = ""  # why the supervisor cannot be one, whatever the duty
    left_on: dt.date | None = None


def holder_of(row: Duty, day: dt.date) -> Holder:
    """Read a duty row whose person, details, competences and learning were fetched with it."""
    in_force = competences_on(row.person, day)
    skills = frozenset(c.skill for c in in_force)
    ended = frozenset(c.skill for c in row.person.competences.all() if c.expires_on is not None and c.expires_on < day)
    limits = [c.max_diameter_m for c in in_force if c.skill == Skill.CUTTER]
    skill = SKILL_OF[DutyKind(row.duty)]
    learns = any(learning.skill == skill for learning in row.person.learning.all())
    supervisor = row.supervisor
    return Holder(
        duty=DutyKind(row.duty),
        person=str(row.person_id),
        name=str(row.person),
        is_trainee=learns and skill not in skills,
        supervisor=str(row.supervisor_id) if row.supervisor_id else None,
        supervisor_name=str(supervisor) if supervisor else "",
        supervisor_skills=frozenset(c.skill for c in competences_on(supervisor, day)) if supervisor else frozenset(),
        supervisor_unfit=unfit_to_supervise(supervisor, day) if supervisor else "",
        skills=skills,
        lapsed=ended - skills,
        cutter_limit_m=None if None in limits else max((m for m in limits if m is not None), default=None),
        left_on=row.person.left_on,
    )


def competences_on(person: Person, day: dt.date) -> list[Competence]:
    """Competences in force on a day: granted by then and not run out."""
    held = person.competences.all()
    return [c for c in held if c.granted_on <= day and (c.expires_on is None or c.expires_on >= day)]


def unfit_to_supervise(person: Person, day: dt.date) -> str:
    if person.left_on is not None and person.left_on <= day:
        return f"left on {person.left_on:%-d %B %Y}"
    return ""


def duties_needed(plan: PullPlan, *, someone_climbs: bool) -> tuple[DutyKind, ...]:
    needed = [*ALWAYS, DutyKind.FIRST_AIDER]
    if plan.side_line:
        needed.append(DutyKind.SIDE_TENDER)
    if plan.restraint:
        needed.append(DutyKind.RESTRAINT_TENDER)
    if someone_climbs:
        needed.append(DutyKind.RESCUE_CLIMBER)
    return tuple(needed)


def duty_findings(
    holders: Iterable[Holder],
    *,
    needed: Iterable[DutyKind],
    haulers: int | None,
    hauler_tolerance: int = 0,
    stem_diameter_m: float,
    day: dt.date,
    write: UnitFormatter,
) -> tuple[Finding, ...]:
    """Every refusal of the duties of one sheet."""
    held = tuple(holders)
    return (
        *empty_findings(held, needed),
        *count_findings(held),
        *tail_findings(held, haulers, hauler_tolerance),
        *conflict_findings(held),
        *(
            finding
            for holder in held
            for finding in holder_findings(holder, held, stem_diameter_m, day=day, write=write)
        ),
    )


def duty_finding(code: str, duty: str, *, title: str, text: str, cure: str, danger: int = 1) -> Finding:
    return Finding(
        code=code,
        subject=duty,
        severity="refusal",
        area="crew",
        title=title,
        text=text,
        cure=cure,
        field="duties",
        danger=danger,
    )


def empty_findings(held: tuple[Holder, ...], needed: Iterable[DutyKind]) -> Iterator[Finding]:
    filled = {holder.duty for holder in held if not holder.is_trainee}
    for duty in needed:
        if duty not in filled:
            only = " qualified" if any(h.duty == duty for h in held) else ""
            yield duty_finding(
                "duty-empty",
                duty,
                title=f"{duty.label}: nobody",
                text=f"Nobody{only} is assigned.",
                cure=f"Name a qualified person as {duty.label.lower()}.",
            )


def named_words(count: int) -> str:
    """How many are named: "none is named", "one is named", "two are named"."""
    if count < 2:
        return "one is named" if count else "none is named"
    return f"{number_word(count)} are named"


def count_findings(held: tuple[Holder, ...]) -> Iterator[Finding]:
    competent = {h.person for h in held if not h.is_trainee}
    if len(competent) == 1:
        yield duty_finding(
            "working-alone",
            "",
            title="One person alone",
            text="Only one qualified person is named, and nobody may cut or haul alone.",
            cure=f"Name at least {number_word(LEAST_CREW)} qualified people.",
        )
    elif len(competent) < LEAST_CREW:
        yield duty_finding(
            "crew-too-small",
            "",
            title="Crew too small",
            text=f"A cut under tension needs {number_word(LEAST_CREW)} qualified people; "
            f"{named_words(len(competent))}.",
            cure=f"Name at least {number_word(LEAST_CREW)} qualified people; trainees do not count.",
        )


def tail_findings(held: tuple[Holder, ...], haulers: int | None, tolerance: int) -> Iterator[Finding]:
    """The tail has the people the plan is worked for: fewer cannot pull it over, more pull harder than was checked.

    A trainee never fills the count, but pulls like anybody.
    """
    named = [h for h in held if h.duty == DutyKind.HAULER]
    on_tail = sum(1 for h in named if not h.is_trainee)
    if haulers is not None and 0 < on_tail < haulers:
        yield duty_finding(
            "crew-too-small",
            DutyKind.HAULER,
            title="Too few on the tail",
            text=f"The plan needs {counted(haulers, 'hauler')}; {named_words(on_tail)}.",
            cure="Name the missing haulers, or plan for fewer.",
            danger=2,
        )
    if haulers is not None and len(named) > haulers + tolerance:
        yield duty_finding(
            "too-many-on-tail",
            DutyKind.HAULER,
            title="Too many on the tail",
            text=f"The plan allows {counted(haulers + tolerance, 'hauler')} at most, trainees included; "
            f"{named_words(len(named))}.",
            cure="Take haulers off the tail, or plan for more.",
            danger=2,
        )


def conflict_findings(held: tuple[Holder, ...]) -> Iterator[Finding]:
    by_person: dict[str, list[Holder]] = {}
    for holder in held:
        by_person.setdefault(holder.person, []).append(holder)
    for duties in by_person.values():
        together = [h for h in duties if h.duty in ONE_AT_A_TIME]
        if len(together) > 1:
            first, second = together[0], together[1]
            yield duty_finding(
                "duty-conflict",
                second.duty,
                title=f"{first.name}: two duties at once",
                text=f"{first.name} is {first.duty.label.lower()} and {second.duty.label.lower()}.",
                cure="Give one of the two to somebody else.",
            )


def holder_findings(
    holder: Holder, held: tuple[Holder, ...], stem_diameter_m: float, *, day: dt.date, write: UnitFormatter
) -> Iterator[Finding]:
    if holder.left_on is not None and holder.left_on <= day:
        yield duty_finding(
            "person-left",
            holder.duty,
            title=f"{holder.name}: no longer in the company",
            text=f"Left on {holder.left_on:%-d %B %Y}.",
            cure="Name somebody else.",
        )
    if holder.is_trainee:
        yield from trainee_findings(holder, held)
    else:
        yield from competence_findings(holder, stem_diameter_m, write)


def trainee_findings(holder: Holder, held: tuple[Holder, ...]) -> Iterator[Finding]:
    if holder.duty == DutyKind.CUTTER:
        yield duty_finding(
            "trainee-cuts",
            holder.duty,
            title=f"{holder.name}: a trainee never cuts under tension",
            text="Only a qualified person may cut a stem under tension.",
            cure="Name a qualified cutter.",
        )
    if holder.supervisor is None:
        yield duty_finding(
            "trainee-unsupervised",
            holder.duty,
            title=f"{holder.name}: trainee without a supervisor",
            text="A trainee works under a named supervisor on site who has no other duty.",
            cure="Name a supervisor.",
        )
    elif holder.supervisor_unfit or SKILL_OF[holder.duty] not in holder.supervisor_skills:
        skill = SKILL_OF[holder.duty]
        why = holder.supervisor_unfit or f"has no qualification in “{skill.label}” on the day"
        yield duty_finding(
            "trainee-unsupervised",
            holder.duty,
            title=f"{holder.supervisor_name}: cannot supervise this duty",
            text=f"{holder.supervisor_name}, named to supervise {holder.name}, {why}.",
            cure="Name a supervisor qualified in this duty.",
        )
    elif any(h.person == holder.supervisor for h in held):
        yield duty_finding(
            "trainee-unsupervised",
            holder.duty,
            title=f"{holder.supervisor_name}: supervises and has a duty",
            text=f"{holder.supervisor_name} supervises {holder.name} and may hold no other duty.",
            cure="Name a supervisor without another duty.",
        )


def competence_findings(holder: Holder, stem_diameter_m: float, write: UnitFormatter) -> Iterator[Finding]:
    skill = SKILL_OF[holder.duty]
    if skill not in holder.skills:
        lapsed = skill in holder.lapsed
        yield duty_finding(
            "competence-lapsed" if lapsed else "not-competent",
            holder.duty,
            title=f"{holder.name}: {'qualification has run out' if lapsed else 'not qualified'}",
            text=f"“{skill.label}” {'has run out for' if lapsed else 'is not entered for'} {holder.name}.",
            cure="Name somebody who holds it, or enter the certificate or assessment.",
        )
    elif holder.duty == DutyKind.CUTTER and stem_diameter_m > (holder.cutter_limit_m or math.inf) + 1e-9:
        yield duty_finding(
            "not-competent",
            holder.duty,
            title=f"{holder.name}: stem too thick for their qualification",
            text=(
                f"The stem is {write.diameter(stem_diameter_m)} at the hinge; "
                f"the qualification goes up to {write.diameter(holder.cutter_limit_m or 0.0)}."
            ),
            cure="Name a cutter qualified for this diameter.",
        )


def sheet_duties(sheet: Sheet) -> list[Duty]:
    """The duties of a sheet with people and competences: a fixed number of queries."""
    return list(
        sheet.duties.select_related("person__details", "supervisor__details").prefetch_related(
            "person__competences", "person__learning", "supervisor__competences"
        )
    )
