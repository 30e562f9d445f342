"""The plan page: verdict, figures, findings, drawings and the load path of one plan, saved or still being typed."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from django.utils.html import format_html
from django.utils.safestring import SafeString

from crewlog.web.ui_rows import Figure, FindingRow, MarkKind
from jobs.mechanics.findings.codes import CODES
from jobs.plans import page_facts as facts
from jobs.plans.calculation import Outcome, plan_figures
from jobs.plans.data import PlanData, earlier_measurements
from jobs.plans.key_figures import key_figures
from jobs.plans.page_drawings import PlanDrawings, plan_drawings
from jobs.plans.page_explained import EfficiencyNote, Explained, efficiency_note, explained
from jobs.plans.page_findings import finding_row, groups_to_open, own_rows
from jobs.plans.page_rows import Fact, about_gear, anchor_is_in_fall_zone
from jobs.plans.presentation import TO_PLAN_BY, KeyFigure, WorkingGroup, chosen
from jobs.plans.quantities import plan_quantities
from jobs.plans.tackle_parts import part_rows
from jobs.plans.working_rows import working_groups
from jobs.sheets.check import PositionRow, position_rows
from jobs.sheets.page_path import PathGroup, path_groups
from jobs.sheets.path_rows import path_rows
from jobs.wording.counted import counted, sentence
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

PAGE_ONE_CAUTIONS = 5
PLAN_CHECKS = sum(1 for code in CODES if code.kind == "fail" and code.subject != "role")
VerdictKind = Literal["refused", "caution", "stands"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the slab says."""

    kind: VerdictKind
    words: str
    line: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDetails:
    """Parts of the page that only a plan that could be worked out has: drawings, facts and rows by section."""

    drawings: PlanDrawings
    side_facts: tuple[Fact, ...]
    window_facts: tuple[Fact, ...]
    part_rows: tuple[facts.PartLine, ...]
    backup_facts: tuple[Fact, ...]
    pull_title: str
    pull_working: tuple[facts.WorkingRow, ...]
    shares: tuple[facts.ShareRow, ...]
    tackle_title: str
    explained: Explained
    groups: tuple[WorkingGroup, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """Everything that changes while a plan is typed."""

    verdict: Verdict
    figures: tuple[Figure, ...]
    findings: tuple[FindingRow, ...]
    more_cautions: tuple[FindingRow, ...]
    gear_words: str
    gear_mark: MarkKind
    path: tuple[PathGroup, ...]
    worked: PlanDetails | None
    words: dict[str, str]
    open_groups: frozenset[str]
    anchor_note: str
    efficiency: EfficiencyNote | None = None
    can_keep: bool = False
    can_search: bool = False

    @property
    def shown(self) -> dict[str, SafeString]:
        """The values under each group's name, with an id so that they follow what is typed."""
        return {name: format_html('<span id="shown-{}">{}</span>', name, words) for name, words in self.words.items()}


def plan_page(plan_data: PlanData, outcome: Outcome) -> PlanPage:
    """Lay a worked plan out for its page. Figures are in the units of the job's company."""
    write = UnitFormatter(plan_data.job.company.unit_system)
    own = tuple(f for f in outcome.refusals if not about_gear(f))
    gear = tuple(f for f in outcome.refusals if about_gear(f))
    shown_cautions = [finding_row(f, plan_data.stem) for f in outcome.cautions]
    rows = own_rows(own, plan_data.stem) + shown_cautions[:PAGE_ONE_CAUTIONS]
    positions = position_rows(plan_data, outcome, outcome.findings)
    holding = holding_row(own, plan_data, outcome, write)
    if holding is not None:
        rows.append(holding)
    return PlanPage(
        verdict=verdict_of(own, gear, outcome),
        figures=figure_strip(key_figures(plan_data, outcome), own, write),
        findings=tuple(rows),
        more_cautions=tuple(shown_cautions[PAGE_ONE_CAUTIONS:]),
        gear_words=gear_words(positions, len(gear)),
        gear_mark="refused" if gear else ("ok" if is_any_filled(positions) else "open"),
        path=path_groups(path_rows(positions), write),
        worked=plan_details_of(plan_data, outcome, write),
        words=facts.summaries(plan_data, write),
        open_groups=groups_to_open(own) | ({"line"} if anchor_is_in_fall_zone(plan_data) else set()),
        anchor_note=anchor_note(plan_data, write),
        efficiency=efficiency_note(plan_data, earlier_measurements(plan_data)),
        can_keep=outcome.plan_input is not None,
        can_search=outcome.result is not None and bool(own),
    )


def is_any_filled(positions: Iterable[PositionRow]) -> bool:
    return any(row.is_filled for row in positions)


def gear_words(positions: Iterable[PositionRow], refused: int) -> str:
    """What the plan page says of its load path; of an empty one nothing can be said to pass."""
    if refused:
        return f"Load path: {counted(refused, 'position')} refused"
    return "Load path: nothing refused" if is_any_filled(positions) else "Load path: no gear assigned yet"


def verdict_of(own: tuple[Finding, ...], gear: tuple[Finding, ...], outcome: Outcome) -> Verdict:
    unanswered = [f for f in own if f.code == "unknown"]
    if own and len(unanswered) == len(own):
        words = f"Not worked out: {counted(len(own), 'answer')} missing"
        return Verdict("refused", words, "The open answers are below, by part of the form.")
    if own:
        first = own[0].title
        words = (
            f"Refused: {first[:1].lower()}{first[1:]}" if len(own) == 1 else f"Refused: {counted(len(own), 'finding')}"
        )
        others = f" {sentence(counted(len(outcome.cautions), 'caution'))}." if outcome.cautions else ""
        return Verdict("refused", words, f"No sheet can be issued from this plan; the cures are below.{others}")
    if gear:
        return Verdict(
            "caution",
            f"The plan itself holds; {counted(len(gear), 'refusal')} on the load path",
            "The pull meets every limit. Assign what is missing or refused before you issue a sheet.",
        )
    if outcome.cautions:
        return Verdict(
            "caution",
            f"Holds, with {counted(len(outcome.cautions), 'caution')}",
            f"All {PLAN_CHECKS} limits are met. {sentence(counted(len(outcome.cautions), 'caution'))} below.",
        )
    return Verdict("stands", f"All {PLAN_CHECKS} limits are met", "See the working for every figure and its source.")


def figure_strip(figures: Iterable[KeyFigure], refusals: Iterable[Finding], write: UnitFormatter) -> tuple[Figure, ...]:
    """The numbers one plans by, in the reader's units; one that a refusal speaks against is marked."""
    codes = {finding.code for finding in refusals}
    strip = []
    for figure in chosen(figures, TO_PLAN_BY):
        printed = write.printed(figure.value)
        is_wrong = bool(codes & figure.refused_by)
        strip.append(Figure(figure.label, printed.number, printed.unit, write.text(figure.note), is_wrong))
    return tuple(strip)


def holding_row(
    own: tuple[Finding, ...], plan_data: PlanData, outcome: Outcome, write: UnitFormatter
) -> FindingRow | None:
    """How many limits hold, with those that come nearest; None for a plan that could not be worked out."""
    result, envelope = outcome.result, outcome.envelope
    if result is None or result.working is None or envelope is None:
        return None
    failing = len({finding.full_code for finding in own})
    quantities = plan_quantities(plan_data, result, envelope)
    return FindingRow(
        "ok",
        f"{max(0, PLAN_CHECKS - failing)} of {PLAN_CHECKS} limits are met",
        facts.holding_words(result, result.working, quantities=quantities, write=write),
    )


def plan_details_of(plan_data: PlanData, outcome: Outcome, write: UnitFormatter) -> PlanDetails | None:
    result, envelope = outcome.result, outcome.envelope
    figures, said = plan_figures(outcome), explained(plan_data, outcome, write)
    if result is None or result.working is None or envelope is None or figures is None or said is None:
        return None
    working, quantities = result.working, plan_quantities(plan_data, result, envelope)
    return PlanDetails(
        drawings=plan_drawings(figures, write),
        side_facts=facts.side_facts(plan_data, working, write),
        window_facts=facts.window_facts(working, write) + facts.envelope_facts(outcome, quantities, write),
        part_rows=facts.part_lines(part_rows(result), write),
        backup_facts=facts.backup_facts(result, working, plan_data, quantities=quantities, write=write),
        pull_title=f"How {write.text(quantities.design_stem)} comes about",
        pull_working=facts.pull_working(working, plan_data, quantities=quantities, write=write),
        shares=facts.share_rows(result),
        tackle_title=f"Tackle, {working.plan.stages[0].parts} to 1",
        explained=said,
        groups=working_groups(result),
    )


def anchor_note(plan_data: PlanData, write: UnitFormatter) -> str:
    """Said at the anchor's box when the falling stem could reach it."""
    if not anchor_is_in_fall_zone(plan_data):
        return ""
    distance = plan_data.plan.anchor_distance_m
    return (
        f"The anchor at {write.length(distance or 0.0)} lies within the tree's height: "
        "in the fall zone the stem can fall on the tackle and on whoever works there."
    )
