"""What hangs where and who does what on the demo's sheets."""

from jobs.demo.scenario import Facts

CHOKED: Facts = {"configuration": "choker", "choke_angle_deg": 120.0}
ROUND: Facts = {"configuration": "basket", "basket_half_angle_deg": 20.0}

RIG_TWO: dict[str, str] = {
    "main_line": "R-02", "stem_sling": "S-06", "stem_connector": "C-06", "hitch_cord": "H-02",
    "hitch_connector": "C-07", "moving_block": "B-02", "fixed_block": "B-05", "fixed_block_connector": "C-08",
    "tackle_rope": "T-02", "cleat": "K-02", "anchor_sling": "S-07", "bollard": "D-03", "bollard_sling": "S-08",
    "tension_gauge": "L-02",
}  # fmt: skip
RIG_ONE: dict[str, str] = {
    "main_line": "R-01", "stem_sling": "S-01", "stem_connector": "C-01", "hitch_cord": "H-01",
    "hitch_connector": "C-02", "moving_block": "B-01", "fixed_block": "B-04", "fixed_block_connector": "C-03",
    "tackle_rope": "T-01", "cleat": "K-01", "bollard_sling": "S-03", "tension_gauge": "L-01",
    "gauge_connector": "C-05",
}  # fmt: skip

GEAR: dict[str, dict[str, str]] = {
    "bridge-1": RIG_TWO,
    "bridge-2": {"bollard": "D-02"},
    "winding-1": RIG_ONE | {"anchor_sling": "S-05", "bollard": "D-01"},
    # Three things stand against this one: B-04 is dropped, S-02 lapses within the job, D-02 hangs at the footbridge.
    "cottage-3": RIG_ONE | {
        "anchor_sling": "S-02", "bollard": "D-02", "redirect_block_1": "B-07", "redirect_connector_1": "C-04",
        "redirect_sling_1": "S-04",
    },
}  # fmt: skip
ALTERNATES: dict[str, dict[str, str]] = {"winding-1": {"fixed_block": "B-03"}}
ANCHORED: dict[str, dict[str, str]] = {
    "bridge-1": {"anchor": "Alder 14", "bollard_anchor": "Stump of alder 9"},
    "winding-1": {"anchor": "Oak 3", "bollard_anchor": "Screw anchors at the track"},
    "cottage-3": {"anchor": "Stump of poplar 1", "bollard_anchor": "Ash 22", "redirect_anchor_1": "Alder 11"},
}
SLING_USE: dict[str, Facts] = {
    "stem_sling": CHOKED, "anchor_sling": ROUND, "bollard_sling": ROUND, "redirect_sling_1": ROUND,
}  # fmt: skip

# Day from today, and the window; the stems not listed have no sheet.
WHEN: dict[str, tuple[int, tuple[int, int], tuple[int, int]]] = {
    "bridge-1": (0, (8, 30), (12, 30)),
    "bridge-2": (1, (11, 0), (15, 0)),
    "cottage-3": (1, (8, 30), (13, 0)),
    "winding-1": (5, (9, 0), (14, 0)),
}
DUTIES: dict[str, tuple[tuple[str, str, str], ...]] = {
    "bridge-1": (
        ("cutter", "cutter", ""), ("hauler", "crew2", ""), ("hauler", "inspector", ""),
        ("bollard_tender", "lead", ""), ("hitch_tender", "lead2", ""), ("lookout", "crew3", ""),
        ("first_aider", "lead2", ""), ("lookout", "trainee", "owner"),
    ),
    "winding-1": (
        ("cutter", "cutter", ""), ("hauler", "lead", ""), ("hauler", "crew2", ""), ("hauler", "crew3", ""),
        ("bollard_tender", "inspector", ""), ("hitch_tender", "lead2", ""), ("lookout", "owner", ""),
        ("first_aider", "lead2", ""),
    ),
    "cottage-3": (
        ("cutter", "cutter", ""), ("hauler", "lead2", ""), ("hauler", "crew2", ""), ("hauler", "crew3", ""),
        ("bollard_tender", "inspector", ""), ("hitch_tender", "lead", ""), ("lookout", "owner", ""),
        ("first_aider", "lead", ""),
    ),
}  # fmt: skip
