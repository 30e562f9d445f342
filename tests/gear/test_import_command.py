"""The command that brings a list in: what it prints and how it ends."""

import io
import json

import pytest
from django.core.management import CommandError, call_command

from gear.models import GearItem

pytestmark = pytest.mark.django_db
GOOD = "Tag,Class,Name,WLL,Uses\nB-1,Block,b,12,Measuring\n"
TWINS = "Tag,Class,Name,Uses,Maker,Serial\nB-3,Block,b,Measuring,m,1\nB-4,Block,b,Measuring,m,1\n"


@pytest.fixture
def run(owner, tmp_path):
    """A function: (exit code, what was printed, the last line) of the command on a list."""

    def run(text, *options, email=owner.user.email):
        path = tmp_path / "gear.csv"
        path.write_text(text)
        out = io.StringIO()
        try:
            call_command("import_gear", str(path), "--as", email, *options, stdout=out)
        except CommandError as error:
            return error.returncode, out.getvalue(), str(error)
        except SystemExit as ended:
            return ended.code, out.getvalue(), ""
        return 0, out.getvalue(), ""

    return run


def test_a_right_list_comes_in_and_a_second_time_changes_nothing(run):
    code, out, _ = run(GOOD, "--unit", "WLL=kN")
    assert (code, "1 new items imported" in out) == (0, True)
    assert GearItem.objects.get().working_load_limit_n == 12_000
    assert json.loads(run(GOOD, "--unit", "WLL=kN", "--json")[1]) == {"brought_in": True, "new": 0, "already_there": 1}


def test_a_dry_run_changes_nothing(run):
    code, out, _ = run(GOOD, "--unit", "WLL=kN", "--dry-run")
    assert (code, "nothing was changed" in out, GearItem.objects.count()) == (0, True, 0)


def test_a_unit_that_is_not_said_is_asked_for(run):
    code, out, last = run(GOOD)
    assert code == 1
    assert "Row 1, column D (WLL): Say in which unit its numbers are" in out
    assert last == "1 thing to correct in the list; nothing was imported."


def test_faults_end_with_one_by_row_and_column_in_json_too(run):
    wrong = GOOD.replace("Block", "Hammock")
    assert run(wrong, "--unit", "WLL=kN")[:2][1].startswith("Row 2, column B (Class): “Hammock”: Write one of")
    code, out, _ = run(wrong, "--unit", "WLL=kN", "--json")
    (fault,) = json.loads(out)["faults"]
    assert (code, fault["row"], fault["column"], fault["read"]) == (1, 2, "B", "Hammock")
    assert not GearItem.objects.exists()


def test_same_serials_are_refused_with_two_until_they_are_confirmed(run):
    assert run(TWINS)[0] == 2
    assert run(TWINS, "--other-things")[0] == 0


@pytest.mark.parametrize(
    "options", [("--unit", "WLL=furlong"), ("--column", "Nothing=tag"), ("--column", "WLL=colour")]
)
def test_options_that_name_nothing_end_with_one_and_one_line(run, options):
    code, out, last = run(GOOD, *options)
    assert (code, out) == (1, "")
    assert "\n" not in last


def test_only_an_owner_whose_access_stands_brings_a_list_in(run, lead):
    assert run(GOOD, email=lead.user.email) == (1, "", f"{lead.user.email} is crew lead; only an owner imports lists.")
    assert run(GOOD, email="nobody@example.test")[0] == 1


def test_an_empty_file_is_one_clear_line(run):
    assert run("") == (1, "", "The file is empty. Choose the list itself.")
