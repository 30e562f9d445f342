"""The answers a plan must have before anything is computed. Nothing is assumed in place of a missing one."""

from collections.abc import Iterator
from typing import Any

from crewlog.quantities.columns import ChoiceColumn, DeclaredColumn, declared_columns
from jobs.mechanics.findings.codes import find_code
from jobs.models import Answer, CrownState, PullPlan, Stem
from jobs.models.stem import DiameterMethod, LeanMethod, Soundness
from jobs.plans.data import PlanData
from jobs.stems.species import find_species
from jobs.wording.felling import felling
from jobs.wording.finding import Area, Finding

UNIT_ENDINGS = ("_m_s", "_deg", "_m", "_n", "_ratio", "_kg")
SOUNDNESS = {"hinge_soundness": "hinge", "attachment_soundness": "attachment"}
NOT_ANSWERED = "Not answered: "
NO_EXPECTED = {"dead_or_dying": "dead-or-dying", "hung_up": "hung-up", "union_or_crack": "union-or-crack"}


def is_unanswered(value: object) -> bool:
    return value is None or value == "" or value == Answer.NOT_KNOWN


def without_unit(name: str) -> str:
    """A column's name without its unit: "gust_m_s" is gust."""
    return next((name.removesuffix(ending) for ending in UNIT_ENDINGS if name.endswith(ending)), name)


def unknown(name: str, words: str, area: Area) -> Finding:
    code = find_code("unknown")
    assert code is not None  # noqa: S101 - the one list of codes holds it
    return Finding(
        code="unknown",
        subject=without_unit(name),
        severity="refusal",
        area=area,
        title=f"{NOT_ANSWERED}{words}",
        text=f"The {words} is missing or not known.",
        cure=f"Measure or find out the {words}.",
        field=name,
        danger=code.danger,
    )


def refused(name: str, field: str, area: Area = "stem", *, about: str = "") -> Finding:
    """A refusal of a form check; `about` says which of several answers it is."""
    code = find_code(name)
    assert code is not None  # noqa: S101 - the one list of codes holds it
    return Finding(
        code=name,
        severity="refusal",
        area=area,
        title=felling(f"{code.title}: {about}" if about else code.title),
        text=felling(code.meaning),
        cure=felling(code.cure),
        field=field,
        danger=code.danger,
    )


def form_findings(plan_data: PlanData) -> tuple[Finding, ...]:
    """Every missing answer, and every answer that puts the stem outside what the figures cover."""
    return (*stem_findings(plan_data), *plan_findings(plan_data.plan))


def stem_findings(plan_data: PlanData) -> Iterator[Finding]:
    stem = plan_data.stem
    if is_unanswered(stem.species):
        yield unknown("species", "species", "stem")
    yield from unanswered(stem, "stem")
    if len(plan_data.sections) < 2:
        yield unknown("sections", "diameter at two heights or more", "stem")
    # An upright stem that may lean within the tolerance needs the direction it would lean in.
    if (stem.lean_deg or plan_data.plan.lean_tolerance_deg) and stem.lean_azimuth_deg is None:
        yield unknown("lean_azimuth_deg", "direction of the lean", "stem")
    yield from method_findings(stem)
    yield from soundness_findings(stem)
    yield from wood_findings(stem)
    if stem.crown in ("", CrownState.NOT_KNOWN) or (stem.crown == CrownState.CROWN and not plan_data.crown_parts):
        yield unknown("crown", "crown, or that there is none", "stem")


def unanswered(row: Stem | PullPlan, area: Area) -> Iterator[Finding]:
    """What the row needs and has no answer to."""
    for column in declared_columns(type(row)):
        if column.is_needed(row) and is_unanswered(getattr(row, column.name)):
            yield unknown(column.name, felling(missing_words(column)), area)


def missing_words(column: DeclaredColumn[Any, Any]) -> str:
    """What is missing where a column is not answered."""
    if column.asked_for:
        return column.asked_for
    is_question = isinstance(column, ChoiceColumn) and column.answers is Answer
    return f"answer to “{column.words}”" if is_question else column.words


def method_findings(stem: Stem) -> Iterator[Finding]:
    """Lean or hinge diameter judged by eye is not measured."""
    if stem.lean_method == LeanMethod.BY_EYE:
        yield refused("not-measured", "lean_method", about="lean")
    if stem.diameter_method == DiameterMethod.BY_EYE:
        yield refused("not-measured", "diameter_method", about="diameter at the hinge")


def soundness_findings(stem: Stem) -> Iterator[Finding]:
    for name, part in SOUNDNESS.items():
        if getattr(stem, name) == Soundness.UNSOUND:
            yield refused("decay", name, about=part)
    for name, code in NO_EXPECTED.items():
        if getattr(stem, name) == Answer.YES:
            yield refused(code, name)


def wood_findings(stem: Stem) -> Iterator[Finding]:
    """The species' figures that the plan rests on."""
    if is_unanswered(stem.species):
        return
    species = find_species(stem.species)
    if species is None:
        yield refused("no-density", "species")
        return
    if species.green_density_kg_m3 is None and stem.green_density_kg_m3 is None:
        yield refused("no-density", "species")
    for name in ("rupture_modulus_mean_pa", "elastic_modulus_mean_pa", "shear_strength_mean_pa"):
        if getattr(species, name) is None:
            words = name.removesuffix("_mean_pa").replace("_", " ")
            yield unknown(name, f"{words} of {species.common_name}", "stem")
    if species.split_prone is None and is_unanswered(stem.split_prone):
        yield unknown("split_prone", f"answer to whether {species.common_name} splits easily", "stem")


def plan_findings(plan: PullPlan) -> Iterator[Finding]:
    yield from unanswered(plan, "plan")
    if plan.frozen_wood == Answer.YES:
        yield refused("frozen-wood", "frozen_wood", "plan")
