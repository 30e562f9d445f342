"""One check holds a sheet against every rule at once and says what each position carries."""

import datetime as dt

import pytest

from jobs.models import Assignment, Job, Sheet
from jobs.sheets.check import check_sheet, deduplicated, last_day
from jobs.wording.finding import Finding
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import checked, codes, edit_item, edit_plan, edit_stem, fresh, refusal


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def finding(**facts):
    whole = {"code": "unfit", "severity": "refusal", "area": "gear", "title": "t", "text": "x", "cure": "c"}
    return Finding(**whole | facts)


def test_every_position_shows_what_hangs_there_and_what_it_carries(sheet):
    check = checked(sheet)
    result = check.outcome.result
    for row in check.positions:
        if row.is_optional and not row.is_filled:
            continue
        assert row.is_filled
        assert row.load_n == result.loads_n[row.role]
        assert row.use.capacity_n > row.use.load_n > 0


def test_positions_run_from_the_stem_to_the_anchor(sheet):
    roles = [row.role for row in checked(sheet).positions]
    assert roles.index("stem_sling") < roles.index("main_line") < roles.index("moving_block") < roles.index("anchor")
    assert "side_line" not in roles


def test_refusal_of_a_position_stands_in_its_row(sheet):
    edit_item(sheet, "cleat", working_load_limit_n=10.0)
    check = checked(sheet)
    assert [f.full_code for f in check.by_role["cleat"].refusals] == ["under-rated:cleat"]
    assert check.by_role["moving_block"].refusals == ()
    assert not check.stands


def test_refusals_come_in_the_order_of_danger(sheet):
    edit_plan(sheet, gust_m_s=11.5)
    edit_item(sheet, "cleat", working_load_limit_n=10.0)
    edit_stem(sheet, hung_up="")
    dangers = [f.danger for f in checked(sheet).refusals]
    assert dangers == sorted(dangers)


def test_cautions_stop_nothing(sheet):
    edit_item(sheet, "fixed_block", sheave_diameter_mm=45.0)  # 12 mm rope: 3.75, a caution under 4 (panel's judgement)
    check = checked(sheet)
    assert "sheave-small:tackle_rope" in {f.full_code for f in check.cautions}
    assert check.stands


def test_unanswered_plan_shows_gear_and_crew_faults_beside_it(sheet):
    edit_plan(sheet, gust_m_s=None)
    edit_item(sheet, "moving_block", marking_illegible=True)
    sheet.duties.filter(duty="lookout").delete()
    assert codes(sheet) == {"unknown:gust", "unfit:moving_block", "duty-empty:lookout"}


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda s, today: Sheet.objects.filter(pk=s.pk).update(day=today + dt.timedelta(days=9)), "day-outside-job"),
        (lambda s, today: Job.objects.update(closed_on=today), "job-closed"),
    ],
)
def test_sheet_belongs_to_a_day_of_an_open_job(sheet, company, change, code):
    change(sheet, company.today())
    assert codes(sheet) == {code}


def test_sheet_of_a_day_gone_by_is_refused(sheet, company):
    yesterday = company.today() - dt.timedelta(days=1)
    Job.objects.update(first_day=yesterday)
    Sheet.objects.filter(pk=sheet.pk).update(day=yesterday)
    assert codes(sheet) == {"day-past"}


def test_today_is_the_companys_own_day(sheet, company):
    """UTC+14 is ahead of UTC-12 by more than a day at any moment, so one day cannot be today for both."""
    day = sheet.day
    Job.objects.update(first_day=day - dt.timedelta(days=3), last_day=day + dt.timedelta(days=3))
    for zone in ("Pacific/Kiritimati", "Etc/GMT+12"):
        company.time_zone = zone
        company.save()
        Sheet.objects.filter(pk=sheet.pk).update(day=company.today() - dt.timedelta(days=1))
        assert "day-past" in codes(sheet)
        Sheet.objects.filter(pk=sheet.pk).update(day=company.today())
        assert "day-past" not in codes(sheet)


def test_gear_is_judged_to_the_later_of_job_and_sheet():
    job = Job(first_day=dt.date(2026, 3, 2), last_day=dt.date(2026, 3, 4))
    assert last_day(Sheet(day=dt.date(2026, 3, 3)), job) == dt.date(2026, 3, 4)
    assert last_day(Sheet(day=dt.date(2026, 3, 9)), job) == dt.date(2026, 3, 9)


def test_same_finding_is_listed_once_and_two_alike_are_both():
    once, other = finding(subject="cleat"), finding(subject="cleat", text="another reason")
    assert list(deduplicated((once, once, other))) == [once, other]


def test_overdue_item_is_named_by_its_fitness_alone():
    overdue = finding(code="overdue", subject="cleat")
    assert list(deduplicated((overdue,))) == [overdue]
    assert list(deduplicated((overdue, finding(subject="cleat")))) == [finding(subject="cleat")]


def test_every_refusal_says_what_and_what_would_cure_it(sheet):
    edit_plan(sheet, gust_m_s=11.5, haulers=1)
    edit_item(sheet, "cleat", working_load_limit_n=10.0)
    edit_item(sheet, "moving_block", marking_illegible=True)
    Assignment.objects.filter(sheet=sheet, role="stem_sling").delete()
    for found in checked(sheet).refusals:
        assert found.title
        assert found.text
        assert found.cure
        assert "safe" not in f"{found.title} {found.text}".lower().split()


def test_refusal_gives_figure_and_limit(sheet):
    edit_item(sheet, "cleat", working_load_limit_n=100.0)
    text = refusal(sheet, "under-rated:cleat").text.replace("\u00a0", " ")
    assert "0.70 kN" in text  # 0.691 kN, rounded up
    assert "0.10 kN" in text


def test_check_writes_nothing(sheet, django_assert_max_num_queries):
    row = fresh(sheet)
    with django_assert_max_num_queries(20) as asked:
        check_sheet(row)
    assert all(q["sql"].lstrip().upper().startswith("SELECT") for q in asked.captured_queries)
