"""What the pull's load path carried when the line or the tail was read on the day."""

from __future__ import annotations

from jobs.mechanics.checks import require_not_negative
from jobs.mechanics.plan.input import PlanInput, filled_stages
from jobs.mechanics.plan.loads import PathForces, role_loads
from jobs.mechanics.situation import situation
from jobs.mechanics.tackle import best_advantage, tackle


def loads_at_tension(plan_input: PlanInput, tension_n: float) -> dict[str, float]:
    """Load of each role of the pull with this tension at the tackle, while hauling [N]; side and restraint left out.

    T_stem = T_tackle eta_line; the rest as in the plan's own path
    Range: tension 0 or more; refuses as the plan does.
    Source: STATICS-02.
    """
    require_not_negative("tension_n", tension_n)
    state = situation(plan_input.tree, plan_input.hinge, plan_input.line, plan_input.wind)
    return role_loads(
        PathForces(
            stem_tension_n=tension_n * state.geometry.line_efficiency,
            tackle_tension_n=tension_n,
            hitch_spread_deg=plan_input.hitch_spread_deg,
            tackle=tackle(filled_stages(plan_input), tension_n),
            tension_gauge=plan_input.tension_gauge,
            redirect_load_ratios=state.geometry.redirect_load_ratios,
            side=None,
            side_redirect_load_ratios=(),
            restraint_peak_n=None,
        )
    )


def max_tension_from_hand(plan_input: PlanInput, hand_n: float) -> float:
    """Greatest tension at the tackle that this pull on its tail can have made [N].

    T = MA_best F with the best sheaves the plan allows for
    Range: pull 0 or more.
    Source: TACKLE-01.
    """
    require_not_negative("hand_n", hand_n)
    return hand_n * best_advantage(filled_stages(plan_input), plan_input.best_sheave_efficiency)
