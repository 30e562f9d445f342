"""The load path of a draft with its cures, what else could hang in a position, and who does what."""

from dataclasses import dataclass

from crewlog.dates import day_words
from crewlog.quantities.number_style import shown
from jobs.mechanics.roles import NOT_USED_REASONS
from jobs.models import Assignment, Duty, Sheet
from jobs.sheet_rows.rows import Duty as DutyOfSheet
from jobs.sheet_rows.rows import DutyPerson
from jobs.sheets.candidates import Choice, choices_for, positions_to_fill
from jobs.sheets.check import SheetCheck
from jobs.sheets.page_path import PathGroup, item_words, path_groups, rule_words
from jobs.sheets.path_rows import path_rows
from jobs.sheets.work_rows import duties
from jobs.wording.counted import counted, number_word
from jobs.wording.date_words import window_words
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

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


@dataclass(frozen=True, slots=True)
class DutyLine:
    """One person in a duty, with the row that takes them off it."""

    id: int
    name: str
    line: str


@dataclass(frozen=True, slots=True)
class DutyGroup:
    """One duty of the sheet with who holds it."""

    duty: DutyOfSheet
    people: tuple[DutyLine, ...]

    @property
    def word(self) -> str:
        """The first refusal's rule in words."""
        return rule_words(self.duty.findings[0]) if self.duty.findings else ""


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


def assign_page(check: SheetCheck, duty_rows: list[Duty]) -> AssignPage:
    """Lay a checked draft out. `duty_rows` are the sheet's rows, in the order of check.holders."""
    write = UnitFormatter(check.plan_data.job.company.unit_system)
    path = path_groups(path_rows(check.positions), write)
    refused = [row for group in path for row in group.rows if row.is_refused]
    crew = tuple(f for f in check.refusals if f.area == "crew")
    own = [f for f in check.refusals if f.area not in ("gear", "crew")]
    kind, words, line = verdict_of(check, len(refused), len(crew), len(own))
    cures = {role: cures_for(check, role, write) for role in positions_to_fill(check)}
    return AssignPage(
        verdict_kind=kind,
        verdict_words=words,
        verdict_line=line,
        jumps=tuple(
            (f"#{each.row.role}", f"{each.tag or each.row.title}: {each.state.lower()}") for each in refused[:6]
        ),
        can_fill=any(cures.values()),
        path=path,
        cures=cures,
        duties=duty_groups(check, duty_rows),
        crew_findings=tuple(f for f in crew if not f.subject),
        plan_refusals=len(own),
        crew_refused=counted(len(crew), "refusal") if crew else "",
        fill_words=fill_words(sum(1 for rows in cures.values() if rows)),
        next_words="Issue the sheet" if check.stands else "Why the sheet is refused",
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
        "You can issue the sheet once all of it is cured. A refusal cannot be overridden.",
    )


def cures_for(check: SheetCheck, role: str, write: UnitFormatter) -> tuple[ChoiceRow, ...]:
    suits = [choice for choice in choices_for(check, role) if choice.suits]
    return tuple(choice_row(choice, write) for choice in suits[:CURES_SHOWN])


def choice_row(choice: Choice, write: UnitFormatter) -> ChoiceRow:
    used: Assignment = choice.assignment
    use = ""
    if choice.use is not None:
        use = f"{write.percent(choice.use.utilisation_ratio)} of {write.force_limit(choice.use.capacity_n)}"
    due = f"due {day_words(choice.item.next_due_on)}" if choice.item.next_due_on else ""
    place = f"in {choice.item.storage_place}" if choice.item.storage_place else ""
    first = choice.refusals[0] if choice.refusals else None
    return ChoiceRow(
        item=choice.item.pk,
        tag=choice.item.tag,
        href=choice.item.get_absolute_url(),
        what=item_words(choice.item) if first else choice.item.description,
        line=first.text if first else ", ".join(part for part in (use, due, place) if part),
        reason=rule_words(first) if first else "",
        configuration=used.configuration,
        basket_half_angle_deg=hidden_angle(used.basket_half_angle_deg),
        choke_angle_deg=hidden_angle(used.choke_angle_deg),
        loaded=used.loaded,
    )


def hidden_angle(value: float | None) -> str:
    """A stored angle for a hidden box, read back by the same strict parser."""
    return "" if value is None else shown(f"{value:.6f}".rstrip("0").rstrip("."))


def split_choices(check: SheetCheck, role: str, template: Assignment | None) -> tuple[list[ChoiceRow], list[ChoiceRow]]:
    """What could hang in a position, and what is refused there with the reason."""
    write = UnitFormatter(check.plan_data.job.company.unit_system)
    listed = choices_for(check, role, template=template)
    fits = [choice_row(choice, write) for choice in listed if choice.suits]
    refused = [choice_row(choice, write) for choice in listed if not choice.suits]
    return fits, refused


def reasons_allowed(reasons: tuple[str, ...]) -> list[tuple[str, str]]:
    """Codes and words of the reasons for which a position may be left out."""
    return [(code, NOT_USED_REASONS[code]) for code in reasons]


def duty_groups(check: SheetCheck, rows: list[Duty]) -> tuple[DutyGroup, ...]:
    """Every duty the sheet needs, and those somebody was given besides."""
    return tuple(
        DutyGroup(duty, tuple(DutyLine(rows[each.place].pk, each.name, person_words(each)) for each in duty.people))
        for duty in duties(check)
    )


def person_words(person: DutyPerson) -> str:
    if person.is_trainee:
        return f"Trainee under {person.supervisor}" if person.supervisor else "Trainee, nobody supervises"
    return "Competent" if person.is_competent else "No qualification in force"
