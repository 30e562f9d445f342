"""Working of the crew: what its task asks at the hand, what it keeps up and what it could do."""

from __future__ import annotations

from typing import Final

from jobs.mechanics.crew import group_factor
from jobs.mechanics.working.context import Work
from jobs.mechanics.working.rows import Put, Rests, Row, Table

PEOPLE: Final = Put[Work]("n", "1", lambda w: w.plan.people)
ETA_LINE: Final = Put[Work]("eta_line", "1", lambda w: w.line.line_efficiency)
MA: Final = Put[Work]("MA", "1", lambda w: w.tackle.hauling_advantage)
MA_HI: Final = Put[Work]("MA_hi", "1", lambda w: w.crew.best_advantage)
SUSTAINED: Final = Put[Work]("f", "N", lambda w: w.plan.sustained_force_n)

CREW: Final = Table[Work]("Crew", (
    Row("hand_crew", "Force on the tail for the crew's task", "hand_crew = T_crew / (eta_line MA)", "N",
        source="PANEL-01", result=lambda w: w.result.crew_hauling_force_n, explains=("plan.crew_hauling_force_n",),
        terms=(Put("T_crew", "N", lambda w: w.result.crew_tension_n), ETA_LINE, MA)),
    Row("c f", "What the haulers keep up on the tail", "c(n) f, c(n) = n max(0.7, 1 - 0.05 (n - 1))", "N",
        source="MEMORY-01", result=lambda w: w.through.kept_up_n, explains=(),
        terms=(PEOPLE, Put("c(n)", "1", lambda w: group_factor(w.plan.people)), SUSTAINED),
        rests=(Rests("sustained_force", lambda w: w.plan.sustained_force_n),)),
    Row("T_over", "What the haulers at full strength could put on the tackle", "T_over = n f_peak MA_hi", "N",
        source="MEMORY-01", result=lambda w: w.result.overhaul_tension_n,
        explains=("plan.overhaul_tension_n", "crew.overhaul_tension_n"),
        terms=(PEOPLE, Put("f_peak", "N", lambda w: w.plan.peak_force_n), MA_HI),
        rests=(Rests("peak_force", lambda w: w.plan.peak_force_n),
        Rests("best_sheave_efficiency", lambda w: w.plan.best_sheave_efficiency))),
    Row("T_steady", "What one person with feet planted puts on the stem", "T_steady = f_steady MA_hi eta_line", "N",
        source="PANEL-01", result=lambda w: w.result.steady_tension_n, explains=("plan.steady_tension_n",),
        terms=(Put("f_steady", "N", lambda w: w.plan.steady_force_n), MA_HI, ETA_LINE),
        rests=(Rests("steady_force", lambda w: w.plan.steady_force_n),)),
))  # fmt: skip

PEOPLE_IN_FULL: Final = Table[Work]("People", (
    Row("crew.people_needed", "People for the gear's figure", "least n with c(n) f >= hand", "1",
        source="MEMORY-01", result=lambda w: w.crew.people_needed,
        terms=(Put("hand", "N", lambda w: w.crew.hauling_force_n), SUSTAINED)),
    Row("crew.sustained_tension_n", "Tension the haulers keep up", "c(n) f MA", "N",
        source="MEMORY-01", result=lambda w: w.crew.sustained_tension_n,
        terms=(PEOPLE, SUSTAINED, MA)),
    Row("crew.best_advantage", "Advantage at its best", "MA at the better of eta_hi and eta", "1",
        source="MEMORY-01", result=lambda w: w.crew.best_advantage,
        terms=(Put("eta_hi", "1", lambda w: w.plan.best_sheave_efficiency),)),
    Row("crew.enough_people", "Enough for the gear's figure", "c(n) f >= hand", "1",
        source="MEMORY-01", result=lambda w: w.crew.enough_people,
        terms=(PEOPLE, SUSTAINED, Put("hand", "N", lambda w: w.crew.hauling_force_n))),
    Row("plan.people_needed", "People needed for the crew's task", "least n of 1 to 12 with c(n) f >= hand_crew", "1",
        source="PANEL-01", result=lambda w: w.result.people_needed,
        terms=(Put("hand_crew", "N", lambda w: w.result.crew_hauling_force_n), SUSTAINED)),
    Row("plan.people_ample", "People enough for the gear's figure too", "least n of 1 to 12 with c(n) f >= hand", "1",
        source="MEMORY-01", result=lambda w: w.result.people_ample,
        terms=(Put("hand", "N", lambda w: w.result.hauling_force_n), SUSTAINED)),
    Row("plan.thickest_hinge_m", "Thickest hinge these people can break",
        "greatest t on the grid with c(n) f >= T_crew(t) / (eta_line MA)", "m",
        source="PANEL-01", result=lambda w: w.result.thickest_hinge_m,
        terms=(PEOPLE, ETA_LINE, MA)),
))  # fmt: skip
