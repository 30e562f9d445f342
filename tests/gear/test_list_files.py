"""Files that are no list, or a list written otherwise than ours: each is told what it is and what would be right."""

import io
import time
import zipfile
from typing import Any

import openpyxl
import pytest
from openpyxl.workbook.protection import WorkbookProtection

from gear.lists import limits, source, xlsx_source
from gear.lists.faults import Unreadable
from gear.lists.source import open_source, rows_of
from gear.models import GearItem
from tests.gear.lists import BLOCK, blocks, bring_in, csv_bytes, faults_of, rows_of_dicts, xlsx_bytes

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def packed(**members):
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name.replace("__", "/").replace("_DOT_", "."), content)
    return file.getvalue()


def repacked(data, **changed):
    """A workbook with members added or put in the place of its own."""
    file = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name not in changed:
                new.writestr(name, old.read(name))
        for name, content in changed.items():
            new.writestr(name, content)
    return file.getvalue()


def read(data, **how):
    return [row.cells for row in rows_of(open_source(data), **how)]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty."),
        (b"\xef\xbb\xbf\r\n\r\n", "The file is empty."),
        (OLE + b"\x00" * 600, "old Excel file (.xls), whatever its name says. Save it as .xlsx"),
        (OLE + b"\x00" * 600 + "EncryptedPackage".encode("utf-16-le"), "locked with a password"),
        (packed(mimetype="application/vnd.oasis.opendocument.spreadsheet"), "OpenDocument file (.ods)"),
        (packed(xl__workbook_DOT_xml="<x/>", xl__vbaProject_DOT_bin="x"), "holds macros (.xlsm)"),
        (packed(xl__workbook_DOT_bin="x"), "binary workbook (.xlsb)"),
        (packed(word__document_DOT_xml="<x/>"), "packed file, but no workbook"),
        (packed(xl__workbook_DOT_xml="<x/>"), "The workbook is damaged."),
        (b"PK\x03\x04" + b"rubbish" * 50, "damaged and cannot be opened"),
        (b"%PDF-1.7 and so on", "a picture, a PDF or a packed file"),
        (bytes(range(256)) * 40, "neither text nor a workbook"),
    ],
    ids=lambda value: value[:20] if isinstance(value, str) else "",
)
def test_what_is_no_list_is_told_what_it_is(data, words):
    with pytest.raises(Unreadable) as refused:
        read(data)
    assert words in refused.value.message


def test_a_file_above_the_size_is_refused_with_the_limit(monkeypatch):
    monkeypatch.setattr(source, "MAX_BYTES", 1_000)
    with pytest.raises(Unreadable, match=r"too large.*At most 8 MB, 20,000 rows, 200 columns"):
        read(b"a,b\n" * 300)


def test_a_workbook_that_unpacks_to_more_than_we_take_is_never_unpacked():
    bomb = repacked(xlsx_bytes(blocks({})), **{"xl/media/x.bin": b"\x00" * (limits.MAX_UNPACKED + 1)})
    assert len(bomb) < limits.MAX_BYTES
    with pytest.raises(Unreadable, match="too large once unpacked"):
        read(bomb)


def test_a_workbook_of_entities_is_refused():
    bomb = '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><worksheet>&b;</worksheet>'
    with pytest.raises(Unreadable, match="The workbook is damaged"):
        read(repacked(xlsx_bytes(blocks({})), **{"xl/worksheets/sheet1.xml": bomb}))


@pytest.mark.parametrize("make", [csv_bytes, xlsx_bytes])
def test_more_rows_or_columns_than_we_take_are_refused(make, monkeypatch):
    monkeypatch.setattr(source, "MAX_ROWS", 10)
    monkeypatch.setattr(source, "MAX_COLUMNS", 12)
    assert len(read(make([["x"]] * 11))) == 11
    with pytest.raises(Unreadable, match="goes on past row"):
        read(make([["x"]] * 12))
    with pytest.raises(Unreadable, match="Row 2 goes on past column"):
        read(make([["x"], ["x"] * 13]))


def test_a_stray_cell_far_below_or_aside_costs_nothing():
    def stray(sheet):
        sheet.cell(1_048_576, 1).value = "x"

    with pytest.raises(Unreadable, match="clear what stands far below it"):
        read(xlsx_bytes(blocks({}), change=stray))

    def aside(sheet):
        sheet.cell(2, 16_384).value = "x"

    with pytest.raises(Unreadable, match="Row 2 goes on past column 200"):
        read(xlsx_bytes(blocks({}), change=aside))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_unicode_is_read_without_a_question(encoding):
    found = open_source(csv_bytes([["Tag", "Maker"], ["B-01", "Müller – Žižka"]], encoding=encoding))
    assert found.encoding_is_certain
    assert [row.cells for row in rows_of(found)][1] == ("B-01", "Müller – Žižka")


@pytest.mark.parametrize(
    ("encoding", "found"), [("latin-1", "cp1252"), ("utf-16-le", "utf-16-le"), ("utf-16-be", "utf-16-be")]
)
def test_other_letters_are_named_shown_and_asked_about(encoding, found):
    said: Any = open_source(csv_bytes([["Tag", "Maker"], ["B-01", "Müller"]], encoding=encoding))
    assert (said.encoding, said.encoding_is_certain) == (found, False)
    assert "Müller" in said.sample
    assert read(said.data, encoding=found)[1] == ("B-01", "Müller")


def test_letters_read_the_wrong_way_are_refused():
    with pytest.raises(Unreadable, match="The file is not UTF-8"):
        read(csv_bytes([["Tag"], ["Müller"]], encoding="latin-1"), encoding="utf-8")


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_the_delimiter_is_found(delimiter):
    rows = [["Tag", "What", "Note"], ["B-01", "a, b; c", "one"], ["B-02", 'say "x"', "two"]]
    assert [list(cells) for cells in read(csv_bytes(rows, delimiter=delimiter))] == rows


@pytest.mark.django_db
def test_a_decimal_comma_behind_semicolons_is_refused_with_the_right_reading(owner):
    data = csv_bytes(blocks({"WLL (kN)": "12,5"}), delimiter=";")
    assert faults_of(owner, data) == ["Row 2, column E (WLL (kN)): “12,5”: Write 12.5 with a point."]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b'a,b\n"open,1\n2,3\n', "a quotation mark is never closed"),
        (b'a,b\n"x"y,1\n', "Row 2 has a stray quotation mark"),
        (b'a,b\n"' + b"x" * 200_000 + b'",1\n', "Row 2 holds a cell that is too long"),
    ],
)
def test_broken_quotation_marks_are_named_by_row(text, words):
    with pytest.raises(Unreadable) as refused:
        read(text)
    assert words in refused.value.message


@pytest.mark.django_db
def test_merged_cells_are_refused_by_their_place(owner):
    data = xlsx_bytes(blocks({}, {}), change=lambda sheet: sheet.merge_cells("C2:C3"))
    assert faults_of(owner, data)[0].startswith("Cells C2:C3 are merged. Unmerge them")
    assert not GearItem.objects.exists()


@pytest.mark.django_db
def test_merged_cells_are_found_wherever_the_text_is_cut(owner, monkeypatch):
    monkeypatch.setattr(xlsx_source, "SCAN", 256)
    data = xlsx_bytes(blocks({}, {}), change=lambda sheet: sheet.merge_cells("C2:C3"))
    assert "C2:C3" in faults_of(owner, data)[0]


@pytest.mark.django_db
def test_formulas_are_refused_by_cell_and_text_that_looks_like_one_is_not(owner, company):
    def formulas(sheet):
        sheet["C2"] = "=1+1"
        sheet["C3"] = "#N/A"
        sheet["C3"].data_type = "e"
        sheet["C4"] = "=not a formula"
        sheet["C4"].data_type = "s"

    found = faults_of(owner, xlsx_bytes(blocks({}, {}, {}), change=formulas))
    assert found == [
        "Row 2, column C (Description): “=1+1”: A formula. Copy the cell and paste it as a value.",
        "Row 3, column C (Description): “#N/A”: A formula that failed. Write the value.",
    ]


@pytest.mark.django_db
def test_the_same_heading_twice_is_refused_by_both_columns(owner, company):
    from gear.lists.headings import heading_faults
    from gear.lists.services import plan_for

    plan = plan_for(company, open_source(csv_bytes([["Tag", "Class", "Name", "Uses", "WLL (kN)", "wll (kn)"]])), {})
    assert [fault.line() for fault in heading_faults(plan.columns, ())] == [
        "Row 1, column F (wll (kn)): Column E has the same heading. Give each its own."
    ]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("headings", "words"),
    [
        (["Class", "Name", "Uses"], "No column is read as “Tag”."),
        (["Tag", "Class", "Name"], "No column says what the gear is used for."),
        (["Tag", "Class", "Name", "Uses", "Measuring"], "Uses have columns of their own."),
        (["Tag", "Class", "Name", "Uses", "WLL"], "Say in which unit its numbers are"),
        (["Tag", "Class", "Name", "Uses", "WLL (ton)"], "Which ton: write t (1000 kg)"),
        (["Tag", "Class", "Name", "Uses", "WLL (furlong)"], "Say in which unit its numbers are"),
        (["Tag", "Class", "Name", "Uses", "Description"], "Column C is read as the same."),
    ],
)
def test_headings_that_leave_something_open_are_asked_about(company, headings, words):
    from gear.lists.headings import heading_faults
    from gear.lists.services import plan_for

    plan = plan_for(company, open_source(csv_bytes([headings])), {})
    (fault,) = heading_faults(plan.columns, ())
    assert words in fault.line()


def test_hidden_sheets_are_no_lists_and_visible_ones_can_be_chosen():
    book = openpyxl.Workbook()
    book.active.append(["first"])
    book.create_sheet("Second").append(["second"])
    book.create_sheet("Third").sheet_state = "hidden"
    file = io.BytesIO()
    book.save(file)
    assert list(open_source(file.getvalue()).sheets) == ["Sheet", "Second"]
    assert read(file.getvalue(), sheet="Second") == [("second",)]


@pytest.mark.django_db
def test_a_locked_structure_is_no_password_on_the_file(owner, company):
    book = openpyxl.Workbook()
    book.security = WorkbookProtection(lockStructure=True)
    for row in rows_of_dicts(BLOCK):
        book.active.append(row)
    file = io.BytesIO()
    book.save(file)
    assert bring_in(owner, file.getvalue()).new == 1


@pytest.mark.django_db
def test_a_file_that_stops_being_text_half_way_brings_nothing_in(owner):
    rows = [*blocks({}), *([f"C-{n:04d}", "Block", "b", "Measuring"] for n in range(3_000))]
    data = csv_bytes(rows) + b'"never closed'
    assert any("a quotation mark is never closed" in line for line in faults_of(owner, data))
    assert not GearItem.objects.exists()


SHEET = "xl/worksheets/sheet1.xml"


def with_first_row(cells):
    """A workbook whose first row is written anew."""
    data = xlsx_bytes([["Tag"]])
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        text = book.read(SHEET)
    before, after = text.index(b"<sheetData>"), text.index(b"</sheetData>")
    return repacked(data, **{SHEET: text[:before] + b'<sheetData><row r="1">' + cells + b"</row>" + text[after:]})


def test_a_row_of_three_million_cells_ends_at_once_and_takes_no_memory():
    data = with_first_row(b"<c><v>1</v></c>" * 3_000_000)
    assert len(data) < limits.MAX_BYTES
    begun = time.process_time()
    with pytest.raises(Unreadable, match="Row 1 has more than 16,384 cells"):
        read(data)
    assert time.process_time() - begun < 2


def test_a_row_of_three_million_headings_in_a_text_is_refused():
    with pytest.raises(Unreadable, match="goes on past column 200"):
        read(b"Tag" + b",a" * 3_000_000 + b"\n")


def test_a_workbook_of_millions_of_texts_ends_early():
    texts = b"<sst>" + b"<si><t>a</t></si>" * 1_600_000 + b"</sst>"
    with pytest.raises(Unreadable, match="too many texts or styles"):
        read(repacked(xlsx_bytes([["Tag"]]), **{"xl/sharedStrings.xml": texts}))


def test_cells_are_counted_whatever_letters_a_sheet_is_written_in():
    cells = "<x:c xmlns:x='http://schemas.openxmlformats.org/spreadsheetml/2006/main'/>" * 20_000
    sheet = f"<?xml version='1.0' encoding='UTF-16'?><w><row>{cells}</row></w>".encode("utf-16")
    with pytest.raises(Unreadable, match="more than 16,384 cells"):
        read(repacked(xlsx_bytes([["Tag"]]), **{SHEET: sheet}))
