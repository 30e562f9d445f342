"""The command that other programs ask."""

import datetime as dt
import io
import json

import pytest
from django.core.management import CommandError, call_command

from tests.factories.gear import ItemFactory

pytestmark = pytest.mark.django_db


def run(*args):
    """What the command printed and how it ended."""
    out = io.StringIO()
    try:
        call_command("gear_status", *args, stdout=out)
    except CommandError as error:
        return out.getvalue(), error.returncode, str(error)
    return out.getvalue(), 0, ""


def test_a_store_of_fit_items_ends_with_nought(company):
    ItemFactory(company=company, tag="B-06")
    ItemFactory(company=company, tag="R-02", retired=True)
    out, code, _ = run()
    assert code == 0
    assert "2 items, 1 fit, 1 retired" in out
    assert "B-06  Double block, side by side: fit" in out


def test_an_unfit_item_ends_with_two_and_says_why(company):
    ItemFactory(company=company, tag="B-04", quarantined=True)
    out, code, error = run()
    assert code == 2
    assert "quarantined: Out of use since" in out
    assert error == "1 items in service are not fit."


def test_a_later_day_finds_what_lapses_until_then(company):
    item = ItemFactory(company=company)
    day = item.next_due_on
    assert run("--on", day.isoformat())[1] == 0
    out, code, _ = run("--on", (day + dt.timedelta(days=1)).isoformat())
    assert code == 2
    assert "overdue: Due on" in out


def test_json_gives_codes_dates_and_cures(company):
    item = ItemFactory(company=company, tag="S-03", overdue=True)
    out, code, _ = run("--json", "--company", str(company.pk))
    assert code == 2
    (said,) = json.loads(out)
    (row,) = said["items"]
    assert (row["tag"], row["fit"], row["next_due_on"]) == ("S-03", False, item.next_due_on.isoformat())
    (reason,) = row["reasons"]
    assert (reason["code"], reason["figure"]) == ("overdue", item.next_due_on.isoformat())
    assert reason["cure"]


@pytest.mark.parametrize("args", [("--on", "25/11/2026"), ("--company", "Nobody and Sons")])
def test_a_wrong_input_ends_with_one_and_one_clear_line(company, args):
    out, code, error = run(*args)
    assert (out, code) == ("", 1)
    assert "\n" not in error


def test_only_the_company_asked_for_is_shown(company):
    ItemFactory(company=company, tag="B-06")
    ItemFactory(tag="X-99", overdue=True)
    out, code, _ = run("--company", company.name)
    assert "X-99" not in out
    assert code == 0
