"""Working of every further result of a plan, from formulas kept as data: each row names its result by its path.

A path starts with the topic ("hinge.area_m2"); "in" is the plan's input, "at" what the topics share, "stage" a stage
with its lengths filled in. Its unit is the ending of the name.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from jobs.mechanics.hinge import thickness_of
from jobs.mechanics.plan.result import PlanResult, PlanWorking
from jobs.mechanics.wind import wind
from jobs.mechanics.working.full_gear import BACK_UP, CREW, PLAN, SPREAD, STAGE, TACKLE
from jobs.mechanics.working.full_stem import HINGE, LINE, PULL, STEM, WIND, WINDOW, Rows
from jobs.mechanics.working.line import WorkingLine, shown, working_line

GROUPS: tuple[tuple[str, Rows], ...] = (
    ("Stem", STEM),
    ("Hinge", HINGE),
    ("Wind", WIND),
    ("Line in full", LINE),
    ("Pull in full", PULL),
    ("Pre-tension window in full", WINDOW),
    ("Tackle in full", TACKLE),
    ("People", CREW),
    ("Back-up, side line, restraint", BACK_UP),
    ("Spread of the inputs", SPREAD),
    ("Plan in full", PLAN),
)
UNITS = (
    ("stiffness_n_m", "N/m"),
    ("_kg_m3", "kg/m³"),
    ("_n_m", "N m"),
    ("_m_s", "m/s"),
    ("_m4", "m⁴"),
    ("_m3", "m³"),
    ("_m2", "m²"),
    ("_kg", "kg"),
    ("_pa", "Pa"),
    ("_deg", "°"),
    ("_j", "J"),
    ("_n", "N"),
    ("_m", "m"),
)
# The lines written out by hand, with the results each explains.
BY_SYMBOL: dict[str, tuple[str, ...]] = {
    "W": ("stem.weight_n",),
    "M_g": ("pull.gravity_moment_n_m",),
    "M_w": ("wind.moment_n_m", "pull.wind_moment_n_m"),
    "M_h": ("hinge.plastic_moment_high_n_m", "pull.hinge_moment_n_m"),
    "arm": ("line.lever_arm_m", "pull.lever_arm_m"),
    "T_0": ("pull.required_tension_upright_n",),
    "T_req": ("pull.required_tension_n", "pull.governing_angle_deg", "plan.required_tension_n"),
    "T_stem": ("plan.stem_tension_n",),
    "T_crew": ("plan.crew_tension_n",),
    "T_sit": ("window.sit_back_tension_n",),
    "T_pinch": ("window.pinch_tension_n",),
    "T_bend": ("window.upper_bounds_n.bend",),
    "T_split": ("window.upper_bounds_n.split", "window.split_moment_n_m"),
    "T_shear": ("window.upper_bounds_n.shear", "window.shear_moment_n_m"),
    "T_strap": ("window.upper_bounds_n.strap", "window.strap_area_m2", "window.strap_lever_m"),
    "T_tackle": ("plan.tackle_tension_n",),
    "MA_1": ("tackle.stages.hauling_advantage",),
    "hand": ("plan.hauling_force_n", "tackle.hauling_force_n", "crew.hauling_force_n"),
    "hand_crew": ("plan.crew_hauling_force_n",),
    "T_over": ("plan.overhaul_tension_n", "crew.overhaul_tension_n"),
    "T_steady": ("plan.steady_tension_n",),
    "T_bend,stem": ("plan.stem_bending_limit_n",),
    "T_proof,limit": ("plan.proof_tension_limit_n",),
    "stretch": ("travel.stretch_m",),
    "travel": ("travel.total_travel_m",),
    "resets_1": ("travel.stages.resets",),
    "T_side": ("plan.side.side_tension_n",),
    "MA": ("measured_efficiency.advantage",),
    "s": ("measured_efficiency.log_sd",),
    "eta": ("measured_efficiency.sheave_efficiency",),
    "eta_lo": ("measured_efficiency.sheave_efficiency_low",),
    "eta_hi": ("measured_efficiency.sheave_efficiency_high",),
    "eta_hi capped": ("measured_efficiency.high_is_capped",),
    "value": ("least.value",),
}
ITEM_RESULTS = tuple(
    f"utilisations.items.{name}"
    for name in (
        "load_n", "capacity_n", "base_capacity_n", "reduction_ratio", "sling_factor", "utilisation_ratio",
        "within_capacity", "refused",
    )
)  # fmt: skip
ROLE_RESULTS = ("plan.loads_n", *(f"plan.utilisations.{name}" for name in (
    "load_n", "capacity_n", "utilisation_ratio", "overhaul_utilisation_ratio",
)))  # fmt: skip


def explained_by(line: WorkingLine) -> tuple[str, ...]:
    """The results of the interface that a line explains, without the numbers of stages.

    Range: lines of a plan's working, of a measured efficiency and of a question.
    Source: MODEL-01
    """
    if line.path:
        return (without_numbers(line.path),)
    if line.group == "Load path":
        return (*ITEM_RESULTS, *ROLE_RESULTS, "resultants.values")
    return BY_SYMBOL.get(line.symbol_name, ())


def without_numbers(path: str) -> str:
    """ "tackle.stages.0.cleat_force_n" as the interface names it: "tackle.stages.cleat_force_n"."""
    return ".".join(part for part in path.split(".") if not part.isdigit())


def further_lines(result: PlanResult, work: PlanWorking) -> tuple[WorkingLine, ...]:
    """A line for every result that no line written out by hand explains; those of topics not asked for are left out.

    Range: results of `plan`.
    Source: MODEL-01
    """
    values = dict(_values(result, work))
    stages = [
        (f"Tackle {number + 1} in full", tuple(_numbered(row, number) for row in STAGE))
        for number in range(len(work.stages))
    ]
    return tuple(
        line for group, rows in (*GROUPS, *stages) for row in rows if (line := _line(group, row, values)) is not None
    )


def _numbered(row: tuple[str, str, str, str, str], number: int) -> tuple[str, str, str, str, str]:
    path, title, formula, source, terms = row
    return path.replace("{i}", str(number)), title, formula, source, terms.replace("{i}", str(number))


def _line(group: str, row: tuple[str, str, str, str, str], values: Mapping[str, Any]) -> WorkingLine | None:
    path, title, formula, source, terms = row
    if path not in values:
        return None
    value = values[path]
    pairs = [term.partition("=") for term in terms.split()]
    line = working_line(
        group,
        title,
        formula,
        symbol_name=path,
        result=float(value) if isinstance(value, int | float) else 0.0,
        unit=unit_of(path),
        source=source,
        terms=[
            (symbol, float(values[name]), unit_of(name))
            for symbol, _, name in pairs
            if isinstance(values.get(name), int | float)
        ],
    )
    return replace(line, path=path, result_words=_words(value))


def unit_of(path: str) -> str:
    """The unit in a name's ending; "1" for a plain number. A place in a list or pair has the unit of the whole."""
    names = reversed(path.split("."))
    return next((unit for name in names for ending, unit in UNITS if name.endswith(ending)), "1")


def _words(value: Any) -> str:
    """What is no single number, in words; "" for a number."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return "none"
    if isinstance(value, str):
        return value.replace("_", " ")
    if isinstance(value, Mapping):
        return ", ".join(f"{name.replace('_', ' ')} {_short(item)}" for name, item in value.items()) or "none"
    if isinstance(value, tuple):
        return ", ".join(_short(item) for item in value) or "none"
    return ""


def _short(value: Any) -> str:
    return shown(value) if isinstance(value, float) else str(value).replace("_", " ")


def _values(result: PlanResult, work: PlanWorking) -> Iterator[tuple[str, Any]]:
    """Every input and result by its path."""
    state = work.situation
    roots: tuple[tuple[str, object], ...] = (
        ("in", work.plan), ("stem", state.stem), ("hinge", state.section), ("line", state.geometry),
        ("wind", wind(state.tree, state.wind)), ("pull", work.pull), ("window", work.window),
        ("tackle", work.tackle), ("crew", work.crew), ("stage", work.stages), ("travel", result.travel),
        ("bollard", result.bollard), ("restraint", result.restraint), ("uncertainty", result.uncertainty),
        ("plan", result),
    )  # fmt: skip
    for name, root in roots:
        if root is not None:
            yield from _flat(root, name)
    yield "at.diameter_m", state.diameter_m
    yield "at.radius_m", state.radius_m
    yield "at.thickness_m", thickness_of(state.hinge, state.diameter_m)
    yield "at.wind_moment_n_m", state.wind_moment_n_m


def _flat(value: Any, path: str) -> Iterator[tuple[str, Any]]:
    if is_dataclass(value):
        for entry in fields(value):
            inner = getattr(value, entry.name)
            if not entry.metadata.get("internal") and not (inner is None and entry.metadata.get("omit_none")):
                yield from _flat(inner, f"{path}.{entry.name}")
        return
    yield path, value
    if not isinstance(value, tuple):
        return
    for number, item in enumerate(value):
        yield from _flat(item, f"{path}.{number}")
    if value and is_dataclass(value[0]):  # and each column as a whole: "window.changes.gap_n"
        for entry in fields(value[0]):
            yield f"{path}.{entry.name}", tuple(getattr(item, entry.name) for item in value)
