"""The solve_plan command: JSON in, JSON out, and an exit status that says how it went. No database is touched."""

import io
import json

import jsonschema
import pytest
from django.core.management import call_command

from tests.mechanics.plans import EXAMPLES, changed

TACKLE = {"topic": "tackle", "inputs": {"stages": [{"parts": 5, "rove": "to_advantage"}], "load_n": 3000}}
NINE_PARTS = changed(TACKLE, {"inputs.stages.0.parts": 9})
TEXT_PARTS = changed(TACKLE, {"inputs.stages.0.parts": "five"})


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Runs the command on a document (or text) and gives status, parsed output and the lines on standard error."""

    def run_on(document, *, by="file"):
        text = document if isinstance(document, str) else json.dumps(document)
        path = tmp_path / "request.json"
        path.write_text(text, "utf-8")
        monkeypatch.setattr("sys.stdin", io.StringIO(text))
        out, err = io.StringIO(), io.StringIO()
        try:
            call_command("solve_plan", "-" if by == "stdin" else str(path), stdout=out, stderr=err)
            status: object = 0
        except SystemExit as stop:
            status = stop.code
        return status, json.loads(out.getvalue()), err.getvalue().splitlines()

    return run_on


@pytest.mark.parametrize("by", ["file", "stdin"])
def test_one_request_is_answered_with_status_nought(run, by):
    status, answer, errors = run(TACKLE, by=by)
    assert (status, errors) == (0, [])
    assert answer["results"]["hauling_force_n"] == pytest.approx(732.5828, rel=1e-6)


def test_a_list_of_every_worked_example_is_answered_in_order(run):
    requests = [{"topic": example["topic"], "inputs": example["inputs"]} for example in EXAMPLES]
    status, answers, errors = run(requests)
    assert (status, errors) == (0, [])
    assert [answer["topic"] for answer in answers] == [request["topic"] for request in requests]
    assert all("results" in answer for answer in answers)


def test_a_refusal_ends_with_status_two_and_says_why(run):
    status, answers, errors = run([TACKLE, NINE_PARTS])
    assert (status, errors) == (2, [])
    assert answers[1] == {
        "topic": "tackle",
        "refused": "tackle-parts",
        "message": "A stage has 9 parts; the model covers 2 to 8.",
    }


def test_an_input_error_ends_with_status_one_and_one_line(run):
    status, answers, errors = run([TACKLE, NINE_PARTS, TEXT_PARTS])
    assert status == 1
    assert answers[2]["path"] == "inputs.stages[0].parts"
    assert errors == ["request 3: inputs.stages[0].parts: a whole number expected, not the text 'five'"]


def test_text_that_is_not_json_ends_with_status_one(run):
    status, answer, errors = run("{nonsense")
    assert status == 1
    assert answer["topic"] is None
    assert len(errors) == 1
    assert errors[0].startswith("not JSON")


def test_a_failed_plan_is_a_result_not_a_refusal(run):
    (plan,) = [example for example in EXAMPLES if "want of people" in example["title"]]
    status, answer, _ = run({"topic": "plan", "inputs": plan["inputs"]})
    assert status == 0
    assert answer["results"]["passes"] is False


def test_a_file_that_is_not_there_ends_with_status_one(tmp_path):
    out, err = io.StringIO(), io.StringIO()
    with pytest.raises(SystemExit) as stop:
        call_command("solve_plan", str(tmp_path / "nothing.json"), stdout=out, stderr=err)
    assert stop.value.code == 1
    assert "No such file" in json.loads(out.getvalue())["error"]
    assert err.getvalue().count("\n") == 1


def test_without_a_file_the_command_says_what_is_missing():
    out, err = io.StringIO(), io.StringIO()
    with pytest.raises(SystemExit) as stop:
        call_command("solve_plan", stdout=out, stderr=err)
    assert stop.value.code == 1
    assert "FILE is missing" in err.getvalue()


def test_schema_is_printed_and_holds_for_a_request():
    out = io.StringIO()
    call_command("solve_plan", "--schema", stdout=out)
    schema = json.loads(out.getvalue())
    jsonschema.validate([TACKLE], schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(TEXT_PARTS, schema)


def test_half_a_surrogate_pair_is_an_error_like_any_other(run):
    status, answer, _ = run('{"topic": "\\ud800", "inputs": {}}')
    assert (status, answer["path"]) == (1, "topic")
