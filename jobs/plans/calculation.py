"""Working out a plan: form checks, the envelope, the design result, and its findings in words."""

from dataclasses import dataclass, replace

from jobs.drawing.figures import PlanFigures
from jobs.mechanics import MECHANICS_VERSION
from jobs.mechanics.convert import FormatError
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.pull import Margins, pull_of, scan_of
from jobs.plans.completeness import form_findings
from jobs.plans.data import PlanData
from jobs.plans.findings import corner_findings, format_finding
from jobs.plans.pretension_band import band_findings
from jobs.plans.to_mechanics import to_plan_input, uncertainty
from jobs.plans.tolerances import Corner, Envelope, corner_of, work_envelope
from jobs.wording.finding import Finding, cautions, refusals
from jobs.wording.unit_formatter import UnitFormatter

CHART_STEPS = 36


def chart_angles(notch_opening_deg: float) -> tuple[float, ...]:
    """Angles of the chart [deg]: from upright until the notch closes."""
    end_deg = min(90.0, notch_opening_deg)
    return tuple(end_deg * step / CHART_STEPS for step in range(CHART_STEPS + 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What working out a plan gave. `plan_input` and `result` are those of the governing corner.

    `plan_input` is None where answers are open or cannot be used, `result` also where the mechanics refuses.
    """

    findings: tuple[Finding, ...]
    plan_input: PlanInput | None = None
    result: PlanResult | None = None
    envelope: Envelope | None = None
    mechanics_version: str = MECHANICS_VERSION

    @property
    def refusals(self) -> tuple[Finding, ...]:
        return refusals(self.findings)

    @property
    def cautions(self) -> tuple[Finding, ...]:
        return cautions(self.findings)

    @property
    def passes(self) -> bool:
        return self.result is not None and not self.refusals


def calculate(plan_data: PlanData) -> Outcome:
    """Work a plan out at its worst corner. Never raises for what a person typed: that becomes a finding."""
    missing = form_findings(plan_data)
    if missing:
        return Outcome(findings=missing)
    asked: PlanInput | None = None
    try:
        asked = to_plan_input(plan_data, with_uncertainty=False)
        envelope = work_envelope(asked, plan_data.plan)
        design, *other_tails = design_corners(plan_data, envelope)
    except (FormatError, OutOfRange) as error:
        return Outcome(findings=(format_finding(error),), plan_input=asked)
    write = UnitFormatter(plan_data.job.company.unit_system)
    found = {f.full_code: f for f in band_findings(envelope, write)}
    found |= {f.full_code: f for f in corner_findings((design, *other_tails, *envelope.corners), plan_data, write)}
    if design.changes:  # what already holds of the plan as written says so, with its own figures
        as_written = corner_findings((envelope.nominal,), plan_data, write)
        found |= {f.full_code: f for f in as_written if f.area != "gear"}
    return Outcome(
        findings=tuple(found.values()), plan_input=design.plan_input, result=design.result, envelope=envelope
    )


def design_corners(plan_data: PlanData, envelope: Envelope) -> list[Corner]:
    """The governing corner worked again with the study of how closely its inputs are known.

    It is followed by those that differ from it by people on the tail alone: they need the same tension, and the
    study may ask for more hands than are left.
    """
    governing = envelope.governing
    if governing.result is None:
        return [governing]
    study = uncertainty(plan_data)
    alike = [c for c in envelope.corners if c is not governing and same_but_tail(c, governing)]
    return [corner_of(replace(corner.plan_input, uncertainty=study), corner.changes) for corner in (governing, *alike)]


def same_but_tail(corner: Corner, other: Corner) -> bool:
    return replace(corner.plan_input, people=1) == replace(other.plan_input, people=1)


def plan_figures(outcome: Outcome) -> PlanFigures | None:
    """What the drawings read: the plan as written, with the loads and the band that every corner allows."""
    result, envelope = outcome.result, outcome.envelope
    as_written = envelope.nominal.result if envelope is not None else None
    if result is None or result.working is None or envelope is None or as_written is None or as_written.working is None:
        return None
    low_n, high_n = envelope.lowest_tension_n, envelope.highest_tension_n
    worked, drawn = result.working, as_written.working.situation
    angles_deg = chart_angles(worked.plan.hinge.notch_opening_deg)
    return PlanFigures(
        inputs=as_written.working.plan,
        results=replace(result, lowest_tension_n=low_n, highest_tension_n=high_n),
        stem=drawn.stem,
        line=drawn.geometry,
        window=replace(
            worked.window,
            lowest_tension_n=low_n,
            highest_tension_n=high_n,
            recommended_tension_n=envelope.aim_tension_n,
        ),
        tackle=worked.tackle,
        pull=pull_of(scan_of(worked.situation), Margins(), angles_deg),
    )
