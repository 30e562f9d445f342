"""Lists that come into the register: what is read, what is refused and where, all rows or none."""

import datetime as dt
import json
from typing import Any

import pytest

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from crewlog.models import Record
from gear.fitness.facts import item_fitness
from gear.fitness.refresh import refresh_state
from gear.lists.columns import COLUMNS, READING_ONLY, USE_WORDS
from gear.models import GearEvent, GearItem, Retirement
from gear.recalls.services import record_recall
from gear.register.editable import EDITABLE, snapshot
from gear.register.services import add_item
from tests.factories.gear import ItemFactory
from tests.gear.lists import BLOCK, blocks, bring_in, csv_bytes, faults_of, rows_of_dicts, xlsx_bytes

pytestmark = pytest.mark.django_db


def items(company):
    return {item.tag: item for item in GearItem.objects.for_company(company)}


def test_every_fact_of_an_item_has_a_column_and_no_column_is_for_nothing():
    names = [column.name for column in COLUMNS]
    assert len(names) == len(set(names))
    added = {"tag", "gear_class", "uses", "retired_on", "retired_because", "disposal"}
    assert set(names) - added == set(EDITABLE)


def test_columns_allow_what_the_form_allows(company):
    from gear.register.forms import ItemForm

    form = ItemForm(company=company)
    for column in COLUMNS:
        field: Any = form.fields.get(column.name)
        if field is not None and column.kind == "whole":
            assert field.max_value == column.max_value, column.name
        if field is not None and column.kind == "text":
            assert field.max_length == column.longest, column.name


def test_headings_of_our_own_are_all_told_apart():
    from gear.lists.headings import plain_heading

    headings = [plain_heading(c.written_heading) for c in COLUMNS] + [plain_heading(words) for _, words in READING_ONLY]
    assert len(headings) == len(set(headings))
    assert len(USE_WORDS) == 4


def test_a_row_becomes_the_item_that_the_form_would_have_made(owner, company):
    row = BLOCK | {"Maker": "as marked", "Serial no.": "007", "WLL (kN)": "12.5", "Made on": "2024-03-01"}
    bring_in(owner, csv_bytes(rows_of_dicts(row)))
    by_hand = add_item(
        actor=owner, tag="B-02", gear_class="block", description="Single block", maker="as marked", serial="007",
        working_load_limit_n=12_500.0, manufactured_on=dt.date(2024, 3, 1), pulls_at_ground=True,
    )  # fmt: skip
    listed = items(company)["B-01"]
    assert snapshot(listed) == snapshot(by_hand)
    states = [f.name for f in GearItem._meta.concrete_fields if not f.editable]
    assert {name: getattr(listed, name) for name in states} == {name: getattr(by_hand, name) for name in states}
    assert [r.code for r in item_fitness(listed, company.today())] == ["never-inspected"]


def test_the_state_of_a_listed_item_is_the_one_its_evidence_gives(owner, company):
    row = {
        "Tag": "R-01",
        "Class": "Rope",
        "Name": "Line",
        "MBS (kN)": "45",
        "Made on": "2020-02-29",
        "Uses": "Measuring",
    }
    bring_in(owner, csv_bytes(rows_of_dicts(row)))
    item = items(company)["R-01"]
    assert item.life_ends_on == dt.date(2030, 2, 28)
    before = GearItem.objects.filter(pk=item.pk).values().get()
    refresh_state(item)
    assert GearItem.objects.filter(pk=item.pk).values().get() == before


def test_each_row_has_its_own_record_after_the_one_of_the_list(owner, company):
    bring_in(owner, csv_bytes(blocks({}, {})))
    kinds = list(Record.objects.for_company(company).order_by("sequence").values_list("kind", flat=True))
    assert kinds[-3:] == ["gear.list-brought-in", "gear.item-registered", "gear.item-registered"]
    body = json.loads(Record.objects.for_company(company).last().body)
    assert (body["tag"], body["facts"]["pulls_at_ground"]) == ("B-02", True)
    assert verify(company).holds


@pytest.mark.parametrize(
    ("heading", "cell", "newtons"),
    [
        ("WLL (kN)", "12.5", 12_500.0),
        ("WLL [lbf]", "5000", 22_241.108),
        ("WLL kN", "12.5", 12_500.0),
        ("wll_kn", "12.5", 12_500.0),
        ("Working load limit, t", "1", 9_806.65),
        ("WLL (kN)", "5000 lbf", 22_241.108),
        ("WLL (kN)", 12.5, 12_500.0),
    ],
)
def test_units_stand_in_the_heading_or_in_the_cell(owner, company, heading, cell, newtons):
    bring_in(owner, xlsx_bytes(blocks({heading: cell})))
    assert items(company)["B-01"].working_load_limit_n == pytest.approx(newtons, rel=1e-6)


@pytest.mark.parametrize(("cell", "metres"), [("1/2 in", 0.0127), ("12'6\"", 3.81), ("45 m", 45.0), ("20", 6.096)])
def test_lengths_are_read_as_riggers_write_them(owner, company, cell, metres):
    bring_in(owner, csv_bytes(blocks({"Length ft": cell})))
    assert items(company)["B-01"].length_m == pytest.approx(metres)


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"WLL (kN)": "12,5"}, "Row 2, column E (WLL (kN)): “12,5”: Write 12.5 with a point."),
        ({"WLL (kN)": "1,200"}, "Write 1200 without the separator, or 1.200 with a point."),
        ({"WLL (kN)": "nan"}, "Write a number"),
        ({"WLL (kN)": "0"}, "Write a figure above zero."),
        ({"WLL (kN)": "2 ton"}, "Which ton: write t (1000 kg), short ton"),
        ({"Class": "Hammock"}, "Row 2, column B (Class): “Hammock”: Write one of: Rope, Tackle rope,"),
        ({"Tag": "B 01"}, "A tag is up to 24 letters, digits, points or dashes."),
        ({"Tag": ""}, "Row 2, column A (Tag): Fill this in"),
        ({"Description": ""}, "Row 2, column C (Description): Fill this in"),
        ({"Uses": "hoisting"}, "Write one or more of: Pulling at ground level;"),
        ({"Uses": ""}, "Choose at least one use"),
        ({"Made on": "2024-02-30"}, "There is no such day."),
        ({"Made on": "25/11/24"}, "Write the year with four digits"),
        ({"Made on": "45987"}, "This is a spreadsheet's count of days. Write 2025-11-26."),
        ({"Made on": "2024-03-01", "First used on": "2023-01-01"}, "First use cannot come before manufacture."),
        ({"Sheaves": "many"}, "Write a whole number from 1 to 8."),
        ({"Sheaves": "9"}, "Write a whole number from 1 to 8."),
        ({"Not used yet": "perhaps"}, "Write yes or no."),
        ({"WLL (kN)": "50", "MBS (kN)": "40"}, "The working load limit must be below the breaking strength."),
        ({"Part of tackle set": "T-99"}, "No item here and no row of this list has this tag."),
        ({"Spliced by": "Nobody Known"}, "Nobody here has this name or id."),
        ({"Maker": "x" * 81}, "Write at most 80 characters; these are 81."),
        ({"Class": "Hitch cord", "Material": "Polypropylene"}, "Polypropylene melts on a drum"),
        ({"Retired on": "2020-01-01"}, "Say why it was retired."),
    ],
)  # fmt: skip
def test_each_fault_is_named_with_its_row_its_column_and_what_would_be_right(owner, company, change, fault):
    before = Record.objects.count()
    found = faults_of(owner, csv_bytes(blocks(change)))
    assert any(fault in line for line in found), found
    assert all(line.startswith("Row 2") for line in found)
    assert not GearItem.objects.exists()
    assert Record.objects.count() == before


def test_every_fault_of_every_row_is_named_and_the_right_rows_wait_for_them(owner, company):
    data = csv_bytes(blocks({}, {"Class": "Hammock", "Made on": "x"}, {"WLL (kN)": "1,5"}, {}))
    found = faults_of(owner, data)
    assert [line.split(":")[0] for line in found] == [
        "Row 3, column B (Class)", "Row 3, column E (Made on)", "Row 4, column F (WLL (kN))",
    ]  # fmt: skip
    assert not GearItem.objects.exists()


def test_rows_keep_the_numbers_of_the_spreadsheet_over_gaps_and_broken_lines(owner):
    rows = blocks({"Notes": "two\nlines"}, {"Class": "Hammock"})
    data = csv_bytes([rows[0], rows[1], [], ["", "", ""], rows[2]])
    assert faults_of(owner, data)[0].startswith("Row 5, column B")


def test_a_bare_number_is_never_guessed(owner, company):
    data = csv_bytes(blocks({"WLL": "12"}))
    assert (
        "A number without a unit"
        in faults_of(owner, data, columns={"wll": {"column": "working_load_limit_n", "unit": "cell"}})[0]
    )
    bring_in(owner, data, columns={"wll": {"column": "working_load_limit_n", "unit": "kN"}})
    assert items(company)["B-01"].working_load_limit_n == 12_000.0


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2024-03-04", "", dt.date(2024, 3, 4)),
        ("03/04/2024", "dmy", dt.date(2024, 4, 3)),
        ("03/04/2024", "mdy", dt.date(2024, 3, 4)),
        ("25.11.2024", "", dt.date(2024, 11, 25)),
        ("4 March 2024", "", dt.date(2024, 3, 4)),
    ],
)
def test_days_are_read_as_the_company_writes_them(owner, company, text, order, day):
    bring_in(owner, csv_bytes(blocks({"Made on": text})), date_order=order)
    assert items(company)["B-01"].manufactured_on == day


@pytest.mark.parametrize(
    ("text", "order", "words"),
    [
        ("03/04/2024", "", "This could be 2024-03-04 or 2024-04-03."),
        ("11/25/2024", "dmy", "There is no such day. Is it 2024-11-25?"),
        ("2024-13-01", "", "There is no such day."),
        ("0024-01-01", "", "The year 24 is out of range."),
    ],
)
def test_days_that_could_be_two_or_none_are_refused(owner, text, order, words):
    assert words in faults_of(owner, csv_bytes(blocks({"Made on": text})), date_order=order)[0]


def test_days_of_a_workbook_are_taken_as_days(owner, company):
    bring_in(owner, xlsx_bytes(blocks({"Made on": dt.date(2024, 3, 4)})))
    assert items(company)["B-01"].manufactured_on == dt.date(2024, 3, 4)


def test_a_moment_of_a_workbook_is_no_day(owner):
    data = xlsx_bytes(blocks({"Made on": dt.datetime(2024, 3, 4, 9, 30)}))  # noqa: DTZ001 - a workbook knows no zone
    assert "A day is wanted, without a time: 2024-03-04." in faults_of(owner, data)[0]


def test_numbers_of_a_workbook_keep_the_zeros_they_are_shown_with(owner, company):
    def zeros(sheet):
        sheet.cell(2, 5).number_format = "00000"

    bring_in(owner, xlsx_bytes(blocks({"Serial": 417, "Batch": 12}), change=zeros))
    item = items(company)["B-01"]
    assert (item.serial, item.batch) == ("00417", "12")


def test_a_number_longer_than_a_spreadsheet_keeps_is_refused(owner):
    assert "15 digits" in faults_of(owner, xlsx_bytes(blocks({"Serial": 12345678901234567})))[0]


def test_parts_and_pieces_may_stand_before_what_they_name(owner, company):
    piece = {"Tag": "R-02", "Class": "Rope", "Description": "Piece", "Uses": "Measuring", "Cut from": "R-01"}
    rope = {"Tag": "R-01", "Class": "Rope", "Description": "Rope", "Uses": "Measuring"}
    part = BLOCK | {"Part of tackle set": "t-01"}
    tackle = {"Tag": "T-01", "Class": "Tackle set", "Description": "Set", "Uses": "Measuring", "Parts": "2"}
    bring_in(owner, csv_bytes(rows_of_dicts(piece, part, rope, tackle)))
    made = items(company)
    assert made["R-02"].parent == made["R-01"]
    assert made["B-01"].assembly == made["T-01"]


def test_another_companys_tags_are_free_here_but_not_known(owner, company, outsider):
    ItemFactory(company=outsider.company, tag="T-01", gear_class="tackle_set", parts_expected=2)
    ItemFactory(company=outsider.company, tag="B-01")
    assert (
        "Tags of another company are not known here"
        in faults_of(owner, csv_bytes(blocks({"Part of tackle set": "T-01"})))[0]
    )
    bring_in(owner, csv_bytes(blocks({})))
    assert list(items(company)) == ["B-01"]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (({"Tag": "B-01", "Cut from": "B-02"}, {"Tag": "B-02", "Cut from": "B-01"}), "in a circle"),
        (({"Tag": "B-01", "Cut from": "B-01"},), "in a circle"),
        (({"Tag": "B-01", "Part of tackle set": "B-02"}, {"Tag": "B-02"}), "This is no tackle set."),
    ],
)
def test_rings_and_sets_that_are_none_are_refused(owner, rows, words):
    assert any(words in line for line in faults_of(owner, csv_bytes(blocks(*rows))))


def test_a_tag_twice_in_the_list_is_refused_whatever_its_case(owner):
    found = faults_of(owner, csv_bytes(blocks({"Tag": "B-01"}, {"Tag": "b-01"})))
    assert found == ["Row 3, column A (Tag): “b-01”: Row 2 has the same tag. A tag is used once."]


def test_a_known_tag_is_refused_unless_the_row_says_what_the_register_says(owner, company):
    data = csv_bytes(blocks({"WLL (kN)": "12"}))
    bring_in(owner, data)
    records = Record.objects.count()
    done = bring_in(owner, data)
    assert (done.new, done.same, Record.objects.count()) == (0, 1, records)
    found = faults_of(owner, csv_bytes(blocks({"WLL (kN)": "13"})))
    assert found == [
        "Row 2, column E (WLL (kN)): “13”: B-01 is in the register with 12000.0 N. "
        "A list adds items; it does not change them."
    ]
    assert (
        "The register writes this tag B-01" in faults_of(owner, csv_bytes(blocks({"Tag": "b-01", "WLL (kN)": "12"})))[0]
    )


def test_a_retired_tag_is_never_used_again(owner, company):
    ItemFactory(company=company, tag="B-01", retired=True, description="Old block")
    assert "B-01 is in the register with Old block." in faults_of(owner, csv_bytes(blocks({})))[0]


def test_the_same_maker_and_serial_are_asked_about(owner, company):
    ItemFactory(company=company, tag="B-90", maker="as marked", serial="77")
    data = csv_bytes(
        blocks({"Maker": "As Marked", "Serial": "77"}, {"Maker": "x", "Serial": "8"}, {"Maker": "X", "Serial": "8"})
    )
    with pytest.raises(RuleBroken) as refused:
        bring_in(owner, data)
    assert refused.value.code == "list-has-doubts"
    assert [doubt.line() for doubt in vars(refused.value)["report"].doubts] == [
        "Row 2, column F (Serial): “77”: Maker and serial number are those of B-90. Is it the same item with two tags?",
        "Row 4, column F (Serial): “8”: Maker and serial number are those of row 3. Is it the same item with two tags?",
    ]
    assert len(items(company)) == 1
    assert bring_in(owner, data, doubts_accepted=True).new == 3


def test_a_recall_catches_what_a_list_brings_in_later(owner, company):
    record_recall(actor=owner, maker="as marked", announced_on=company.today(), source="the maker's letter")
    bring_in(owner, csv_bytes(blocks({"Maker": "as marked"}, {"Maker": "other"})))
    made = items(company)
    assert (made["B-01"].recall_unresolved, made["B-02"].recall_unresolved) == (True, False)
    assert GearEvent.objects.filter(item=made["B-01"], kind="recall").exists()
    assert verify(company).holds


def test_a_retired_item_comes_in_retired_from_paper_and_marked_late(owner, company):
    typed = {"Retired on": "2020-01-01", "Retired because": "cut strand", "What became of it": "Lost"}
    done = bring_in(owner, csv_bytes(blocks(typed)))
    row = Retirement.objects.select_related("record", "item").get()
    assert (done.retired, row.item.retired_on, row.disposal) == (1, dt.date(2020, 1, 1), "lost")
    assert (row.record.from_paper, row.record.is_late) == (True, True)


def test_rows_whose_tag_begins_with_a_hash_are_notes(owner, company):
    bring_in(owner, csv_bytes(blocks({"Tag": "# B-00", "Class": "nonsense"}, {})))
    assert list(items(company)) == ["B-02"]


def test_uses_said_for_all_rows_fill_only_those_that_state_none(owner, company):
    data = csv_bytes(blocks({"Uses": "Measuring"}, {"Uses": ""}))
    bring_in(owner, data, uses=["pulls_at_ground"])
    assert {tag: item.uses for tag, item in items(company).items()} == {
        "B-01": ("measure",),
        "B-02": ("pull_at_ground",),
    }


def test_a_list_without_rows_says_so(owner):
    assert "There is no row below the headings" in faults_of(owner, csv_bytes([list(BLOCK)]))[0]


@pytest.mark.parametrize("who", ["lead", "inspector", "climber", "auditor"])
def test_only_the_owner_brings_lists_in(who, request, company):
    with pytest.raises(RuleBroken, match="Your role may not do this"):
        bring_in(request.getfixturevalue(who), csv_bytes(blocks({})))
    assert not GearItem.objects.exists()


def test_a_text_that_looks_like_a_formula_comes_in_as_text(owner, company):
    bring_in(owner, csv_bytes(blocks({"Notes": "'=1+1", "Maker": "'big' one", "Batch": "-12"})))
    item = items(company)["B-01"]
    assert (item.notes, item.maker, item.batch) == ("=1+1", "'big' one", "-12")


def test_queries_grow_with_batches_and_not_with_rows(owner, django_assert_max_num_queries):
    bring_in(owner, csv_bytes(blocks({})))
    rows = [{"Tag": f"C-{n:03d}"} for n in range(100)]
    with django_assert_max_num_queries(60):
        bring_in(owner, csv_bytes(blocks(*rows)))
