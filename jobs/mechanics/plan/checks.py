"""Holding a plan's hinge, notch, wind, line, leans and window against their limits."""

from __future__ import annotations

import math

from jobs.mechanics.checks import exceeds, falls_short
from jobs.mechanics.defaults import SIDE_HOLD_BACK_RATIO
from jobs.mechanics.findings.collected import Findings
from jobs.mechanics.hinge import thickness_of
from jobs.mechanics.limits import (
    ATTACH_LOW_RATIO,
    BACK_LEAN_DEG,
    BACK_LEAN_FAIL_DEG,
    FORWARD_LEAN_FAIL_DEG,
    GUST_LIMIT_M_S,
    HINGE_THIN_M,
    HINGE_THIN_RATIO,
    HINGE_TOO_NARROW_RATIO,
    HINGE_TOO_THICK_RATIO,
    HINGE_TOO_THIN_M,
    HINGE_TOO_THIN_RATIO,
    LINE_STEEP_DEG,
    LINE_TOO_STEEP_DEG,
    MIN_NOTCH_OPENING_DEG,
    NOTCH_DEEPEST_RATIO,
    NOTCH_OPENING_USUAL_DEG,
    NOTCH_SHALLOWEST_RATIO,
    OFF_AXIS_DEG,
    OFF_AXIS_FAIL_DEG,
    SIDE_LEAN_FAIL_DEG,
    SIDE_LINE_LEAN_DEG,
    SIDE_LINE_LEAN_TARGET_DEG,
    SIDE_LINE_UTILISATION_RATIO,
    STRUCK_SECTOR_DEG,
)
from jobs.mechanics.line import Redirect
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.result import SideLineResult
from jobs.mechanics.pull import PullResult
from jobs.mechanics.situation import Situation
from jobs.mechanics.stem import total_height
from jobs.mechanics.window import WindowResult


def check_hinge(findings: Findings, state: Situation) -> None:
    """Note a hinge too thin, thin, too thick or too narrow, and a notch too shallow, too deep or too narrow.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    hinge, diameter = state.hinge, state.diameter_m
    thickness = thickness_of(hinge, diameter)
    too_thin = max(HINGE_TOO_THIN_M, HINGE_TOO_THIN_RATIO * diameter)
    thin = max(HINGE_THIN_M, HINGE_THIN_RATIO * diameter)
    too_thick = HINGE_TOO_THICK_RATIO * diameter
    if falls_short(thickness, too_thin):
        findings.note("hinge-too-thin", thickness_m=thickness, limit_m=too_thin)
    elif falls_short(thickness, thin):
        findings.note("hinge-thin", thickness_m=thickness, limit_m=thin)
    if exceeds(thickness, too_thick):
        findings.note("hinge-too-thick", thickness_m=thickness, limit_m=too_thick)
    narrowest = HINGE_TOO_NARROW_RATIO * state.section.notch_chord_m
    if hinge.width_m is not None and falls_short(hinge.width_m, narrowest):
        findings.note("hinge-too-narrow", width_m=hinge.width_m, limit_m=narrowest)
    depth = hinge.notch_depth_ratio
    if falls_short(depth, NOTCH_SHALLOWEST_RATIO) or exceeds(depth, NOTCH_DEEPEST_RATIO):
        findings.note(
            "notch-depth",
            depth_ratio=depth,
            limit_low_ratio=NOTCH_SHALLOWEST_RATIO,
            limit_high_ratio=NOTCH_DEEPEST_RATIO,
        )
    opening = hinge.notch_opening_deg
    if falls_short(opening, MIN_NOTCH_OPENING_DEG):
        findings.note("notch-opening", angle_deg=opening, limit_deg=MIN_NOTCH_OPENING_DEG)
    elif falls_short(opening, NOTCH_OPENING_USUAL_DEG):
        findings.note("notch-narrow", angle_deg=opening, limit_deg=NOTCH_OPENING_USUAL_DEG)


def check_wind(findings: Findings, state: Situation) -> None:
    """Note a gust above the working limit.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    limit = min(GUST_LIMIT_M_S, state.wind.working_limit_m_s)
    gust = state.wind.gust_m_s
    if gust is not None and exceeds(gust, limit):
        findings.note("wind-above-limit", gust_m_s=gust, limit_m_s=limit)


def check_line(findings: Findings, state: Situation) -> None:
    """Note a line too steep or off the lay, a rope too low, a redirect where the stem will lie.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    _note_above(
        findings,
        state.geometry.depression_angle_deg,
        ("line-too-steep", LINE_TOO_STEEP_DEG),
        ("line-steep", LINE_STEEP_DEG),
    )
    aside = abs(state.geometry.off_axis_angle_deg)
    _note_above(findings, aside, ("off-axis-pull", OFF_AXIS_FAIL_DEG), ("off-axis", OFF_AXIS_DEG))
    height = total_height(state.tree)
    attach, low = state.line.attach_height_m, ATTACH_LOW_RATIO * height
    attach_z, centre_z = float(state.route.attach.z), float(state.centre.z)
    if not exceeds(attach_z, centre_z):
        findings.note("attach-too-low", height_m=attach_z, limit_m=centre_z)
    elif falls_short(attach, low):
        findings.note("attach-low", height_m=attach, limit_m=low)
    for redirect in state.line.redirects:
        if _will_be_struck(redirect, state.tree.lay_azimuth_deg, height):
            findings.note("redirect-will-be-struck", distance_m=redirect.distance_m, limit_m=height)


def _will_be_struck(redirect: Redirect, lay_deg: float, height_m: float) -> bool:
    aside = abs(math.remainder(redirect.azimuth_deg - lay_deg, 360.0))
    return falls_short(redirect.distance_m, height_m) and not exceeds(aside, STRUCK_SECTOR_DEG)


def check_leans(
    findings: Findings, plan_input: PlanInput, *, pull: PullResult, window: WindowResult, side: SideLineResult | None
) -> None:
    """Note back, forward and side lean, the need for a side line, and a side line that does not work.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    back = pull.balance_angle_deg
    _note_above(findings, back, ("back-lean-too-great", BACK_LEAN_FAIL_DEG), ("back-lean", BACK_LEAN_DEG))
    if exceeds(window.forward_lean_deg, FORWARD_LEAN_FAIL_DEG):
        findings.note("forward-lean-too-great", angle_deg=window.forward_lean_deg, limit_deg=FORWARD_LEAN_FAIL_DEG)
    lean, used = pull.side_lean_deg, pull.side_utilisation_ratio
    if exceeds(lean, SIDE_LEAN_FAIL_DEG):
        findings.note("side-lean-too-great", angle_deg=lean, limit_deg=SIDE_LEAN_FAIL_DEG)
    if plan_input.side_line is None:
        limit = SIDE_LINE_LEAN_TARGET_DEG if plan_input.side_target else SIDE_LINE_LEAN_DEG
        if exceeds(lean, limit) or exceeds(used, SIDE_LINE_UTILISATION_RATIO):
            findings.note(
                "side-line-needed",
                angle_deg=lean,
                limit_deg=limit,
                utilisation_ratio=used,
                limit_ratio=SIDE_LINE_UTILISATION_RATIO,
            )
        if exceeds(used, 1.0):
            findings.note("side-moment", utilisation_ratio=used, limit_ratio=1.0)
    elif side is not None:
        _check_side_line(findings, side)


def _check_side_line(findings: Findings, side: SideLineResult) -> None:
    if side.side_tension_n is None:
        findings.note("side-line-ineffective", arm_m=side.side_arm_m)
    elif falls_short(side.forward_arm_m, -SIDE_HOLD_BACK_RATIO * side.side_arm_m):
        limit = -SIDE_HOLD_BACK_RATIO * side.side_arm_m
        findings.note("side-line-holds-back", arm_m=side.forward_arm_m, limit_m=limit)


def check_hold(findings: Findings, plan_input: PlanInput, state: Situation, pull: PullResult) -> None:
    """Note where only the line holds the stem after the back cut, and what that then asks for.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    if not pull.hold_critical:
        return
    against = max(0.0, -pull.gravity_moment_n_m) + pull.wind_moment_n_m
    limit = state.section.elastic_moment_low_n_m
    findings.note("hold-critical", moment_n_m=against, limit_n_m=limit)
    if plan_input.backup_anchor != "own" or _is_one_anchor(plan_input):
        findings.note("shared-anchor", anchor=_anchor_name(plan_input, "anchor") or "")
    if not plan_input.wedge_planned:
        findings.note("wedge-needed")
    if plan_input.tension_gauge == "none" and not plan_input.proof_pull_planned:
        findings.note("proof-needed")


def _anchor_name(plan_input: PlanInput, role: str) -> str | None:
    item = plan_input.items.get(role)
    return item.anchor_name if item is not None else None


def _is_one_anchor(plan_input: PlanInput) -> bool:
    name = _anchor_name(plan_input, "anchor")
    return bool(name) and name == _anchor_name(plan_input, "bollard_anchor")


def check_window(findings: Findings, window: WindowResult) -> None:
    """Note an empty window, a forward lean that asks for a bore cut, and a high risk of splitting.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    if window.is_empty:
        findings.note("window-empty", lowest_n=window.lowest_tension_n, limit_n=window.highest_tension_n)
    if window.bore_cut_needed:
        findings.note("bore-cut-needed", angle_deg=window.forward_lean_deg)
    elif window.split_risk == "high":
        findings.note("barber-chair-high", score=float(window.risk_score), governing=window.governing_bound)


def _note_above(findings: Findings, value_deg: float, fail: tuple[str, float], caution: tuple[str, float]) -> None:
    for name, limit in (fail, caution):
        if exceeds(value_deg, limit):
            findings.note(name, angle_deg=value_deg, limit_deg=limit)
            return
