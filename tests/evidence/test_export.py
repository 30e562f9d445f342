"""An exported chain, and the program of one file that checks it without Crewlog."""

import ast
import json
import subprocess
import sys

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from crewlog.evidence import Entry, append, chain_head
from crewlog.evidence.export import VERIFIER, chain_lines
from crewlog.evidence.standalone import verify_chain
from crewlog.models import PersonDetails, Record
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.crewlog import PersonFactory
from tests.factories.jobs import passing_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def lines(chain):
    person = PersonFactory(company=chain, name="Zoë Ångström-Ñuñez")
    append(
        chain,
        "test.note",
        Entry(actor=person, from_paper=True, device_offset_min=-60),
        body={"words": "é “x” \u2028 / \x7f"},
    )
    append(chain, "test.note", Entry(actor=None), body={"chain_head": chain_head(chain)})
    return [json.loads(line) for line in chain_lines(chain, names=True)]


def checked(tmp_path, lines, *words):
    """The program as an insurer runs it, in a process without any path of ours."""
    path = tmp_path / "chain.jsonl"
    path.write_text("".join(json.dumps(line, ensure_ascii=False) + "\n" for line in lines), encoding="utf-8")
    command = [sys.executable, "-I", "-S", str(VERIFIER), str(path), *words]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=tmp_path)


def records(lines):
    return [line["record"] for line in lines if "record" in line]


def test_its_hash_agrees_with_ours_on_every_kind_of_value(lines, chain):
    hashes = list(Record.objects.for_company(chain).order_by("sequence").values_list("hash", flat=True))
    assert [verify_chain.record_hash(record) for record in records(lines)] == hashes


def test_a_whole_chain_is_whole_and_a_kept_head_stands(lines, chain, tmp_path):
    done = checked(tmp_path, lines, "--since", records(lines)[2]["hash"])
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [f"Whole: 6 records, head {chain_head(chain)}", "       6 test.note"]
    assert checked(tmp_path, lines, "--since", "f" * 64).returncode == 2


def test_a_chain_with_an_issued_sheet_is_whole(company, lead, tmp_path):
    issue_sheet(actor=lead, sheet=passing_sheet(company, lead=lead.person), looked_at=EVERYTHING)
    done = checked(tmp_path, [json.loads(line) for line in chain_lines(company, names=True)])
    assert done.returncode == 0, done.stdout + done.stderr
    assert "jobs.sheet-issued" in done.stdout


def test_it_stands_alone_on_python_3_9():
    source = VERIFIER.read_text()
    tree = ast.parse(source, feature_version=(3, 9))
    imported = {name.name for node in ast.walk(tree) if isinstance(node, ast.Import) for name in node.names}
    assert imported == {"argparse", "datetime", "hashlib", "json", "sys"}
    assert {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)} == {
        "__future__",
        "collections.abc",
        "typing",
    }


def rehashed(record):
    record["hash"] = verify_chain.record_hash(record)


def change_body(lines):
    records(lines)[1]["body"] = '{"n":7}'


def change_body_and_hash(lines):
    change_body(lines)
    rehashed(records(lines)[1])


def remove(lines):
    lines.remove({"record": records(lines)[2]})


def swap(lines):
    lines[2], lines[3] = lines[3], lines[2]


def enter_earlier(lines):
    records(lines)[-1]["entered_at"] = records(lines)[-1]["happened_at"] = "2020-01-01T00:00:00+00:00"
    rehashed(records(lines)[-1])


def happen_later(lines):
    records(lines)[-1]["happened_at"] = "2090-01-01T00:00:00+00:00"
    rehashed(records(lines)[-1])


def move_head(lines):
    records(lines)[-1]["body"] = json.dumps({"chain_head": "e" * 64})
    rehashed(records(lines)[-1])


def change_name(lines):
    next(line["name"] for line in lines if "name" in line)["name"] = "Somebody Else"


def other_company(lines):
    records(lines)[-1]["company"] = 99
    rehashed(records(lines)[-1])


def cut_and_end(lines):
    lines.remove({"record": records(lines)[-1]})


@pytest.mark.parametrize(
    ("attack", "says"),
    [
        (change_body, "record 2 (test.note) was changed after it was entered"),
        (change_body_and_hash, "record 3 (test.note) does not follow from the one before it"),
        (remove, "record 3 is missing: record 4 stands in its place"),
        (swap, "record 2 is missing"),
        (enter_earlier, "says that it was entered before the one it follows"),
        (happen_later, "was entered before it happened"),
        (move_head, "stored with it does not stand in the chain before it"),
        (change_name, "is not the one that the records were entered with"),
        (other_company, "is of company 99"),
        (cut_and_end, "the file ends with 6 records, but holds 5"),
    ],
)
def test_each_tampering_is_caught(lines, tmp_path, attack, says):
    attack(lines)
    done = checked(tmp_path, lines, "--all")
    assert done.returncode == 2, done.stdout + done.stderr
    assert says in done.stdout


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda lines: lines.pop(), "the last line is missing"),
        (lambda lines: lines.pop(0), "does not say that this is an exported chain"),
        (lambda lines: lines[0]["chain"].update(version=2), "the format is version 2"),
        (lambda lines: lines.append(lines[1]), "stands after the end"),
        (lambda lines: lines.insert(1, {"row": {}}), "is of a sort that this program does not know"),
        (lambda lines: lines[1]["record"].pop("body"), "lacks something"),
        (lambda lines: lines.insert(1, []), "is no line of an exported chain"),
    ],
)
def test_what_is_no_whole_export_is_one_line_and_exit_1(lines, tmp_path, spoil, says):
    spoil(lines)
    done = checked(tmp_path, lines)
    assert done.returncode == 1
    assert says in done.stderr
    assert done.stderr.count("\n") == 1


def test_wrong_arguments_are_one_line_and_exit_1(tmp_path):
    done = subprocess.run([sys.executable, str(VERIFIER)], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)


def test_the_command_writes_names_only_where_asked_and_over_no_file(chain, tmp_path, capsys):
    path = tmp_path / "chain.jsonl"
    call_command("export_chain", company=chain.pk, out=str(path))
    assert "Mab Ostler" not in path.read_text()
    assert verify_chain.main([str(path)]) == 0
    with pytest.raises(CommandError, match="exists already"):
        call_command("export_chain", company=chain.pk, out=str(path))
    call_command("export_chain", company=chain.pk, out=str(tmp_path / "named.jsonl"), names=True)
    salt = PersonDetails.objects.get(name="Mab Ostler").salt
    assert salt in (tmp_path / "named.jsonl").read_text()
    with pytest.raises(CommandError, match="There is no company"):
        call_command("export_chain", company=0, out=str(tmp_path / "none.jsonl"))


def test_the_owner_and_the_auditor_get_both_from_the_records_page(owner, auditor, lead, signed_in, tmp_path):
    for member in (owner, auditor):
        client = signed_in(member)
        assert reverse("chain_export") in client.get(reverse("records")).content.decode()
        export = b"".join(client.get(reverse("chain_export")).streaming_content)
        assert b'"name":' not in export.split(b"\n", 1)[1]
        program = b"".join(client.get(reverse("chain_verifier")).streaming_content)
        assert program == VERIFIER.read_bytes()
    assert reverse("chain_export") not in signed_in(lead).get(reverse("records")).content.decode()
