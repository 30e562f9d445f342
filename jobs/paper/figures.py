"""The figures a crew needs: five in large type, the envelope, and the plan's figures with their margins."""

from jobs.checking import SheetCheck
from jobs.mechanics import defaults
from jobs.mechanics.plan_result import PlanResult
from jobs.models.plan import Gauge, PullPlan
from jobs.plan_findings import tolerance_words
from jobs.plans.tolerances import Envelope
from jobs.reader import Reader
from jobs.sheets.content import KeyFigure, PlanFigure

GAUGE_WORDS = {
    Gauge.NONE: "no gauge: one person, feet planted",
    Gauge.IN_LINE: "read on the load cell in the line",
    Gauge.HAULING_PART: "read on the hauling part",
}


def split_unit(text: str) -> tuple[str, str]:
    """A printed quantity as its number and its unit."""
    number, _, unit = text.rpartition("\u00a0")
    return (number, unit) if number else (text, "")


def key_figure(label: str, text: str, note: str, *, stop: bool = False) -> KeyFigure:
    number, unit = split_unit(text)
    return KeyFigure(label=label, number=number, unit=unit, note=note, stop=stop)


def key_figures(check: SheetCheck, result: PlanResult, envelope: Envelope, reader: Reader) -> tuple[KeyFigure, ...]:
    """Stop figure, people on the tail, pre-tension band, when the full pull may come on, and the wind stop."""
    plan = check.bundle.plan
    low_n, high_n = band_on_gauge(result, envelope)
    where = "at the stem" if plan.tension_gauge == Gauge.NONE else "on the gauge"
    full = (
        "only after the back cut is finished and the cutter is clear"
        if result.full_pull_only_after_hinge
        else ("after the go “cutter clear, full pull”")
    )
    return (
        key_figure(
            "Stop: no more until the cutter is clear",
            reader.force_limit(high_n),
            f"{where}; above it the stem can split",
            stop=True,
        ),
        key_figure(
            "On the tail",
            f"{plan.haulers}\u00a0people",
            f"{reader.hand(result.crew_hauling_force_n)} between them; {result.people_needed or 'over 12'} needed",
        ),
        key_figure("Pre-tension", band_words(low_n, high_n, reader), GAUGE_WORDS[Gauge(plan.tension_gauge)]),
        key_figure("Full pull", reader.force(result.tackle_tension_n), full),
        key_figure("Wind stop", reader.wind(wind_stop(check)), f"worked for gusts of {reader.wind(worked_gust(plan))}"),
    )


def band_words(low_n: float, high_n: float, reader: Reader) -> str:
    """A band as one figure: "0.41–2.69 kN"."""
    low, low_unit = split_unit(reader.force(low_n))
    high = reader.force_limit(high_n)
    return f"{low}–{high}" if high.endswith(low_unit) else f"{low}\u00a0{low_unit} to {high}"


def worked_gust(plan: PullPlan) -> float:
    return (plan.gust_m_s or 0.0) + plan.gust_tolerance_m_s


def wind_stop(check: SheetCheck) -> float:
    """Work stops at the gust the plan was worked for, and never later than the company's own limit."""
    return min(worked_gust(check.bundle.plan), check.bundle.job.company.wind_stop_m_s)


def band_on_gauge(result: PlanResult, envelope: Envelope) -> tuple[float, float]:
    """The pre-tension band where it is read: on the gauge in its own place, or at the stem."""
    if result.gauge_band_n is None:
        return envelope.lowest_tension_n, envelope.highest_tension_n
    bands = [r.gauge_band_n for r in envelope.results() if r.gauge_band_n is not None]
    return max(b.lowest for b in bands), min(b.highest for b in bands)


def envelope_words(check: SheetCheck, reader: Reader) -> tuple[str, ...]:
    """What the sheet stands while: outside it, stop, make it safe to leave, and plan again."""
    plan, stem = check.bundle.plan, check.bundle.stem
    attach, anchor = plan.attach_height_m or 0.0, plan.anchor_distance_m or 0.0
    lean, haulers = stem.lean_deg or 0.0, plan.haulers or 0
    spread = plan.hauler_tolerance
    people = f"{haulers}" if not spread else f"{max(1, haulers - spread)} to {min(12, haulers + spread)}"
    return (
        f"Line on the stem at {span(attach, plan.attach_tolerance_m, reader)}.",
        f"Anchor {span(anchor, plan.anchor_tolerance_m, reader)} from the stump, "
        f"on bearing {plan.anchor_azimuth_deg:03.0f}°.",
        f"Gusts no stronger than {reader.wind(worked_gust(plan))}.",
        f"Lean {angle_span(lean, plan.lean_tolerance_deg, reader)}.",
        f"{people} people on the tail.",
        f"Hinge no thicker than {reader.diameter(plan.hinge_thickness_m or 0.0)}, lay {plan.lay_azimuth_deg:03.0f}°.",
    )


def span(value: float, tolerance: float, reader: Reader) -> str:
    if not tolerance:
        return reader.length(value)
    return f"{reader.length(value - tolerance)} to {reader.length(value + tolerance)}"


def angle_span(value: float, tolerance: float, reader: Reader) -> str:
    if not tolerance:
        return reader.angle(value)
    return f"{reader.angle(max(0.0, value - tolerance))} to {reader.angle(value + tolerance)}"


def plan_figures(result: PlanResult, envelope: Envelope, reader: Reader) -> tuple[PlanFigure, ...]:
    """Figures of the plan with the margin or factor in each."""
    worst = tolerance_words(envelope.governing.changes, reader)
    rows = [
        PlanFigure(label="Worked at", value=worst or "the figures as written", note="worst corner of the tolerances"),
        PlanFigure(
            label="Tension needed at the stem",
            value=reader.force(result.required_tension_n),
            margin=f"{defaults.ADVERSE_FACTOR:g} on what holds it back",
        ),
        PlanFigure(
            label="Design tension at the stem",
            value=reader.force(result.stem_tension_n),
            note=study_words(result, reader),
        ),
        PlanFigure(label="Design tension at the tackle", value=reader.force(result.tackle_tension_n)),
        PlanFigure(label="At the hands for it", value=reader.hand(result.hauling_force_n)),
        PlanFigure(
            label="The crew's task, at the stem",
            value=reader.force(result.crew_tension_n),
            margin=f"{reader.hand(result.crew_hauling_force_n)} at the hands",
        ),
        PlanFigure(label="Pre-tension, least", value=reader.force(envelope.lowest_tension_n)),
        PlanFigure(label="Pre-tension, most", value=reader.force_limit(envelope.highest_tension_n)),
        PlanFigure(label="What the crew could put on", value=reader.force(result.overhaul_tension_n)),
        PlanFigure(
            label="Proof pull",
            value=reader.force(result.proof_tension_n),
            note=f"limit {reader.force_limit(result.proof_tension_limit_n)}; hold one minute",
        ),
        PlanFigure(label="Back lean", value=reader.angle(result.back_lean_deg)),
        PlanFigure(label="Side lean", value=reader.angle(result.side_lean_deg)),
        PlanFigure(
            label="May go by itself from",
            value=reader.angle(result.balance_angle_deg),
            note=f"travel {reader.length(result.balance_travel_m)}",
        ),
        PlanFigure(label="Pull on at most to", value=self_falling_words(result, reader)),
    ]
    return tuple(rows)


def self_falling_words(result: PlanResult, reader: Reader) -> str:
    if result.self_falling_angle_deg is None:
        return "until the notch closes"
    return f"{reader.angle(result.self_falling_angle_deg)}, travel {reader.length(result.tip_travel_m)}"


def study_words(result: PlanResult, reader: Reader) -> str:
    if result.uncertainty is None:
        return ""
    p95_n = result.uncertainty.required_tension_p95_n
    return f"95 in 100 cases of the measuring spread need less than {reader.force(p95_n)}"
