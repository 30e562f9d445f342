"""A sheet prints numbers as its company writes them, by page and by command alike."""

import json

import pytest

from crewlog.models import Company
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import fresh

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("mark", "other"), [("comma", "."), ("point", ",")])
def test_sheet_issued_outside_a_request_prints_the_companys_decimal_mark(company, lead, mark, other):
    Company.objects.filter(pk=company.pk).update(decimal_mark=mark)
    sheet = passing_sheet(company, lead=lead.person)
    issue = issue_sheet(actor=lead, sheet=fresh(sheet), looked_at=EVERYTHING)
    numbers = [figure["number"] for figure in json.loads(issue.snapshot)["figures"]]
    assert len(numbers) == 5
    assert not any(other in number for number in numbers)
    assert any(("," if mark == "comma" else ".") in number for number in numbers)
