"""The bridge from rows to a plan's request: the same JSON that other programs send."""

import json

import pytest

from jobs.calculation import calculate
from jobs.mechanics.convert import to_json
from jobs.mechanics.exchange import read_document, solve
from jobs.models import Redirect
from jobs.plan_request import plan_request
from jobs.species import find_species
from tests.factories.scenario import REDIRECT, unsaved_bundle

# Mechanics, section 11, "Spread by method of measurement": a panel's judgement, typed from that table.
SPREADS = [
    ({"attach_method": "climber"}, "attach_height", "sd", 0.1),
    ({"attach_method": "clinometer"}, "attach_height", "sd", 0.5),
    ({"attach_method": "stick"}, "attach_height", "sd", 1.0),
    ({"stem__lean_method": "plumb"}, "lean", "sd", 0.5),
    ({"stem__lean_method": "phone"}, "lean", "sd", 1.5),
    ({"anchor_distance_method": "tape"}, "anchor_distance", "cov", 0.005),
    ({"anchor_distance_method": "pacing"}, "anchor_distance", "cov", 0.07),
    ({"anchor_distance_method": "rangefinder", "anchor_distance_m": 25.0}, "anchor_distance", "cov", 0.5 / 25.0),
    ({"stem__green_density_kg_m3": None}, "green_density", "cov", 0.07),
    ({"stem__green_density_kg_m3": 900.0}, "green_density", "cov", 0.03),
]


def inputs(**changes):
    return plan_request(unsaved_bundle(**changes))


@pytest.mark.parametrize(("changes", "name", "measure", "value"), SPREADS)
def test_spread_follows_the_method_of_measurement(changes, name, measure, value):
    spread = inputs(**changes)["uncertainty"]["distributions"][name]
    assert spread == {"distribution": "normal", measure: pytest.approx(value)}


def test_request_goes_through_the_exchange_and_gives_the_same_figures():
    bundle = unsaved_bundle()
    text = json.dumps({"topic": "plan", "inputs": plan_request(bundle)})
    answer = solve(read_document(text))
    assert "error" not in answer
    assert answer["results"] == calculate(bundle).results_json()
    assert answer["results"]["stem_tension_n"] > 0


def test_same_bundle_gives_the_same_request():
    assert inputs() == inputs()


def test_nothing_of_the_request_is_left_to_a_default_of_the_tree():
    tree = inputs()["tree"]
    assert all(value is not None for value in tree.values())
    assert tree["sections"][0] == {"height_m": 0.0, "diameter_m": 0.5}


@pytest.mark.parametrize("where", ["hinge_soundness", "attachment_soundness"])
def test_rot_where_it_matters_is_sent_as_decay(where):
    assert inputs()["tree"]["decay"] is False
    assert inputs(**{f"stem__{where}": "unsound"})["tree"]["decay"] is True


def test_crown_is_sent_only_when_there_is_one():
    assert inputs()["tree"]["crown"][0]["mass_kg"] == 40.0
    assert "crown" not in inputs(stem__crown="bare")["tree"]


def test_weighed_density_stands_before_the_table():
    assert inputs()["tree"]["green_density_kg_m3"] == 900.0
    by_table = find_species("common-alder").green_density_kg_m3
    assert by_table != 900.0
    assert inputs(stem__green_density_kg_m3=None)["tree"]["green_density_kg_m3"] == by_table


def test_wood_splits_easily_by_table_or_by_answer():
    assert inputs(stem__split_prone="yes")["hinge"]["split_prone"] is True


def test_company_limit_of_the_wind_is_sent():
    bundle = unsaved_bundle()
    bundle.job.company.wind_stop_m_s = 7.5
    assert plan_request(bundle)["wind"] == {"gust_m_s": 6.0, "working_limit_m_s": 7.5}


def test_ring_sends_friction_and_block_sends_what_is_kept():
    block = Redirect(**REDIRECT, kind="sheave", friction_ratio=0.9)
    ring = Redirect(**REDIRECT | {"number": 2}, kind="ring", friction_ratio=0.2)
    sent = inputs(redirects=(block, ring))["line"]["redirects"]
    assert sent[0]["efficiency"] == 0.9
    assert "friction_coeff" not in sent[0]
    assert sent[1]["friction_coeff"] == 0.2
    assert "efficiency" not in sent[1]


def test_only_the_cutter_with_an_escape_route_is_exempt():
    places = {place["place"]: place["exempt"] for place in inputs()["places"]}
    assert places == {"haulers": False, "bollard_tender": False, "lookout": False, "cutter": True}


def test_side_line_and_restraint_are_sent_only_when_rigged():
    assert not {"side_line", "restraint", "travel"} & inputs().keys()


def test_result_of_a_plan_is_plain_json():
    outcome = calculate(unsaved_bundle())
    assert json.loads(json.dumps(to_json(outcome.result), allow_nan=False)) == outcome.results_json()
