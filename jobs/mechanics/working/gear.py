"""Working of the rig: line, tackle, crew, travel, side line, and what each role carries."""

from __future__ import annotations

from jobs.mechanics.crew import group_factor
from jobs.mechanics.defaults import SIDE_LINE_FACTOR
from jobs.mechanics.plan.result import PlanResult, PlanWorking
from jobs.mechanics.ratings import capacity
from jobs.mechanics.roles import find_role, role_title
from jobs.mechanics.tackle import rule_of_thumb_advantage
from jobs.mechanics.travel import RopeStretch, TravelResult
from jobs.mechanics.working.line import WorkingLine, working_line

TACKLE, CREW, TRAVEL, SIDE, PATH = "Line and tackle", "Crew", "Travel", "Side line", "Load path"


def rig_lines(result: PlanResult, work: PlanWorking) -> tuple[WorkingLine, ...]:
    """Line, tackle and crew."""
    return (*_tackle_lines(result, work), *_crew_lines(result, work), *_limit_lines(result, work))


def _tackle_lines(result: PlanResult, work: PlanWorking) -> list[WorkingLine]:
    efficiency = work.situation.geometry.line_efficiency
    lines = [
        working_line(
            TACKLE,
            "Tension at the tackle",
            "T_tackle = T_stem / eta_line",
            symbol_name="T_tackle",
            result=result.tackle_tension_n,
            unit="N",
            source="ROPE-02",
            terms=[("T_stem", result.stem_tension_n, "N"), ("eta_line", efficiency, "1")],
        )
    ]
    for number, (stage, figures) in enumerate(zip(work.stages, work.tackle.stages, strict=True), start=1):
        given = stage.sheave_efficiency
        ratios = given if isinstance(given, tuple) else (given,)
        lines.append(
            working_line(
                TACKLE,
                f"Hauling advantage of stage {number}",
                "MA = sum of the bearing parts per unit of the hand, each sheave passing on eta",
                symbol_name=f"MA_{number}",
                result=figures.hauling_advantage,
                unit="1",
                source="TACKLE-01",
                terms=[
                    ("n", float(figures.ideal_advantage), "1"),
                    ("sheaves", float(figures.sheave_count), "1"),
                    *(("eta", ratio, "1") for ratio in ratios),
                    ("rule of thumb", rule_of_thumb_advantage(figures.ideal_advantage, figures.sheave_count), "1"),
                ],
                default_names={"sheave_efficiency": ratios[0]} if len(ratios) == 1 else None,
            )
        )
    lines.append(
        working_line(
            TACKLE,
            "Force on the tail for the gear's figure",
            "hand = T_tackle / MA",
            symbol_name="hand",
            result=result.hauling_force_n,
            unit="N",
            source="TACKLE-01",
            terms=[("T_tackle", result.tackle_tension_n, "N"), ("MA", work.tackle.hauling_advantage, "1")],
        )
    )
    return lines


def _crew_lines(result: PlanResult, work: PlanWorking) -> list[WorkingLine]:
    plan, best = work.plan, work.crew.best_advantage
    efficiency = work.situation.geometry.line_efficiency
    people = float(plan.people)
    return [
        working_line(
            CREW,
            "Force on the tail for the crew's task",
            "hand_crew = T_crew / (eta_line MA)",
            symbol_name="hand_crew",
            result=result.crew_hauling_force_n,
            unit="N",
            source="PANEL-01",
            terms=[
                ("T_crew", result.crew_tension_n, "N"),
                ("eta_line", efficiency, "1"),
                ("MA", work.tackle.hauling_advantage, "1"),
            ],
        ),
        working_line(
            CREW,
            "What the haulers keep up on the tail",
            "c(n) f, c(n) = n max(0.7, 1 - 0.05 (n - 1))",
            symbol_name="c f",
            result=work.kept_up_n,
            unit="N",
            source="MEMORY-01",
            terms=[("n", people, "1"), ("c(n)", group_factor(plan.people), "1"), ("f", plan.sustained_force_n, "N")],
            default_names={"sustained_force": plan.sustained_force_n},
        ),
        working_line(
            CREW,
            "What the haulers at full strength could put on the tackle",
            "T_over = n f_peak MA_hi",
            symbol_name="T_over",
            result=result.overhaul_tension_n,
            unit="N",
            source="MEMORY-01",
            terms=[("n", people, "1"), ("f_peak", plan.peak_force_n, "N"), ("MA_hi", best, "1")],
            default_names={
                "peak_force": plan.peak_force_n,
                "best_sheave_efficiency": plan.best_sheave_efficiency,
            },
        ),
        working_line(
            CREW,
            "What one person with feet planted puts on the stem",
            "T_steady = f_steady MA_hi eta_line",
            symbol_name="T_steady",
            result=result.steady_tension_n,
            unit="N",
            source="PANEL-01",
            terms=[("f_steady", plan.steady_force_n, "N"), ("MA_hi", best, "1"), ("eta_line", efficiency, "1")],
            default_names={"steady_force": plan.steady_force_n},
        ),
    ]


def _limit_lines(result: PlanResult, work: PlanWorking) -> list[WorkingLine]:
    section, options = work.situation.section, work.plan.window
    low = section.rupture_modulus_low_pa
    return [
        working_line(
            "Limits of the stem",
            "Tension at the stem that bends it below the rope to its limit",
            "T_bend,stem = least over the height of a_b MOR_low pi d³ / (32 cos(alpha) (h_attach - h)), d under bark",
            symbol_name="T_bend,stem",
            result=result.stem_bending_limit_n,
            unit="N",
            source="BEAM-01",
            terms=[("a_b", options.bending_fraction, "1"), ("MOR_low", low, "Pa")],
            default_names={"bending_fraction": options.bending_fraction},
        ),
        working_line(
            "Limits of the stem",
            "Greatest proof pull at the tackle",
            "T_proof,limit = lesser of T_bend,stem and the uncut stem's bound at the hinge, over eta_line",
            symbol_name="T_proof,limit",
            result=result.proof_tension_limit_n,
            unit="N",
            source="BEAM-01",
            terms=[
                ("T_bend,stem", result.stem_bending_limit_n, "N"),
                ("eta_line", work.situation.geometry.line_efficiency, "1"),
            ],
        ),
    ]


def travel_lines(result: PlanResult, work: PlanWorking) -> tuple[WorkingLine, ...]:
    """Stretch, travel and resets; none where the plan does not ask for travel."""
    asked, travel = work.plan.travel, result.travel
    if asked is None or travel is None:
        return ()
    taken_in = working_line(
        TRAVEL,
        "Line to take in",
        "travel = slack + stretch + tip travel",
        symbol_name="travel",
        result=travel.total_travel_m,
        unit="m",
        source="TACKLE-02",
        terms=[
            ("slack", asked.slack_m, "m"),
            ("stretch", travel.stretch_m, "m"),
            ("tip travel", result.tip_travel_m, "m"),
        ],
    )
    length_m = work.situation.geometry.total_length_m
    stretch = _stretch(asked.rope, travel, length_m=length_m, tension_n=result.tackle_tension_n)
    return (stretch, taken_in, *_resets(work, travel))


def _stretch(rope: RopeStretch, travel: TravelResult, *, length_m: float, tension_n: float) -> WorkingLine:
    return working_line(
        TRAVEL,
        "Stretch of the line",
        "stretch = L e_ref (T / (f_ref MBS))^m",
        symbol_name="stretch",
        result=travel.stretch_m,
        unit="m",
        source="ROPE-03",
        terms=[
            ("L", length_m, "m"),
            ("e_ref", rope.reference_elongation_ratio, "1"),
            ("T", tension_n, "N"),
            ("f_ref", rope.reference_load_ratio, "1"),
            ("MBS", rope.breaking_strength_n, "N"),
            ("m", rope.stiffening_exponent, "1"),
        ],
    )


def _resets(work: PlanWorking, travel: TravelResult) -> list[WorkingLine]:
    return [
        working_line(
            TRAVEL,
            f"Resets of stage {number}",
            "0 if need <= throw, else whole number above (need - throw) / (throw - setback)",
            symbol_name=f"resets_{number}",
            result=float(figures.resets),
            unit="1",
            source="TACKLE-02",
            terms=[
                ("need", figures.needed_travel_m, "m"),
                ("throw", figures.throw_m, "m"),
                ("setback", stage.setback_m or 0.0, "m"),
            ],
        )
        for number, (stage, figures) in enumerate(zip(work.stages, travel.stages, strict=True), start=1)
    ]


def side_lines(result: PlanResult) -> tuple[WorkingLine, ...]:
    """Tension of the side line; none where there is no working side line."""
    side = result.side
    if side is None or side.side_tension_n is None:
        return ()
    return (
        working_line(
            SIDE,
            "Tension of the side line",
            "T_side = k M_side / arm_side, M_side = W |y_cg| + M_w + what the pull adds on that side",
            symbol_name="T_side",
            result=side.side_tension_n,
            unit="N",
            source="PANEL-01",
            terms=[
                ("k", SIDE_LINE_FACTOR, "1"),
                ("M_side", side.side_moment_n_m, "N m"),
                ("arm_side", side.side_arm_m, "m"),
            ],
            default_names={"side_line_factor": SIDE_LINE_FACTOR},
        ),
    )


def path_lines(result: PlanResult, work: PlanWorking) -> tuple[WorkingLine, ...]:
    """What each role with a rated item carries, in the order of the list of roles."""
    lines = []
    for name in result.loads_n:
        used, item, role = result.utilisations.get(name), work.plan.items.get(name), find_role(name)
        if used is None or item is None or role is None:
            continue
        restrained = role.group == "restraint" and work.plan.restraint is not None and work.plan.restraint.slack_m > 0
        rated = capacity(item, shock_credible=work.plan.shock_credible or restrained)
        lines.append(
            working_line(
                PATH,
                f"{role_title(name)}: what it carries",
                "capacity = base × reduction × sling factor",
                symbol_name=name,
                result=rated.capacity_n,
                unit="N",
                source="PRACTICE-02",
                terms=[
                    ("base", rated.base_capacity_n, "N"),
                    ("reduction", rated.reduction_ratio, "1"),
                    ("sling factor", rated.sling_factor, "1"),
                    ("load", used.load_n, "N"),
                    ("utilisation", used.utilisation_ratio, "1"),
                ],
            )
        )
    return tuple(lines)
