"""The load path: is every position filled, by an item that may stand there and is rated for its load."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from jobs.mechanics.checks import COMPARISON_SLACK, exceeds
from jobs.mechanics.defaults import SMALL_BEND_RATIO
from jobs.mechanics.errors import Refused
from jobs.mechanics.findings.collected import Findings
from jobs.mechanics.limits import OVERHAUL_ANCHOR_LIMIT_RATIO, OVERHAUL_LIMIT_RATIO
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.result import RoleUtilisation
from jobs.mechanics.ratings import Item, capacity, has_small_sheave
from jobs.mechanics.roles import HEATED_ROPE_ROLES, Role, find_role

WEAKEST_TIE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class PathResult:
    """Utilisation of every role with a rated item, how many people each allows, and the weakest."""

    utilisations: Mapping[str, RoleUtilisation]
    people_max_by_role: Mapping[str, int]
    weakest_role: str | None


def overhaul_limit(role: Role) -> float:
    """Load over capacity a role may have from the crew at full strength with nothing to show it [1].

    2 for gear, 1 for anchors
    Range: roles of the pull.
    Source: MODEL-01.
    """
    return OVERHAUL_ANCHOR_LIMIT_RATIO if role.is_anchor else OVERHAUL_LIMIT_RATIO


def check_path(
    findings: Findings,
    plan_input: PlanInput,
    loads_n: Mapping[str, float],
    *,
    unit_loads_n: Mapping[str, float],
    overhaul_n: float,
    person_n: float,
) -> PathResult:
    """Note every empty position, every item that may not stand where it does and every one that is under-rated.

    Loads are those of the path with anchors of one name summed; `unit_loads_n` is the load of each role of the pull
    per newton at the tackle, `overhaul_n` what the crew can put on the tackle, `person_n` what one person can.
    utilisation_over = load per newton x T_over / capacity
    Range: loads >= 0.
    Source: MODEL-01, PRACTICE-02.
    """
    utilisations: dict[str, RoleUtilisation] = {}
    people: dict[str, int] = {}
    for name in sorted(loads_n):
        role = find_role(name)
        if role is None:
            raise KeyError(name)
        item = plan_input.items.get(name)
        if item is None:
            _note_empty(findings, plan_input, name, role)
            continue
        capacity_n = _usable_capacity(findings, plan_input, name, item)
        if capacity_n is None:
            continue
        over = unit_loads_n[name] * overhaul_n / capacity_n if role.group == "pull" else None
        used = RoleUtilisation(
            load_n=loads_n[name],
            capacity_n=capacity_n,
            utilisation_ratio=loads_n[name] / capacity_n,
            overhaul_utilisation_ratio=over,
        )
        utilisations[name] = used
        _note_overload(findings, plan_input, name, used)
        if role.group == "pull" and unit_loads_n[name] > 0:
            bearable_n = overhaul_limit(role) * capacity_n / unit_loads_n[name]
            people[name] = math.floor(bearable_n / person_n + COMPARISON_SLACK)
    return PathResult(utilisations=utilisations, people_max_by_role=people, weakest_role=weakest_role(utilisations))


def _note_empty(findings: Findings, plan_input: PlanInput, name: str, role: Role) -> None:
    if role.is_optional:
        return
    reason = plan_input.not_used.get(name)
    if reason in role.reasons and (reason != "rope_grab_used" or "rope_grab" in plan_input.items):
        return
    findings.note("position-empty", name, reasons=", ".join(role.reasons))


def _usable_capacity(findings: Findings, plan_input: PlanInput, name: str, item: Item) -> float | None:
    """Capacity of an item in a role [N], or None where it may not stand there or is refused; notes why."""
    role = find_role(name)
    if role is None or item.kind not in role.kinds:
        is_anchor = role is not None and role.is_anchor
        findings.note("anchor-kind" if is_anchor else "item-kind", name, kind=item.kind)
        return None
    if name in HEATED_ROPE_ROLES and item.material == "polypropylene":
        findings.note("material-not-allowed", name, material=item.material)
    slack = plan_input.restraint is not None and plan_input.restraint.slack_m > 0
    shock = plan_input.shock_credible or (role.group == "restraint" and slack)
    try:
        rated = capacity(item, shock_credible=shock)
    except Refused as refusal:
        findings.note(refusal.code, name, **refusal.facts)
        return None
    if has_small_sheave(item):
        findings.note("sheave-small", name, bend_ratio=min(item.bend_ratios), limit_bend_ratio=SMALL_BEND_RATIO)
    return rated.capacity_n


def _note_overload(findings: Findings, plan_input: PlanInput, name: str, used: RoleUtilisation) -> None:
    role = find_role(name)
    if role is None:
        return
    over, limit = used.overhaul_utilisation_ratio, overhaul_limit(role)
    if exceeds(used.utilisation_ratio, 1.0):
        findings.note(
            "under-rated",
            name,
            load_n=used.load_n,
            capacity_n=used.capacity_n,
            utilisation_ratio=used.utilisation_ratio,
        )
    elif plan_input.tension_gauge == "none" and over is not None and exceeds(over, limit):
        findings.note(
            "over-tension-no-gauge",
            name,
            load_n=over * used.capacity_n,
            limit_n=limit * used.capacity_n,
            utilisation_ratio=over,
            limit_ratio=limit,
        )


def weakest_role(utilisations: Mapping[str, RoleUtilisation]) -> str | None:
    """The role the crew at full strength would overload first; the first by name of equals, None where none is rated.

    greatest utilisation_over / limit
    Range: roles of the pull.
    Source: MODEL-01.
    """
    shares = {}
    for name, used in utilisations.items():
        role = find_role(name)
        if role is not None and used.overhaul_utilisation_ratio is not None:
            shares[name] = used.overhaul_utilisation_ratio / overhaul_limit(role)
    if not shares:
        return None
    greatest = max(shares.values())
    return min(name for name, share in shares.items() if share >= greatest - WEAKEST_TIE)
