"""A page and a paper print the same rows: what each chooses comes from one set."""

import pytest

from jobs.plans.key_figures import key_figures
from jobs.plans.page import plan_page
from jobs.plans.presentation import TO_PLAN_BY, TO_WORK_BY, chosen
from jobs.sheets.page_assign import assign_page
from jobs.sheets.path_rows import path_rows
from jobs.sheets.snapshot import printed_figures
from jobs.sheets.work_rows import duties
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import checked, edit_plan
from tests.jobs.test_paper import content

WRITE = UnitFormatter("metric")


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def test_page_and_paper_choose_among_the_same_large_figures(sheet):
    check = checked(sheet)
    rows = key_figures(check.plan_data, check.outcome)
    assert sorted(row.key for row in rows) == sorted((*TO_PLAN_BY, *TO_WORK_BY))
    page, paper = plan_page(check.plan_data, check.outcome), content(sheet)
    assert [(each.label, each.number) for each in page.figures] == [
        (row.label, WRITE.printed(row.value).number) for row in chosen(rows, TO_PLAN_BY)
    ]
    assert paper.key_figures == chosen(rows, TO_WORK_BY)


def test_snapshot_keeps_the_large_figures_as_the_paper_prints_them(sheet):
    kept = printed_figures(checked(sheet))
    assert [list(each) for each in kept] == [["label", "number", "unit", "note", "stop"]] * len(TO_WORK_BY)
    assert [each["stop"] for each in kept] == [True, False, False, False, False]


def test_load_path_of_page_and_paper_is_one(sheet):
    check = checked(sheet)
    rows = path_rows(check.positions)
    page = plan_page(check.plan_data, check.outcome)
    assert [line.row for group in page.path for line in group.rows] == sorted(rows, key=lambda row: order(page, row))
    assert content(sheet).load_path == tuple(row for row in rows if row.hung is not None)


def order(page, row):
    return [group.key for group in page.path].index(row.group)


def test_duties_of_page_and_paper_are_one(sheet):
    check = checked(sheet)
    rows = duties(check)
    held = list(sheet.duties.order_by("pk"))
    page = assign_page(check, held)
    assert tuple(group.duty for group in page.duties) == rows
    assert content(sheet).duties[1:] == tuple(row for row in rows if row.people)


def test_a_plan_without_a_result_has_no_large_figures(sheet):
    edit_plan(sheet, gust_m_s=None)
    check = checked(sheet)
    assert key_figures(check.plan_data, check.outcome) == ()
    assert printed_figures(check) == []
