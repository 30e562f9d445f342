"""Working out a plan: form checks, the envelope, the design result, and its findings in words."""

from dataclasses import dataclass
from typing import Any

from jobs.band_rules import band_findings
from jobs.bundle import Bundle
from jobs.drawing.figures import PlanFigures
from jobs.envelope import Corner, Envelope, Request, corner_of, work_envelope
from jobs.finding import Finding, cautions, refusals
from jobs.form_checks import form_findings
from jobs.mechanics import MECHANICS_VERSION
from jobs.mechanics.convert import FormatError, from_json, to_json
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.topics import TOPICS
from jobs.plan_findings import corner_findings, format_finding
from jobs.plan_request import plan_request
from jobs.unit_formatter import UnitFormatter

CHART_STEPS = 36


def chart_angles(request: Request) -> list[float]:
    """Angles of the chart [deg]: from upright until the notch closes."""
    end_deg = min(90.0, request["hinge"]["notch_opening_deg"])
    return [end_deg * step / CHART_STEPS for step in range(CHART_STEPS + 1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What working out a bundle gave. `request` and `result` are those of the governing corner."""

    findings: tuple[Finding, ...]
    request: Request | None = None
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

    def results_json(self) -> dict[str, Any]:
        """The result as JSON values; empty where there is none."""
        return dict(to_json(self.result)) if self.result is not None else {}


def calculate(bundle: Bundle) -> Outcome:
    """Work a bundle out at its worst corner. Never raises for what a person typed: that becomes a finding."""
    missing = form_findings(bundle)
    if missing:
        return Outcome(findings=missing)
    request = plan_request(bundle, with_uncertainty=False)
    try:
        envelope = work_envelope(request, bundle.plan)
        design, *other_tails = design_corners(bundle, envelope)
    except (FormatError, OutOfRange) as error:
        return Outcome(findings=(format_finding(error),), request=request)
    reader = UnitFormatter(bundle.job.company.unit_system)
    found = {f.full_code: f for f in band_findings(envelope, reader)}
    found |= {f.full_code: f for f in corner_findings((design, *other_tails, *envelope.corners), bundle, reader)}
    if design.changes:  # what already holds of the plan as written says so, with its own figures
        as_written = corner_findings((envelope.nominal,), bundle, reader)
        found |= {f.full_code: f for f in as_written if f.area != "gear"}
    return Outcome(findings=tuple(found.values()), request=design.request, result=design.result, envelope=envelope)


def design_corners(bundle: Bundle, envelope: Envelope) -> list[Corner]:
    """The governing corner worked again with the study of how closely its inputs are known.

    It is followed by those that differ from it by people on the tail alone: they need the same tension, and the
    study may ask for more hands than are left.
    """
    governing = envelope.governing
    if governing.result is None:
        return [governing]
    with_study = plan_request(bundle)["uncertainty"]
    alike = [c for c in envelope.corners if c is not governing and same_but_tail(c, governing)]
    return [corner_of(corner.request | {"uncertainty": with_study}, corner.changes) for corner in (governing, *alike)]


def same_but_tail(corner: Corner, other: Corner) -> bool:
    return corner.request | {"people": 0} == other.request | {"people": 0}


def topic_results(topic: str, inputs: dict[str, Any]) -> dict[str, Any]:
    """Results of another topic for inputs that a plan was worked from."""
    spec = TOPICS[topic]
    return dict(to_json(spec.run(from_json(spec.inputs, inputs, "inputs"))))


def plan_figures(outcome: Outcome) -> PlanFigures | None:
    """What the drawings read: the plan as written, with the loads and the band that every corner allows."""
    request, result, envelope = outcome.request, outcome.result, outcome.envelope
    if request is None or result is None or envelope is None:
        return None
    band = {"lowest_tension_n": envelope.lowest_tension_n, "highest_tension_n": envelope.highest_tension_n}
    aim = {"recommended_tension_n": envelope.aim_tension_n}
    nominal = envelope.nominal.request
    drawn = {key: nominal[key] for key in ("tree", "hinge", "line", "wind")}
    worked = {key: request[key] for key in ("tree", "hinge", "line", "wind")}
    return PlanFigures(
        inputs=nominal,
        results=outcome.results_json() | band,
        stem=topic_results("stem", nominal["tree"]),
        line=topic_results("line", {key: drawn[key] for key in ("tree", "line", "hinge")}),
        window=topic_results("window", worked | {"options": request.get("window", {})}) | band | aim,
        tackle=topic_results("tackle", {"stages": request["stages"], "load_n": result.tackle_tension_n}),
        pull=topic_results("pull", worked | {"table_angles_deg": chart_angles(request)}),
    )
