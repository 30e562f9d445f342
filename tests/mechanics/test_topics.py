"""What a request gives of its own accord has its effect: no optional input is read and then forgotten."""

from jobs.mechanics.exchange import solve
from tests.mechanics.test_exchange import EVERY_TOPIC
from tests.rows import every_row

OPTIONAL = [
    ("pull", "margins", {"adverse_factor": 1.7}),
    ("pull", "table_angles_deg", [0.0, 10.0]),
    ("window", "options", {"bending_fraction": 0.2}),
    ("crew", "sustained_force_n", 200),
    ("crew", "peak_force_n", 700),
    ("crew", "best_sheave_efficiency", 0.96),
    ("travel", "slack_m", 0.5),
    ("bollard", "friction_low", 0.11),
    ("bollard", "friction_high", 0.31),
    ("bollard", "wraps", 5),
    ("uncertainty", "distributions", {"lean": {"distribution": "fixed"}}),
    ("uncertainty", "samples", 300),
    ("uncertainty", "seed", 2),
    ("measured_efficiency", "confidence", 0.9),
]


def results(topic, inputs):
    return solve({"topic": topic, "inputs": inputs})["results"]


@every_row(("topic", "name", "value"), OPTIONAL)
def test_optional_input_has_its_effect(topic, name, value):
    inputs = EVERY_TOPIC[topic]
    assert results(topic, inputs | {name: value}) != results(topic, inputs)


def test_crews_inputs_have_no_effect_on_the_tackle_alone():
    inputs = EVERY_TOPIC["tackle"]
    assert results("tackle", inputs | {"people": 9, "peak_force_n": 1}) == results("tackle", inputs)


def test_hinge_line_moves_the_arm_of_the_line():
    deeper = EVERY_TOPIC["line"]["hinge"] | {"notch_depth_ratio": 0.30}
    before, after = (results("line", EVERY_TOPIC["line"] | hinge) for hinge in ({}, {"hinge": deeper}))
    assert after["lever_arm_m"] != before["lever_arm_m"]
    assert after["direction"] == before["direction"]
