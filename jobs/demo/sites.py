"""The demo's five jobs as facts: sites, stems as measured, plans, anchors and hazards. Days are counted from today."""

from jobs.demo.scenario import Facts

RESCUE = "Lower the climber or carry the casualty to the towpath gate; the lead calls and sends one person to the gate."
COMMUNICATION = "Radio channel 5 for everyone; one long whistle means stop, two mean go on."

JOBS: dict[str, Facts] = {
    "basin": {
        "reference": "K-114", "client": "Ravel Basin Navigation Trust", "site_name": "Ravel Basin, north quay",
        "address": "Quay Lane, Ravelford", "grid_reference": "QX 1210 4406",
        "access": "Gate from Quay Lane, key at the lock",
        "phone_signal": "Good on the quay", "first_day": -24, "last_day": -23, "lead": "lead",
        "notes": "Sheets of this job were on paper: folder 23.",
    },
    "footbridge": {
        "reference": "K-118", "client": "Mallow Parish", "site_name": "Heronry Footbridge",
        "address": "Towpath below Heronry Footbridge, Mallow Cut", "grid_reference": "QX 1184 4431",
        "access": "Towpath from the lock, vans up to 2.5 m wide", "phone_signal": "Good on the bridge, none below it",
        "first_day": 0, "last_day": 1, "lead": "lead2",
    },
    "cottage": {
        "reference": "K-120", "client": "Mallow Cut Navigation", "site_name": "Lock-keeper's cottage, embankment",
        "address": "Sallow Lock, Lock Lane, Ravelford", "grid_reference": "QX 1179 4428",
        "access": "Lock Lane to the yard, then on foot along the embankment", "phone_signal": "Good in the yard",
        "first_day": 1, "last_day": 4, "lead": "lead",
    },
    "winding": {
        "reference": "K-121", "client": "Mallow Cut Navigation", "site_name": "Tench Winding Hole",
        "address": "Towpath at the winding hole, Mallow Cut", "grid_reference": "QX 1152 4460",
        "access": "Track from Withy Farm, dry weather only", "phone_signal": "Weak; use the farm's line",
        "first_day": 5, "last_day": 5, "lead": "lead2",
    },
    "spillway": {
        "reference": "K-125", "client": "Mallow Cut Navigation", "site_name": "Spillway bank",
        "address": "Spillway, Mallow Cut", "grid_reference": "QX 1138 4471", "access": "On foot from the winding hole",
        "phone_signal": "Not tried yet", "first_day": 12, "last_day": 13, "lead": "lead",
    },
}  # fmt: skip
EMERGENCY_DEPARTMENT = "Ravelford Infirmary, Mill Street, 14 minutes by road"

SOUND: Facts = {
    "diameter_method": "tape", "height_method": "clinometer", "lean_method": "plumb", "crown": "crown",
    "hinge_soundness": "sound", "attachment_soundness": "sound", "dead_or_dying": "no", "hung_up": "no",
    "union_or_crack": "no", "ground_fall_deg": 2.0,
}  # fmt: skip

# Each stem: facts, diameters by height, and crown as (mass, height, forward, left, sail).
STEMS: dict[str, Facts] = {
    "quay-1": {
        "job": "basin", "label": "1", "measured": -27, "felled": -24,
        "facts": SOUND | {"species": "common-alder", "bark_thickness_m": 0.010, "tree_height_m": 12.0,
                          "lean_deg": 1.0, "lean_azimuth_deg": 95.0},
        "sections": [(0.0, 0.38), (1.3, 0.32), (6.0, 0.22), (11.0, 0.11)],
        "crown": [(40.0, 10.0, 0.0, 0.0, 1.8)],
    },
    "quay-2": {
        "job": "basin", "label": "2", "measured": -27, "felled": -23,
        "facts": SOUND | {"species": "common-alder", "bark_thickness_m": 0.011, "tree_height_m": 13.5,
                          "lean_deg": 2.0, "lean_azimuth_deg": 110.0},
        "sections": [(0.0, 0.44), (1.3, 0.37), (6.0, 0.27), (12.0, 0.12)],
        "crown": [(60.0, 11.5, 0.0, 0.0, 2.3)],
    },
    "bridge-1": {
        "job": "footbridge", "label": "1", "measured": -2,
        "facts": SOUND | {"species": "common-alder", "bark_thickness_m": 0.010, "tree_height_m": 13.0,
                          "lean_deg": 2.0, "lean_azimuth_deg": 150.0},
        "sections": [(0.0, 0.42), (1.3, 0.35), (5.0, 0.28), (9.0, 0.20), (12.0, 0.12)],
        "crown": [(55.0, 11.0, 0.0, 0.1, 2.2)],
    },
    "bridge-2": {
        "job": "footbridge", "label": "2", "measured": -2,
        "facts": SOUND | {"species": "common-alder", "bark_thickness_m": 0.010, "tree_height_m": 12.5,
                          "lean_deg": 1.0, "lean_azimuth_deg": 160.0},
        "sections": [(0.0, 0.40), (1.3, 0.33), (5.0, 0.26), (11.5, 0.12)],
        "crown": [(50.0, 10.5, 0.0, 0.0, 2.0)],
    },
    "cottage-3": {
        "job": "cottage", "label": "3", "measured": -1,
        "facts": SOUND | {"species": "poplar-hybrid", "bark_thickness_m": 0.014, "tree_height_m": 17.0,
                          "lean_deg": 2.5, "lean_azimuth_deg": 262.0},
        "sections": [(0.0, 0.56), (1.3, 0.46), (6.0, 0.37), (11.0, 0.27), (15.0, 0.17)],
        "crown": [(110.0, 14.0, -0.2, 0.1, 3.5)],
    },
    "cottage-5": {
        "job": "cottage", "label": "5", "measured": -1,
        "facts": SOUND | {"species": "poplar-hybrid", "bark_thickness_m": 0.015, "tree_height_m": 18.5,
                          "lean_deg": 3.0, "lean_azimuth_deg": 250.0, "hinge_soundness": "unsound"},
        "sections": [(0.0, 0.64), (1.3, 0.53), (7.0, 0.40), (15.0, 0.19)],
        "crown": [(150.0, 15.0, -0.3, 0.0, 4.5)],
    },
    "winding-1": {
        "job": "winding", "label": "1", "measured": -3,
        "facts": SOUND | {"species": "common-alder", "bark_thickness_m": 0.011, "tree_height_m": 14.5,
                          "lean_deg": 1.5, "lean_azimuth_deg": 20.0},
        "sections": [(0.0, 0.46), (1.3, 0.38), (6.0, 0.28), (10.0, 0.19), (13.0, 0.11)],
        "crown": [(70.0, 12.0, 0.0, 0.0, 2.5)],
    },
    "spillway-1": {
        "job": "spillway", "label": "1", "measured": -1,
        "facts": SOUND | {"species": "common-alder", "bark_thickness_m": 0.010, "tree_height_m": 15.0,
                          "lean_deg": 4.0, "lean_azimuth_deg": 300.0, "attachment_soundness": "not_known"},
        "sections": [(0.0, 0.45), (1.3, 0.37), (7.0, 0.26)],
        "crown": [(80.0, 12.0, 0.0, 0.0, 3.0)],
    },
    "spillway-2": {
        "job": "spillway", "label": "2", "measured": -1,
        "facts": {"species": "poplar-hybrid", "diameter_method": "tape", "bark_thickness_m": 0.013,
                  "ground_fall_deg": 7.0},
        "sections": [(0.0, 0.50), (1.3, 0.41)],
        "crown": [],
    },
}  # fmt: skip

TACKLE: Facts = {
    "notch_opening_deg": 70.0, "frozen_wood": "no", "gust_source": "forecast", "attach_method": "clinometer",
    "anchor_distance_method": "tape", "sheave_efficiency_ratio": 0.92, "sheave_efficiency_origin": "measured",
    "extended_length_m": 3.2, "two_blocked_length_m": 0.5, "setback_m": 0.12, "slack_m": 0.3, "hitch_spread_deg": 0.0,
    "tension_gauge": "in_line", "backup_anchor": "own", "wedge_planned": True, "proof_pull_planned": True,
    "shock_credible": "no", "bollard_hand_n": 150.0, "attach_tolerance_m": 0.3, "gust_tolerance_m_s": 1.0,
}  # fmt: skip

# Each plan: facts, redirects as (distance, bearing, slope, height), places as (place, distance, bearing, way out).
PLANS: dict[str, Facts] = {
    "bridge-1": {
        "facts": TACKLE | {
            "lay_azimuth_deg": 330.0, "hinge_height_m": 0.35, "notch_depth_ratio": 0.26, "hinge_thickness_m": 0.036,
            "attach_height_m": 9.2, "sound_wood_height_m": 10.5, "anchor_distance_m": 26.0,
            "anchor_azimuth_deg": 331.0, "anchor_slope_deg": -2.0, "anchor_height_m": 0.5, "gust_m_s": 6.0,
            "haulers": 2, "side_target": "no",
        },
        "redirects": [],
        "places": [("haulers", 30.0, 316.0, ""), ("bollard_tender", 26.0, 338.0, ""), ("lookout", 30.0, 60.0, ""),
                   ("cutter", 1.2, 130.0, "Back along the towpath to the bridge")],
    },
    "bridge-2": {
        "facts": TACKLE | {
            "lay_azimuth_deg": 335.0, "hinge_height_m": 0.35, "notch_depth_ratio": 0.25, "hinge_thickness_m": 0.034,
            "attach_height_m": 9.0, "sound_wood_height_m": 10.0, "anchor_distance_m": 26.0,
            "anchor_azimuth_deg": 335.0, "anchor_slope_deg": -2.0, "anchor_height_m": 0.5, "gust_m_s": 6.0,
            "haulers": 2, "side_target": "no",
        },
        "redirects": [],
        "places": [],
    },
    "cottage-3": {
        "facts": TACKLE | {
            "lay_azimuth_deg": 80.0, "hinge_height_m": 0.40, "notch_depth_ratio": 0.25, "hinge_thickness_m": 0.045,
            "attach_height_m": 11.8, "sound_wood_height_m": 13.0, "anchor_distance_m": 36.0,
            "anchor_azimuth_deg": 104.0, "anchor_slope_deg": -1.0, "anchor_height_m": 0.6, "gust_m_s": 6.0,
            "haulers": 3, "side_target": "yes", "lean_tolerance_deg": 0.5,
        },
        "redirects": [(29.0, 81.0, -1.0, 0.6)],
        "places": [("haulers", 44.0, 97.0, ""), ("bollard_tender", 33.0, 108.0, ""), ("lookout", 34.0, 20.0, ""),
                   ("cutter", 1.2, 235.0, "Back along the crest to the lock gate")],
    },
    "cottage-5": {
        "facts": TACKLE | {
            "lay_azimuth_deg": 80.0, "hinge_height_m": 0.40, "notch_depth_ratio": 0.25, "hinge_thickness_m": 0.050,
            "attach_height_m": 12.5, "sound_wood_height_m": 13.0, "anchor_distance_m": 40.0,
            "anchor_azimuth_deg": 81.0, "anchor_slope_deg": -1.0, "anchor_height_m": 0.6, "gust_m_s": 6.0,
            "haulers": 3, "side_target": "yes",
        },
        "redirects": [],
        "places": [],
    },
    "winding-1": {
        "facts": TACKLE | {
            "lay_azimuth_deg": 205.0, "hinge_height_m": 0.35, "notch_depth_ratio": 0.25, "hinge_thickness_m": 0.040,
            "attach_height_m": 10.0, "sound_wood_height_m": 11.0, "anchor_distance_m": 28.0,
            "anchor_azimuth_deg": 206.0, "anchor_slope_deg": 0.0, "anchor_height_m": 0.5, "gust_m_s": 7.0,
            "haulers": 3, "side_target": "no",
        },
        "redirects": [],
        "places": [("haulers", 33.0, 192.0, ""), ("bollard_tender", 28.0, 214.0, ""), ("lookout", 32.0, 300.0, ""),
                   ("cutter", 1.2, 10.0, "Back to the farm track")],
    },
    "spillway-1": {
        "facts": TACKLE | {
            "lay_azimuth_deg": 120.0, "hinge_height_m": 0.40, "notch_depth_ratio": 0.25, "hinge_thickness_m": 0.040,
            "attach_height_m": 10.5, "gust_m_s": None, "gust_source": "", "haulers": 3, "side_target": "no",
        },
        "redirects": [],
        "places": [],
    },
}  # fmt: skip

# Each anchor: job, kind, species, diameter, estimate of its strength [N], what that rests on.
ANCHORS: dict[str, Facts] = {
    "Alder 14": {"job": "footbridge", "kind": "tree", "species": "common alder", "diameter_m": 0.46,
                 "estimate_n": 32000.0, "basis": "Pulled to 12 kN on the gauge last spring, no movement"},
    "Stump of alder 9": {"job": "footbridge", "kind": "stump", "species": "common alder", "diameter_m": 0.40,
                         "estimate_n": 24000.0, "basis": "Green stump cut this month, root plate whole"},
    "Stump of poplar 1": {"job": "cottage", "kind": "stump", "species": "hybrid poplar", "diameter_m": 0.58,
                          "estimate_n": 36000.0, "basis": "Green stump, roots followed 1.5 m, no heave under 10 kN"},
    "Ash 22": {"job": "cottage", "kind": "tree", "species": "ash", "diameter_m": 0.55,
               "estimate_n": 45000.0, "basis": "Sound living tree on the landward side, pulled to 15 kN"},
    "Alder 11": {"job": "cottage", "kind": "tree", "species": "common alder", "diameter_m": 0.44,
                 "estimate_n": 30000.0, "basis": "Sound living tree, firm ground, pulled to 10 kN"},
    "Oak 3": {"job": "winding", "kind": "tree", "species": "oak", "diameter_m": 0.62,
              "estimate_n": 60000.0, "basis": "Sound living tree above the track"},
    "Screw anchors at the track": {"job": "winding", "kind": "holdfast", "species": "", "diameter_m": None,
                                   "estimate_n": 20000.0, "basis": "Group of four, proof pulled to 14 kN"},
}  # fmt: skip

HAZARDS: dict[str, tuple[Facts, ...]] = {
    "cottage-3": (
        {"kind": "building", "description": "Lock-keeper's cottage", "distance_m": 15.0, "bearing_deg": 345.0,
         "control": "Nobody indoors while the line is loaded; shutters closed"},
        {"kind": "overhead_line", "description": "Low-voltage line to the cottage", "distance_m": 24.0,
         "bearing_deg": 330.0, "control": "Shrouded, permit of the network operator in the folder",
         "power_line_control": "shrouded"},
        {"kind": "way", "description": "Towpath and canal", "distance_m": 4.0, "bearing_deg": 190.0,
         "control": "Towpath closed both sides, boats held at the lock"},
        {"kind": "slope", "description": "Embankment falls to the canal", "distance_m": 3.0, "bearing_deg": 190.0,
         "control": "Nobody works below the crest"},
    ),
    "cottage-5": (
        {"kind": "decay", "description": "Bracket fungus at 0.5 m, hollow when struck", "distance_m": 0.0,
         "bearing_deg": 0.0, "control": "Not pulled: taken down in pieces from a platform"},
    ),
    "bridge-1": (
        {"kind": "way", "description": "Heronry Footbridge", "distance_m": 31.0, "bearing_deg": 205.0,
         "control": "Closed, one marshal on each bank"},
        {"kind": "nesting", "description": "Heron nest, left in July", "distance_m": 40.0, "bearing_deg": 80.0,
         "control": "Looked at by the parish ecologist, empty"},
    ),
    "winding-1": (
        {"kind": "way", "description": "Canal, boats turning", "distance_m": 6.0, "bearing_deg": 110.0,
         "control": "Boats held at both ends of the hole"},
    ),
}  # fmt: skip
