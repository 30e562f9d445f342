"""Lists that go out: what they hold, that no cell runs, and that they come in again as they were."""

import csv
import datetime as dt
import io
import json

import openpyxl
import pytest
from django.utils import timezone

from crewlog.dates import local_day
from crewlog.models import Record
from gear.events.retire import retire_item
from gear.fact_changes.services import answer_change
from gear.failures.services import Telling, take_back_failure, tell_employer
from gear.lists.checking import check_list
from gear.lists.history_out import history_table
from gear.lists.register_out import template_table
from gear.lists.services import plan_for
from gear.lists.source import open_source
from gear.lists.table import Heading, Table, csv_lines, json_lines, workbook_file
from gear.models import FailureFound, GearItem
from gear.register.editable import snapshot
from gear.register.services import change_item
from gear.register.store_list import StoreFilter
from tests.factories.crewlog import CompanyFactory, MembershipFactory
from tests.factories.gear import ItemFactory, examined, examiner
from tests.gear.fact_changes.changing import carabiner, change
from tests.gear.lists import bring_in, csv_bytes, register_csv, register_xlsx, table_of
from tests.gear.rounds import answer, opened, row_of
from tests.given import Given

pytestmark = pytest.mark.django_db
BAD_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def cells_of(data):
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def history_csv(company, narrow=None):
    table = history_table(company=company, on=company.today(), narrow=narrow or StoreFilter())
    rows = cells_of("".join(csv_lines(table)).encode())
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


@pytest.mark.parametrize("start", BAD_STARTS)
@pytest.mark.parametrize("make", [register_csv, register_xlsx])
def test_no_cell_that_goes_out_is_run_and_each_comes_back(owner, company, start, make):
    text = f"{start}HYPERLINK(1)"
    ItemFactory(company=company, tag="B-01", notes=text, maker=text, description=f"'{text}")
    data = make(company)
    if make is register_csv:
        assert not [cell for row in cells_of(data)[1:] for cell in row if cell.startswith(BAD_STARTS)]
    else:
        sheet = openpyxl.load_workbook(io.BytesIO(data)).active
        assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "inlineStr", "n", "d"}
        assert not [c.value for row in sheet.iter_rows() for c in row if str(c.value).startswith(BAD_STARTS)]
    there = MembershipFactory(company=CompanyFactory())
    bring_in(there, data)
    item = GearItem.objects.get(company=there.company)
    assert (item.notes, item.maker, item.description) == (text, text, f"'{text}")


def test_numbers_and_days_of_a_workbook_stay_numbers_and_days(company):
    ItemFactory(company=company, rope=True, mass_kg=0.1)
    sheet = openpyxl.load_workbook(io.BytesIO(register_xlsx(company))).active
    row: Given = dict(zip((str(c.value) for c in sheet[1]), sheet[2], strict=True))
    assert (row["Mass (kg)"].value, row["Minimum breaking strength (N)"].value) == (0.1, 45_000)
    assert row["Made on"].is_date


def test_a_text_that_spreadsheets_take_for_a_fault_stays_a_text(company):
    ItemFactory(company=company, notes="#N/A")
    sheet = openpyxl.load_workbook(io.BytesIO(register_xlsx(company))).active
    assert [c.data_type for c in sheet[2] if c.value == "#N/A"] == ["s"]


def test_figures_go_out_in_si_and_as_the_company_reads_them(company):
    company.unit_system = "us"
    company.save()
    ItemFactory(company=company, working_load_limit_n=11_999.9, length_m=3.0)
    plain, shown = cells_of(register_csv(company)), cells_of(register_csv(company, as_shown=True))
    row = dict(zip(*shown, strict=True))
    assert row["Working load limit (N)"] == "11999.9"
    assert row["Working load limit, as shown (lbf)"] == "2697.0"  # down
    assert row["Length now, as shown (ft)"] == "9.84"
    assert len(plain[0]) < len(shown[0])


@pytest.mark.parametrize("make", [register_csv, register_xlsx])
@pytest.mark.parametrize("as_shown", [False, True])
def test_a_list_brought_in_where_it_came_from_changes_nothing(owner, company, make, as_shown):
    tackle = ItemFactory(company=company, tag="T-01", gear_class="tackle_set", parts_expected=2)
    ItemFactory(company=company, tag="B-01", assembly=tackle, spliced_by=owner.person)
    ItemFactory(company=company, tag="R-01", rope=True, overdue=True)
    ItemFactory(company=company, tag="R-02", parent=GearItem.objects.get(tag="R-01"), rope=True, retired=True)
    ItemFactory(company=company, tag="S-01", sling=True, quarantined=True)
    records = Record.objects.count()
    done = bring_in(owner, make(company, as_shown=as_shown))
    assert (done.new, done.same, Record.objects.count()) == (0, 5, records)


@pytest.mark.parametrize("make", [register_csv, register_xlsx])
def test_a_list_brought_in_elsewhere_gives_the_same_register(owner, company, make):
    tackle = ItemFactory(company=company, tag="T-01", gear_class="tackle_set", parts_expected=2)
    ItemFactory(company=company, tag="B-01", assembly=tackle, sheave_efficiency=0.96, sheave_efficiency_origin="maker")
    rope = ItemFactory(company=company, tag="R-01", rope=True, terminations=["sewn_eye", "double_fisherman"])
    piece = ItemFactory(company=company, tag="R-02", rope=True, parent=rope, length_m=1 / 3)
    retire_item(actor=owner, item=piece, because="cut strand", disposal="destroyed")
    there = MembershipFactory(company=CompanyFactory())
    bring_in(there, make(company))
    assert facts(there.company) == facts(company)
    assert register_csv(there.company).count(b"Retired") == register_csv(company).count(b"Retired")


def facts(company):
    """Every fact of every item, references by tag."""
    result = {}
    for item in GearItem.objects.for_company(company).select_related("assembly", "parent", "retirement"):
        said = snapshot(item) | {"gear_class": item.gear_class, "retired": (item.retired_on, item.retired_because)}
        said |= {name: getattr(item, name) and getattr(item, name).tag for name in ("assembly", "parent")}
        result[item.tag] = said
    return result


def test_the_lists_filter_is_that_of_the_store(company):
    ItemFactory(company=company, tag="B-01")
    ItemFactory(company=company, tag="R-01", rope=True, overdue=True)
    rows = cells_of(register_csv(company, narrow=StoreFilter(status="overdue")))
    assert [row[0] for row in rows[1:]] == ["R-01"]
    assert {row["Tag"] for row in history_csv(company, StoreFilter(gear_class="block"))} == {"B-01"}


def test_the_history_says_failures_tellings_and_changes_of_facts_in_words_and_on_their_day(owner, inspector, company):
    item = carabiner(company)
    draft = opened(examiner(inspector), item)
    typed = {f"answer_{item.declared.checklist.points[0].code}": "fail"}
    answer(inspector, draft, item, **typed, **{name.replace("answer", "saw"): "bent" for name in typed})
    when = timezone.now() + dt.timedelta(minutes=1)
    telling = Telling(when, "by telephone", authority_copy="sent on Monday")
    tell_employer(actor=inspector, failure=FailureFound.objects.get(), telling=telling)
    answer(inspector, draft, item, **dict.fromkeys(typed, "good"))
    take_back_failure(actor=inspector, row=row_of(draft, item), because="glove on the tile", looked_at_again=True)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    answer_change(actor=inspector, change=made, agrees=False, words="Reads 50.")
    said = {row["Kind of record"]: row for row in history_csv(company)}
    words = {kind: row["In words"] for kind, row in said.items()}
    assert words["gear.failure-found"] == f"{item.declared.checklist.points[0].words}: bent"
    assert words["gear.employer-told"] == "by telephone: copy to the authority sent on Monday"
    assert words["gear.failure-mistaken"] == "glove on the tile"
    assert words["gear.fact-change"].endswith(
        ": 50000.0 → 90000.0. The marking was read wrongly: Stamp is 90, the 9 was worn and read as 5."
    )
    assert words["gear.fact-change-answer"] == "Does not agree: Reads 50."
    days = {said[kind]["On"] for kind in ("gear.failure-found", "gear.failure-mistaken", "gear.fact-change-answer")}
    assert days == {company.today().isoformat()}
    assert said["gear.employer-told"]["On"] == local_day(when, company.time_zone).isoformat()


def test_another_companys_items_and_records_do_not_go_out(company, outsider):
    ItemFactory(company=outsider.company, tag="X-99")
    assert b"X-99" not in register_csv(company)
    assert history_csv(company) == []


def test_the_history_holds_each_record_with_its_place_its_hash_and_what_was_said(owner, company):
    item = ItemFactory(company=company, tag="R-01", rope=True, quarantined=True)
    change_item(actor=owner, item=item, storage_place="Van 2")
    retire_item(actor=owner, item=item, because="cut strand", disposal="destroyed", on=company.today())
    rows = history_csv(company)
    records = list(Record.objects.for_company(company).filter(kind__startswith="gear.").order_by("sequence"))
    assert [(row["Record no."], row["Hash"], row["Hash of the one before"]) for row in rows] == [
        (str(r.sequence), r.hash, r.previous_hash) for r in records
    ]
    whats = ["Item registered", "Thorough examination", "Drop from height", "Item changed", "Retired"]
    assert [row["What"] for row in rows] == whats
    assert [row["In words"] for row in rows] == [
        "", "", "from the cage", "Kept at:  → Van 2", "cut strand. Cut up or crushed",
    ]  # fmt: skip
    assert {row["Tag"] for row in rows} == {"R-01"}
    assert rows[1]["By"] == "Hew Tallis"
    assert [json.loads(row["All that was said (JSON, as hashed)"]) for row in rows] == [
        json.loads(r.body) for r in records
    ]


def test_the_history_says_what_was_entered_late_or_from_paper(owner, company):
    item = ItemFactory(company=company, tag="R-01", never_examined=True)
    on = company.today() - dt.timedelta(days=30)
    from gear.events.services import record_event

    record_event(
        actor=owner, item=item, kind="near_miss_not_loaded", happened_on=on, description="slack", gear_loaded=False,
        from_paper=True,
    )  # fmt: skip
    _, row = history_csv(company)
    assert (row["Entered late"], row["From paper"], row["On"]) == ("yes", "yes", on.isoformat())


def test_queries_of_the_history_are_a_few_for_each_batch(company, django_assert_num_queries):
    item = ItemFactory(company=company)
    for _ in range(5):
        examined(item)
    with django_assert_num_queries(3):
        assert len(history_csv(company)) == 7


def test_json_is_one_object_that_programs_read(company):
    ItemFactory(company=company, tag="B-01", notes="=1+1\n“quoted”")
    said = json.loads("".join(json_lines(table_of(company))))
    (row,) = said["rows"]
    assert (said["list"], row["tag"], row["notes"], row["working_load_limit_n"]) == (
        "register", "B-01", "=1+1\n“quoted”", 12_000.0,
    )  # fmt: skip
    assert said["headings"]["working_load_limit_n"] == "Working load limit (N)"


def test_a_text_too_long_for_a_workbooks_cell_says_so_instead_of_being_cut():
    table = Table("x", [Heading("a", "A")], [["y" * 40_000]], {})
    with workbook_file(table) as file:
        assert openpyxl.load_workbook(file).active["A2"].value.startswith("Too long for a workbook cell")


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_empty_list_explains_itself_and_its_example_is_left_out(company, units):
    company.unit_system = units
    company.save()
    table = template_table(company)
    first: Given = dict(zip((h.words for h in table.headings), next(iter(table.rows)), strict=True))
    assert first["Tag"].startswith("#")
    data = "".join(csv_lines(table)).encode()
    source = open_source(data)
    plan = plan_for(company, source, {})
    assert not [column for column in plan.columns if column.lacks_unit or not column.target]
    report = check_list(company, source, plan)
    assert [fault.words for fault in report.faults] == ["There is no row below the headings. Write one item a row."]
    lines = cells_of(data)
    filled = csv_bytes([lines[0], ["R-07", *lines[1][1:]]])
    owner = MembershipFactory(company=company)
    assert bring_in(owner, filled).new == 1
    item = GearItem.objects.get(company=company)
    assert item.length_m == pytest.approx(45, rel=1e-3)
    assert item.breaking_strength_n == pytest.approx(45_000, rel=1e-3)
