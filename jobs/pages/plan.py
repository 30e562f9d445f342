"""The plan page: verdict, figures, findings, drawings and the load path of one plan, saved or still being typed."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from django.utils.html import format_html
from django.utils.safestring import SafeString

from crewlog.parts import Figure, FindingRow, MarkKind
from jobs.bundle import Bundle, earlier_measurements
from jobs.calculation import Outcome, plan_figures
from jobs.checking import PositionRow, position_rows
from jobs.finding import Finding
from jobs.mechanics.codes import CODES
from jobs.mechanics.crew import group_factor
from jobs.mechanics.plan_result import PlanResult, PlanWorking
from jobs.pages import plan_facts as facts
from jobs.pages.explained import EfficiencyNote, Explained, efficiency_note, explained
from jobs.pages.findings import finding_row, groups_to_open
from jobs.pages.path import PathGroup, path_groups
from jobs.pages.plan_drawings import PlanDrawings, plan_drawings
from jobs.pages.rows import Fact, about_gear, anchor_is_in_fall_zone, counted, number_unit, sentence
from jobs.paper.working_groups import working_groups
from jobs.reader import Reader
from jobs.sheets.content import WorkingGroup

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
class Worked:
    """What only a plan that could be worked out has."""

    drawings: PlanDrawings
    side_facts: tuple[Fact, ...]
    window_facts: tuple[Fact, ...]
    part_rows: tuple[facts.PartRow, ...]
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
    worked: Worked | None
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


def plan_page(bundle: Bundle, outcome: Outcome) -> PlanPage:
    """Lay a worked plan out for its page. Figures are in the units of the job's company."""
    reader = Reader(bundle.job.company.unit_system)
    own = tuple(f for f in outcome.refusals if not about_gear(f))
    gear = tuple(f for f in outcome.refusals if about_gear(f))
    shown_cautions = [finding_row(f, bundle.stem) for f in outcome.cautions]
    rows = [finding_row(f, bundle.stem) for f in own] + shown_cautions[:PAGE_ONE_CAUTIONS]
    positions = position_rows(bundle, outcome, outcome.findings)
    result = outcome.result
    if result is not None and result.working is not None:
        rows.append(holding_row(own, result, result.working, reader))
    return PlanPage(
        verdict=verdict_of(own, gear, outcome),
        figures=key_figures(outcome, own, bundle, reader),
        findings=tuple(rows),
        more_cautions=tuple(shown_cautions[PAGE_ONE_CAUTIONS:]),
        gear_words=gear_words(positions, len(gear)),
        gear_mark="refused" if gear else ("ok" if is_any_filled(positions) else "open"),
        path=path_groups(positions, reader),
        worked=worked_of(bundle, outcome, reader),
        words=facts.summaries(bundle, reader),
        open_groups=groups_to_open(own) | ({"line"} if anchor_is_in_fall_zone(bundle) else set()),
        anchor_note=anchor_note(bundle, reader),
        efficiency=efficiency_note(bundle, earlier_measurements(bundle)),
        can_keep=outcome.plan_input is not None,
        can_search=result is not None and bool(own),
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
        return Verdict("refused", words, "Nothing is assumed in their place. Each is below with the box it belongs in.")
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
            f"The plan holds, {counted(len(gear), 'refusal')} on the load path",
            "The pull itself is within every limit. Hang what is missing or refused before a sheet is issued.",
        )
    if outcome.cautions:
        return Verdict(
            "caution",
            f"Holds, with {counted(len(outcome.cautions), 'caution')}",
            "Within every limit the plan is held against. The cautions are below, the gravest first.",
        )
    return Verdict("stands", "Holds against every limit", "What it is held against stands with every figure's source.")


def key_figures(outcome: Outcome, own: Iterable[Finding], bundle: Bundle, reader: Reader) -> tuple[Figure, ...]:
    """The five numbers one came for; the span of the pre-tension is the one that every corner allows."""
    result, envelope = outcome.result, outcome.envelope
    if result is None or envelope is None:
        return ()
    codes = {finding.code for finding in own}
    people = bundle.plan.haulers or 1
    held = (
        group_factor(people) * 250.0
        if result.working is None
        else group_factor(people) * result.working.plan.sustained_force_n
    )
    in_line = number_unit(reader.force(result.stem_tension_n))
    hand = number_unit(reader.hand(result.crew_hauling_force_n))
    aim = envelope.aim_tension_n
    aimed = number_unit(reader.aim(aim)) if aim is not None else None
    span = f"from {reader.force(envelope.lowest_tension_n)} to {reader.force_limit(envelope.highest_tension_n)}"
    proof = number_unit(reader.force(result.proof_tension_n))
    figures = [
        Figure("Needed in the line", in_line.number, in_line.unit, "at the stem, margins in it", "stem-bends" in codes),
        Figure(
            "At the hand",
            hand.number,
            hand.unit,
            f"{counted(people, 'person', 'people')} {'keeps' if people == 1 else 'keep'} up {reader.hand_limit(held)}",
            bool(codes & {"too-few-people"}),
        ),
        Figure(
            "Pre-tension",
            aimed.number if aimed else "none",
            aimed.unit if aimed else "",
            span if aimed else "no pre-tension is enough and within the wood",
            bool(codes & {"window-empty", "gauge-band-empty", "pre-tension-needs-gauge"}),
        ),
        Figure(
            "Proof pull",
            proof.number,
            proof.unit,
            f"one minute, at most {reader.force_limit(result.proof_tension_limit_n)}",
            "proof-pull-too-high" in codes,
        ),
    ]
    if result.travel is not None:
        figures.append(
            Figure(
                "Resets",
                str(result.travel.stages[0].resets),
                "",
                f"haul {reader.length(result.travel.total_haul_m)} in all",
            )
        )
    else:
        figures.append(Figure("Resets", "open", "", "hang the main line to know"))
    return tuple(figures)


def holding_row(own: tuple[Finding, ...], result: PlanResult, working: PlanWorking, reader: Reader) -> FindingRow:
    failing = len({finding.full_code for finding in own})
    return FindingRow(
        "ok",
        sentence(f"{counted(max(0, PLAN_CHECKS - failing), 'limit')} of {PLAN_CHECKS} hold"),
        facts.holding_words(result, working, reader),
    )


def worked_of(bundle: Bundle, outcome: Outcome, reader: Reader) -> Worked | None:
    result, figures, said = outcome.result, plan_figures(outcome), explained(bundle, outcome, reader)
    if result is None or result.working is None or figures is None or said is None:
        return None
    working = result.working
    parts = working.plan.stages[0].parts
    return Worked(
        drawings=plan_drawings(figures, reader),
        side_facts=facts.side_facts(bundle, working, reader),
        window_facts=facts.window_facts(working, reader) + facts.envelope_facts(outcome, reader),
        part_rows=facts.part_rows(working, reader),
        backup_facts=facts.backup_facts(result, working, bundle, reader),
        pull_title=f"How {reader.force(result.stem_tension_n)} comes about",
        pull_working=facts.pull_working(result, working, bundle, reader),
        shares=facts.share_rows(result),
        tackle_title=f"Tackle, {parts} to 1",
        explained=said,
        groups=working_groups(result),
    )


def anchor_note(bundle: Bundle, reader: Reader) -> str:
    """Said at the anchor's box when the falling stem could reach it."""
    if not anchor_is_in_fall_zone(bundle):
        return ""
    distance = bundle.plan.anchor_distance_m
    return (
        f"The anchor at {reader.length(distance or 0.0)} lies within the tree's height: "
        "the stem can fall on the tackle, and whoever works there stands in the fall zone."
    )
