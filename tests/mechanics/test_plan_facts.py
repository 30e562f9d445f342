"""Every fail and caution says its figure and its limit, and the figure is on the wrong side of the limit."""

import pytest

from tests.mechanics.plans import solved
from tests.mechanics.test_plan import TRIGGERS
from tests.rows import every_row

# Code -> the figure, what it is to the limit, the limit; limits as the list of the model states them.
ABOVE, BELOW = "above", "below"
HELD_AGAINST = {
    "hinge-too-thin": ("thickness_m", BELOW, "limit_m"),
    "hinge-thin": ("thickness_m", BELOW, "limit_m"),
    "hinge-too-thick": ("thickness_m", ABOVE, "limit_m"),
    "hinge-too-narrow": ("width_m", BELOW, "limit_m"),
    "notch-depth": ("depth_ratio", BELOW, "limit_low_ratio"),
    "notch-opening": ("angle_deg", BELOW, "limit_deg"),
    "notch-narrow": ("angle_deg", BELOW, "limit_deg"),
    "wind-above-limit": ("gust_m_s", ABOVE, "limit_m_s"),
    "line-too-steep": ("angle_deg", ABOVE, "limit_deg"),
    "line-steep": ("angle_deg", ABOVE, "limit_deg"),
    "off-axis-pull": ("angle_deg", ABOVE, "limit_deg"),
    "off-axis": ("angle_deg", ABOVE, "limit_deg"),
    "attach-too-low": ("height_m", BELOW, "limit_m"),
    "attach-low": ("height_m", BELOW, "limit_m"),
    "redirect-will-be-struck": ("distance_m", BELOW, "limit_m"),
    "back-lean-too-great": ("angle_deg", ABOVE, "limit_deg"),
    "back-lean": ("angle_deg", ABOVE, "limit_deg"),
    "forward-lean-too-great": ("angle_deg", ABOVE, "limit_deg"),
    "side-lean-too-great": ("angle_deg", ABOVE, "limit_deg"),
    "side-line-needed": ("angle_deg", ABOVE, "limit_deg"),
    "side-moment": ("utilisation_ratio", ABOVE, "limit_ratio"),
    "side-line-holds-back": ("arm_m", BELOW, "limit_m"),
    "hold-critical": ("moment_n_m", ABOVE, "limit_n_m"),
    "window-empty": ("lowest_n", ABOVE, "limit_n"),
    "crew-in-fall-zone": ("distance_m", BELOW, "limit_m"),
    "crew-near-fall-zone": ("distance_m", BELOW, "limit_m"),
    "pre-tension-needs-gauge": ("steady_n", ABOVE, "limit_n"),
    "gauge-band-empty": ("lowest_n", ABOVE, "limit_n"),
    "stem-bends": ("tension_n", ABOVE, "limit_n"),
    "stem-can-snap": ("tension_n", ABOVE, "limit_n"),
    "proof-pull-too-high": ("tension_n", ABOVE, "limit_n"),
    "restraint-needed": ("angle_deg", ABOVE, "limit_deg"),
    "restraint-slack": ("slack_m", ABOVE, "limit_m"),
    "haul-too-long": ("resets", ABOVE, "limit_resets"),
    "under-rated": ("load_n", ABOVE, "capacity_n"),
    "over-tension-no-gauge": ("load_n", ABOVE, "limit_n"),
    "sheave-too-small": ("bend_ratio", BELOW, "limit_bend_ratio"),
    "sheave-small": ("bend_ratio", BELOW, "limit_bend_ratio"),
    "sling-angle": ("angle_deg", ABOVE, "limit_deg"),
}
# Limits that do not depend on the plan, from the list of limits.
FIXED = {
    "notch-depth": 0.20,
    "notch-opening": 45.0,
    "notch-narrow": 70.0,
    "wind-above-limit": 5.9,
    "line-too-steep": 45.0,
    "line-steep": 35.0,
    "off-axis-pull": 15.0,
    "off-axis": 5.0,
    "attach-low": 8.0,  # two thirds of 12 m
    "redirect-will-be-struck": 12.0,
    "back-lean-too-great": 10.0,
    "back-lean": 5.0,
    "forward-lean-too-great": 15.0,
    "side-lean-too-great": 10.0,
    "side-line-needed": 3.0,
    "side-moment": 1.0,
    "crew-in-fall-zone": 12.0,
    "crew-near-fall-zone": 18.0,
    "restraint-needed": 5.0,
    "restraint-slack": 0.5,
    "haul-too-long": 4.0,
    "sheave-too-small": 3.0,
    "sheave-small": 4.0,
    "sling-angle": 60.0,
}


@every_row("full_code", [code for code in TRIGGERS if code.partition(":")[0] in HELD_AGAINST])
def test_figure_and_limit_are_said(full_code):
    code = full_code.partition(":")[0]
    figure, side, limit = HELD_AGAINST[code]
    facts = solved(*TRIGGERS[full_code]).finding(full_code).facts
    assert facts[figure] != facts[limit]
    assert (facts[figure] > facts[limit]) is (side == ABOVE), facts
    if code in FIXED:
        assert facts[limit] == pytest.approx(FIXED[code], rel=1e-9)
