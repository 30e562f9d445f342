"""From rows to the mechanics' input, and to the request that other programs send: one and the same."""

import json
import math

import pytest
from jsonschema import Draft202012Validator

from jobs.mechanics import DEFAULTS
from jobs.mechanics.convert import to_json
from jobs.mechanics.exchange import read_document, solve
from jobs.mechanics.schema import exchange_schema
from jobs.models import Redirect
from jobs.plans.calculation import calculate
from jobs.plans.request_json import read_request, request_json, results_json
from jobs.plans.to_mechanics import to_plan_input
from jobs.stems.species import find_species
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
    return request_json(to_plan_input(unsaved_bundle(**changes)))


@pytest.mark.parametrize(("changes", "name", "measure", "value"), SPREADS)
def test_spread_follows_the_method_of_measurement(changes, name, measure, value):
    spread = inputs(**changes)["uncertainty"]["distributions"][name]
    assert spread == {"distribution": "normal", measure: pytest.approx(value)}


def test_request_goes_through_the_exchange_and_gives_the_same_figures():
    bundle = unsaved_bundle()
    text = json.dumps({"topic": "plan", "inputs": request_json(to_plan_input(bundle))})
    answer = solve(read_document(text))
    assert "error" not in answer
    assert answer["results"] == results_json(calculate(bundle).result)
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
    assert request_json(to_plan_input(bundle))["wind"] == {"gust_m_s": 6.0, "working_limit_m_s": 7.5}


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
    assert json.loads(json.dumps(to_json(outcome.result), allow_nan=False)) == results_json(outcome.result)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"second_parts": 3, "second_efficiency_ratio": 0.9},
        {"stem__crown": "bare", "hinge_width_m": 0.3, "bollard_wraps": 3.0, "cut_method": "bore_with_strap"},
        {
            "side_line": True,
            "side_attach_height_m": 5.0,
            "side_anchor_distance_m": 10.0,
            "side_anchor_azimuth_deg": 5.0,
            "side_anchor_slope_deg": 0.0,
            "side_anchor_height_m": 0.3,
        },
    ],
    ids=["plain", "two tackles", "answers that may stay open", "side line"],
)
def test_request_is_read_back_as_the_same_input_and_fits_the_schema(changes):
    asked = to_plan_input(unsaved_bundle(**changes))
    request = request_json(asked)
    assert read_request(json.loads(json.dumps(request))) == asked
    assert list(Draft202012Validator(exchange_schema()).iter_errors({"topic": "plan", "inputs": request})) == []


def test_answers_that_equal_a_default_are_written_and_what_nobody_is_asked_is_not():
    request = inputs(stem__lean_deg=0.0, notch_depth_ratio=DEFAULTS["notch_depth"].value, hitch_spread_deg=0.0)
    assert request["tree"]["lean_deg"] == 0.0
    assert request["hinge"]["notch_depth_ratio"] == DEFAULTS["notch_depth"].value
    assert request["hitch_spread_deg"] == 0.0
    assert "rupture_modulus_cov" not in request["hinge"]
    assert "margins" not in request
    assert "tail_m" not in request["stages"][0]


@pytest.mark.parametrize(
    ("changes", "subject"),
    [
        ({"rove": "sideways"}, "stages[0]_rove"),
        ({"hitch_spread_deg": 400.0}, "hitch_spread_deg"),
        ({"anchor_slope_deg": 89.5}, "line_anchor_slope_deg"),
        ({"attach_height_m": math.inf}, "line_attach_height_m"),
        ({"bollard_hand_n": 0.0}, "bollard_hand_force_n"),
        ({"anchor_distance_m": 0.5, "anchor_tolerance_m": 1.0}, "line_anchor_distance_m"),
    ],
)
def test_answer_that_the_mechanics_does_not_take_is_a_finding_that_names_it(changes, subject):
    (finding,) = calculate(unsaved_bundle(**changes)).findings
    assert (finding.code, finding.subject, finding.severity) == ("unknown", subject, "refusal")
