"""The load path of a draft with its cures, what else could hang in a position, and who does what."""

from dataclasses import dataclass

from crewlog.models import Skill
from crewlog.number_style import shown
from jobs.checking import SheetCheck, climbs
from jobs.choices import Choice, choices_for, positions_to_fill
from jobs.duty_rules import SKILL_OF, Holder, duties_needed
from jobs.finding import Finding
from jobs.mechanics.roles import NOT_USED_REASONS
from jobs.models import Assignment, Duty, DutyKind, Sheet
from jobs.pages.path import PathGroup, item_words, path_groups
from jobs.pages.rows import counted, number_word
from jobs.paper.words import day_words, window_words
from jobs.unit_formatter import UnitFormatter

CURES_SHOWN = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceRow:
    """One item that could hang in a position, with how it would be used."""

    item: int
    tag: str
    href: str
    what: str
    line: str
    reason: str
    configuration: str
    basket_half_angle_deg: str
    choke_angle_deg: str
    loaded: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyRow:
    """One person in a duty."""

    id: int
    name: str
    line: str
    is_trainee: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyGroup:
    """One duty of the sheet: who holds it, and what speaks against that."""

    key: str
    title: str
    skill: str
    people: tuple[DutyRow, ...]
    findings: tuple[Finding, ...]
    is_needed: bool

    @property
    def word(self) -> str:
        """The first refusal's rule in words."""
        return self.findings[0].code.replace("-", " ").capitalize() if self.findings else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AssignPage:
    """Everything on the page of a draft's load path."""

    verdict_kind: str
    verdict_words: str
    verdict_line: str
    jumps: tuple[tuple[str, str], ...]
    can_fill: bool
    path: tuple[PathGroup, ...]
    cures: dict[str, tuple[ChoiceRow, ...]]
    duties: tuple[DutyGroup, ...]
    crew_findings: tuple[Finding, ...]
    plan_refusals: int
    crew_refused: str
    head_line: str
    fill_words: str
    next_words: str

    @property
    def is_refused(self) -> bool:
        return self.verdict_kind == "refused"


def assign_page(check: SheetCheck, duties: list[Duty]) -> AssignPage:
    """Lay a checked draft out. `duties` are the sheet's rows, in the order of check.holders."""
    reader = UnitFormatter(check.bundle.job.company.unit_system)
    path = path_groups(check.positions, reader)
    refused = [row for group in path for row in group.rows if row.is_refused]
    crew = tuple(f for f in check.refusals if f.area == "crew")
    own = [f for f in check.refusals if f.area not in ("gear", "crew")]
    kind, words, line = verdict_of(check, len(refused), len(crew), len(own))
    cures = {role: cures_for(check, role, reader) for role in positions_to_fill(check)}
    return AssignPage(
        verdict_kind=kind,
        verdict_words=words,
        verdict_line=line,
        jumps=tuple((f"#{row.role}", f"{row.tag or row.title}: {row.state.lower()}") for row in refused[:6]),
        can_fill=any(cures.values()),
        path=path,
        cures=cures,
        duties=duty_groups(check, duties),
        crew_findings=tuple(f for f in crew if not f.subject),
        plan_refusals=len(own),
        crew_refused=counted(len(crew), "refusal") if crew else "",
        fill_words=fill_words(sum(1 for rows in cures.values() if rows)),
        next_words="Issue the sheet" if check.stands else "What refuses the sheet",
        head_line=head_line(check.sheet),
    )


def head_line(sheet: Sheet) -> str:
    return f"Sheet {sheet.number}, revision {sheet.revision}, {day_words(sheet.day)}, {window_words(sheet)}."


def fill_words(curable: int) -> str:
    if curable == 1:
        return "Cure it from the store"
    return f"Cure {'both' if curable == 2 else 'all ' + number_word(curable)} from the store"


def verdict_of(check: SheetCheck, gear: int, crew: int, own: int) -> tuple[str, str, str]:
    if check.stands:
        return "stands", "Nothing is refused", "The sheet can be issued."
    parts = [
        counted(gear, "position") if gear else "",
        counted(crew, "duty", "duties") if crew else "",
        f"{counted(own, 'finding')} of plan and site" if own else "",
    ]
    said = ", ".join(part for part in parts if part) or "the plan is not worked out"
    return (
        "refused",
        f"Refused: {said}",
        "The sheet can be issued when all of it is cured. There is no way round a refusal.",
    )


def cures_for(check: SheetCheck, role: str, reader: UnitFormatter) -> tuple[ChoiceRow, ...]:
    suits = [choice for choice in choices_for(check, role) if choice.suits]
    return tuple(choice_row(choice, reader) for choice in suits[:CURES_SHOWN])


def choice_row(choice: Choice, reader: UnitFormatter) -> ChoiceRow:
    used: Assignment = choice.assignment
    use = ""
    if choice.use is not None:
        use = f"{reader.percent(choice.use.utilisation_ratio)} of {reader.force_limit(choice.use.capacity_n)}"
    due = f"due {day_words(choice.item.next_due_on)}" if choice.item.next_due_on else ""
    place = f"in {choice.item.storage_place}" if choice.item.storage_place else ""
    first = choice.refusals[0] if choice.refusals else None
    return ChoiceRow(
        item=choice.item.pk,
        tag=choice.item.tag,
        href=choice.item.get_absolute_url(),
        what=item_words(choice.item) if first else choice.item.description,
        line=first.text if first else ", ".join(part for part in (use, due, place) if part),
        reason=reason_words(first) if first else "",
        configuration=used.configuration,
        basket_half_angle_deg=plain(used.basket_half_angle_deg),
        choke_angle_deg=plain(used.choke_angle_deg),
        loaded=used.loaded,
    )


def plain(value: float | None) -> str:
    """A stored angle for a hidden box, read back by the same strict parser."""
    return "" if value is None else shown(f"{value:.6f}".rstrip("0").rstrip("."))


def reason_words(finding: Finding) -> str:
    if finding.code == "unfit":
        return (finding.title.partition(": ")[2] or finding.title).capitalize()
    return finding.code.replace("-", " ").capitalize()


def split_choices(check: SheetCheck, role: str, template: Assignment | None) -> tuple[list[ChoiceRow], list[ChoiceRow]]:
    """What could hang in a position, and what is refused there with the reason."""
    reader = UnitFormatter(check.bundle.job.company.unit_system)
    listed = choices_for(check, role, template=template)
    fits = [choice_row(choice, reader) for choice in listed if choice.suits]
    refused = [choice_row(choice, reader) for choice in listed if not choice.suits]
    return fits, refused


def reasons_allowed(reasons: tuple[str, ...]) -> list[tuple[str, str]]:
    """Codes and words of the reasons for which a position may be left out."""
    return [(code, NOT_USED_REASONS[code]) for code in reasons]


def duty_groups(check: SheetCheck, duties: list[Duty]) -> tuple[DutyGroup, ...]:
    """Every duty the sheet needs, and those somebody was given besides."""
    needed = duties_needed(check.bundle.plan, someone_climbs=climbs(check.bundle))
    held: dict[str, list[DutyRow]] = {}
    for row, holder in zip(duties, check.holders, strict=True):
        held.setdefault(row.duty, []).append(duty_row(row, holder))
    groups = []
    for kind in DutyKind:
        if kind in needed or kind.value in held:
            groups.append(
                DutyGroup(
                    key=kind.value,
                    title=kind.label,
                    skill=Skill(SKILL_OF[kind]).label,
                    people=tuple(held.get(kind.value, ())),
                    findings=tuple(f for f in check.refusals if f.area == "crew" and f.subject == kind.value),
                    is_needed=kind in needed,
                )
            )
    return tuple(groups)


def duty_row(row: Duty, holder: Holder) -> DutyRow:
    if holder.is_trainee:
        line = f"Trainee under {holder.supervisor_name}" if holder.supervisor else "Trainee, nobody supervises"
    else:
        line = "Competent" if SKILL_OF[holder.duty] in holder.skills else "No competence in force"
    return DutyRow(id=row.pk, name=holder.name, line=line, is_trainee=holder.is_trainee)
