"""Findings as pages show them: mark, sentence, and a way to what would cure them."""

from collections.abc import Iterable, Sequence

from django.db.models import Model
from django.urls import reverse

from crewlog.quantities.columns import ChoiceColumn, declared_columns
from crewlog.web.ui_rows import Cure, FindingRow, MarkKind
from jobs.mechanics.findings.codes import find_code
from jobs.mechanics.roles import find_role
from jobs.models import PullPlan, Stem
from jobs.models.shown_values import STEM_NAMES
from jobs.plans.completeness import NOT_ANSWERED
from jobs.plans.form_groups import GROUPS, TITLES
from jobs.plans.row_forms import PLACE_ORDER
from jobs.wording.counted import counted, sentence
from jobs.wording.felling import felling
from jobs.wording.finding import Finding

PLACES = tuple(kind.value for kind in PLACE_ORDER)
JOB_FIELDS = ("emergency_department", "rescue_plan", "communication")


def field_place(finding: Finding, stem: Stem) -> str:
    """The address of the box, tile or position that mends a finding."""
    name = finding.field
    if finding.area == "stem" and name:
        return f"{reverse('stem', args=[stem.pk])}#{stem_anchor(name)}"
    if is_about_place(finding):
        return f"{reverse('plan', args=[stem.pk])}#id_places-{PLACES.index(name)}-distance_m"
    if finding.area == "plan" and name:
        return f"{reverse('plan', args=[stem.pk])}#{plan_anchor(name)}"
    if finding.area == "gear":
        role = finding.subject if find_role(finding.subject) is not None else name
        return f"{reverse('assign', args=[stem.pk])}#{role}" if role else reverse("assign", args=[stem.pk])
    if finding.area == "crew":
        return f"{reverse('assign', args=[stem.pk])}#duties"
    if finding.area == "site" and name == "emergency_number":
        return f"{reverse('company')}#id_emergency_number"
    if finding.area == "site" and name in JOB_FIELDS:
        return f"{reverse('job_edit', args=[stem.job_id])}#id_{name}"
    if finding.area == "site":
        return f"{reverse('job', args=[stem.job_id])}#hazards"
    if finding.area == "stem":
        return reverse("stem", args=[stem.pk])
    return reverse("plan", args=[stem.pk])


def is_about_place(finding: Finding) -> bool:
    """Whether a place on site mends it. The haulers have a place and a number: only the code tells which is meant."""
    code = find_code(finding.code)
    return finding.field in PLACES and code is not None and code.subject == "place"


def plan_anchor(name: str) -> str:
    return name if name == "places" else box_id(PullPlan, name)


def stem_anchor(name: str) -> str:
    if name == "sections":
        return "id_sections-0-height_m"
    return box_id(Stem, name) if name in STEM_NAMES else "id_species"


def box_id(model: type[Model], name: str) -> str:
    """The id of a column's box in its form; of tiles it is the first."""
    tiles = {column.name for column in declared_columns(model) if isinstance(column, ChoiceColumn)}
    return f"id_{name}_0" if name in tiles else f"id_{name}"


def finding_row(finding: Finding, stem: Stem, *, verb: str = "Open") -> FindingRow:
    """A finding with its cure as a row that leads to where it is done."""
    cures = (Cure(finding.cure, verb=verb, href=field_place(finding, stem)),) if finding.cure else ()
    kind: MarkKind = "refused" if finding.is_refusal else "caution"
    return FindingRow(kind, finding.title, finding.text, cures, id=f"finding-{finding.full_code.replace(':', '-')}")


def own_rows(findings: Iterable[Finding], stem: Stem) -> list[FindingRow]:
    """Findings as rows; the open answers of a part of the form are one row, after the others."""
    rows, unanswered = [], dict[str, list[Finding]]()
    for finding in findings:
        if finding.code == "unknown" and finding.title.startswith(NOT_ANSWERED):
            unanswered.setdefault(part_of(finding), []).append(finding)
        else:
            rows.append(finding_row(finding, stem))
    return rows + [open_row(part, found, stem) for part, found in unanswered.items()]


def part_of(finding: Finding) -> str:
    """The part of the form, in words, that a finding's box is in."""
    return "Stem" if finding.area == "stem" else felling(TITLES.get(group_of(finding), "Plan"))


def open_row(part: str, found: Sequence[Finding], stem: Stem) -> FindingRow:
    """ "Line: five answers open", with each of them and the way to its box."""
    if len(found) == 1:
        return finding_row(found[0], stem)
    names = [sentence(finding.title.removeprefix(NOT_ANSWERED)) for finding in found]
    return FindingRow(
        "refused",
        f"{part}: {counted(len(found), 'answer')} open",
        "Not answered, or answered with not known:",
        tuple(Cure(name, verb="Answer", href=field_place(each, stem)) for name, each in zip(names, found, strict=True)),
        id=f"finding-open-{part.lower().replace(' ', '-')}",
    )


def groups_to_open(findings: tuple[Finding, ...]) -> frozenset[str]:
    """The groups of the plan's form that findings speak of."""
    return frozenset(group for finding in findings if (group := group_of(finding)))


def group_of(finding: Finding) -> str:
    if is_about_place(finding):
        return "places"
    return next((group for group, names in GROUPS.items() if finding.field in names), "")
