"""Spread of a figure by the way it was measured: what the application sends with a plan. Agreed on paper, unpublished.

Where nothing stands here for a way of measuring, the model's own spread holds (section 11).
"""

from __future__ import annotations

from jobs.mechanics.defaults import PANEL, record

ATTACH_CLIMBER_M = record("attach_spread_climber", 0.1, "m", PANEL, "height of the line, climber's tape")
ATTACH_CLINOMETER_M = record("attach_spread_clinometer", 0.5, "m", PANEL, "height of the line, clinometer and distance")
ATTACH_STICK_M = record("attach_spread_stick", 1.0, "m", PANEL, "height of the line, stick")
LEAN_PLUMB_DEG = record("lean_spread_plumb", 0.5, "deg", PANEL, "lean, plumb line and offset")
LEAN_PHONE_DEG = record("lean_spread_phone", 1.5, "deg", PANEL, "lean, phone against the stem")
ANCHOR_TAPE_COV = record("anchor_spread_tape", 0.005, "1", PANEL, "distance to the anchor, tape")
ANCHOR_RANGEFINDER_M = record("anchor_spread_rangefinder", 0.5, "m", PANEL, "distance to the anchor, rangefinder")
ANCHOR_PACING_COV = record("anchor_spread_pacing", 0.07, "1", PANEL, "distance to the anchor, paced")
DENSITY_SPECIES_COV = record("density_spread_species", 0.07, "1", PANEL, "density, table of species")
DENSITY_WEIGHED_COV = record("density_spread_weighed", 0.03, "1", PANEL, "density, weighed piece")
