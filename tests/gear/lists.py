"""Lists of gear for the tests, as CSV and as workbooks."""

import csv
import io

import openpyxl

from gear.lists.register_out import register_table
from gear.lists.rows_in import ListFile, ListRefused, import_list
from gear.lists.services import plan_for
from gear.lists.source import open_source
from gear.lists.table import csv_lines, workbook_file
from gear.register.store_list import StoreFilter

BLOCK = {"Tag": "B-01", "Class": "Block", "Description": "Single block", "Uses": "Pulling at ground level"}


def csv_bytes(rows, *, delimiter=",", encoding="utf-8"):
    """A CSV file of rows of cells."""
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter).writerows(rows)
    return text.getvalue().encode(encoding)


def xlsx_bytes(rows, *, change=None):
    """A workbook of rows of cells; `change` may do more to its sheet."""
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    if change:
        change(book.active)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def rows_of_dicts(*items):
    headings = list(dict.fromkeys(name for item in items for name in item))
    return [headings, *([item.get(name, "") for name in headings] for item in items)]


def blocks(*changes):
    """Rows of blocks that are right but for what is changed."""
    return rows_of_dicts(*({**BLOCK, "Tag": f"B-{n:02d}", **change} for n, change in enumerate(changes, start=1)))


def bring_in(owner, data, *, doubts_accepted=False, **choices):
    """Bring a file in by the company's remembered mapping."""
    source = open_source(data)
    plan = plan_for(owner.company, source, choices)
    file = ListFile("list", "0" * 64)
    return import_list(actor=owner, source=source, plan=plan, file=file, doubts_accepted=doubts_accepted)


def faults_of(owner, data, **choices):
    """Every fault of a file that is refused, as lines."""
    try:
        bring_in(owner, data, **choices)
    except ListRefused as refused:
        return [fault.line() for fault in refused.report.faults]
    raise AssertionError("the list was brought in")


def register_csv(company, *, as_shown=False, narrow=None):
    return "".join(csv_lines(table_of(company, as_shown=as_shown, narrow=narrow))).encode()


def register_xlsx(company, *, as_shown=False):
    with workbook_file(table_of(company, as_shown=as_shown)) as file:
        return file.read()


def table_of(company, *, as_shown=False, narrow=None):
    narrow = narrow or StoreFilter()
    return register_table(company=company, on=company.today(), narrow=narrow, as_shown=as_shown)
