"""What bringing in a long list costs: time in a straight line with its rows, memory that hardly grows with them.

By default 1,000 and 2,000 rows of CSV; with CREWLOG_BENCHMARKS=full up to 10,000, as CSV and as a workbook. Time is
that of the processor, so that other work on the machine does not count.
"""

import csv
import io
import os
import time
import tracemalloc
from functools import partial

import openpyxl
import pytest

from crewlog.evidence import verify
from gear.lists import checking
from gear.lists.checking import BATCH, check_list, in_batches
from gear.lists.register_out import register_table
from gear.lists.rows_in import ListFile, import_list
from gear.lists.services import plan_for
from gear.lists.source import open_source
from gear.lists.table import csv_lines
from gear.models import GearItem
from gear.register.store_list import StoreFilter
from tests.factories.crewlog import CompanyFactory, MembershipFactory

pytestmark = pytest.mark.django_db
FULL = os.environ.get("CREWLOG_BENCHMARKS") == "full"
SIZES = (5_000, 10_000) if FULL else (400, 800)
full_only = pytest.mark.skipif(not FULL, reason="only with CREWLOG_BENCHMARKS=full")
MEMORY_MB = 48
HEADINGS = (
    "Tag", "Class", "Description", "Maker", "Serial", "Uses", "WLL (kN)", "MBS (kN)", "Diameter (mm)", "Length (m)",
    "Made on", "Kept at", "Notes",
)  # fmt: skip


def row(n):
    return (
        f"R-{n:05d}", "Rope", "Line, 14 mm, 45 m", "as marked", f"{n:08d}", "Pulling at ground level", 8.5, 45, 14, 45,
        "2024-03-01", f"Van {n % 7}", "brought over from the old list",
    )  # fmt: skip


def csv_list(rows):
    text = io.StringIO(newline="")
    csv.writer(text).writerows([HEADINGS, *(row(n) for n in range(rows))])
    return text.getvalue().encode()


def xlsx_list(rows):
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Gear")
    sheet.append(HEADINGS)
    for n in range(rows):
        sheet.append(row(n))
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def an_owner():
    return MembershipFactory(company=CompanyFactory(), role="owner")


def bring_in(owner, data):
    source = open_source(data)
    plan = plan_for(owner.company, source, {})
    return import_list(actor=owner, source=source, plan=plan, file=ListFile("list", "0" * 64))


def timed(work):
    start = time.process_time()
    result = work()
    return result, time.process_time() - start


def say(capsys, record_property, **figures):
    with capsys.disabled():
        for name, value in figures.items():
            record_property(name, round(value, 2))
            print(f"\n{name}: {value:.2f}", end="")


LISTS = [pytest.param(csv_list, id="csv"), pytest.param(xlsx_list, id="xlsx", marks=full_only)]


@pytest.mark.parametrize("make", LISTS)
def test_time_grows_in_a_straight_line_with_rows(make, record_property, capsys):
    bring_in(an_owner(), make(60))  # warms what is built once
    small, large = SIZES
    lists = [make(rows) for rows in SIZES]
    (_, first), (done, second) = (timed(lambda data=data: bring_in(an_owner(), data)) for data in lists)
    figures = {f"import_{make.__name__}_{small}_s": first, f"import_{make.__name__}_{large}_s": second}
    say(capsys, record_property, **figures)
    assert done.new == large
    assert second < 2 * 1.6 * first  # twice the rows; four times would be a square


def peak_of(work):
    """Megabytes that Python held at most while it worked, beyond what it held before."""
    tracemalloc.start()
    try:
        before = tracemalloc.get_traced_memory()[0]
        work()
        return (tracemalloc.get_traced_memory()[1] - before) / 1e6
    finally:
        tracemalloc.stop()


def checked(owner, data):
    source = open_source(data)
    return check_list(owner.company, source, plan_for(owner.company, source, {}))


def test_a_check_holds_a_batch_of_rows_and_not_the_list(owner, record_property, capsys, monkeypatch):
    """A few batches against twice as many; by default of a tenth of their size, so that few rows will do."""
    monkeypatch.setattr(checking, "in_batches", partial(in_batches, size=BATCH if FULL else BATCH // 10))
    small, large = (rows // 2 for rows in SIZES)
    lists = [csv_list(rows) for rows in (small, large)]
    checked(owner, csv_list(60))
    first, second = (peak_of(lambda data=data: checked(owner, data)) for data in lists)
    say(capsys, record_property, **{f"peak_check_{small}_mb": first, f"peak_check_{large}_mb": second})
    assert second < 1.5 * first + (large - small) * 0.0006  # tags and serial numbers are kept: a few hundred bytes


@full_only
@pytest.mark.parametrize("make", LISTS)
def test_memory_stays_within_bounds_from_the_file_to_the_register(make, owner, record_property, capsys):
    data = make(SIZES[1])
    peak = peak_of(lambda: bring_in(owner, data))
    say(capsys, record_property, **{f"peak_{make.__name__}_{SIZES[1]}_mb": peak})
    assert peak < MEMORY_MB
    assert GearItem.objects.for_company(owner.company).count() == SIZES[1]
    assert verify(owner.company).holds


@full_only
def test_taking_the_register_out_keeps_no_rows(owner, record_property, capsys, django_assert_num_queries):
    bring_in(owner, csv_list(SIZES[1]))
    today = owner.company.today()

    def take_out():
        table = register_table(company=owner.company, on=today, narrow=StoreFilter(), as_shown=False)
        return sum(1 for _ in csv_lines(table))

    with django_assert_num_queries(1):
        assert take_out() == SIZES[1] + 2
    _, seconds = timed(take_out)
    peak = peak_of(take_out)
    say(capsys, record_property, **{f"take_out_{SIZES[1]}_s": seconds, f"peak_out_{SIZES[1]}_mb": peak})
    assert peak < MEMORY_MB
