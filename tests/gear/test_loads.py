"""History of load: measured, derived and not measured stay apart, and an overload follows at once."""

import datetime as dt

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, verify
from gear.fitness import apply_evidence
from gear.fitness.facts import item_fitness
from gear.loads.pages import load_chart, standing_loads
from gear.loads.services import Load, record_loads
from gear.models import GearEvent, LoadRecord
from tests.factories.gear import ItemFactory
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def block(company):
    return ItemFactory(company=company, tag="B-01")


@pytest.fixture
def cell(company):
    return ItemFactory(company=company, tag="L-01", gear_class="load_cell", measures_load=True)


def record(actor, *loads, days=3, **changes):
    on = actor.company.today() - dt.timedelta(days=days)
    return record_loads(actor=actor, loads=loads, on=on, **({"reference": "Sheet K-1, revision 1"} | changes))


def measured(item, cell, peak_n, **changes):
    return Load(item=item, source="measured", peak_n=peak_n, **({"limit_n": 10_000.0, "gauge": cell} | changes))


def unmeasured(item):
    return Load(item=item, source="not_measured")


def codes(item):
    item.refresh_from_db()
    return [reason.code for reason in item_fitness(item, item.company.today())]


def test_a_measured_peak_is_kept_with_its_share_its_cell_and_a_use(lead, block, cell):
    (row,) = record(lead, measured(block, cell, 6_200.0, position="Moving block"))
    assert (row.share_ratio, row.gauge, row.uses) == (0.62, cell, 1)
    block.refresh_from_db()
    assert block.uses_made == 1
    assert codes(block) == []
    assert verify(lead.company).holds


def test_what_nobody_measured_counts_a_use_and_has_no_figure(lead, block):
    (row,) = record(lead, unmeasured(block))
    assert (row.peak_n, row.share_ratio, row.uses) == (None, None, 1)


@pytest.mark.parametrize(("peak_n", "is_out"), [(9_999.0, False), (10_000.0, False), (10_001.0, True)])
def test_a_peak_above_the_limit_is_an_overload_at_once(lead, block, cell, monkeypatch, peak_n, is_out):
    told: list[object] = []
    monkeypatch.setattr(
        apply_evidence, "listeners", [lambda losses, entry: told.extend(loss.item.tag for loss in losses)]
    )
    record(lead, measured(block, cell, peak_n, position="Moving block"))
    assert codes(block) == (["quarantined", "examination-pending"] if is_out else [])
    assert told == (["B-01"] if is_out else [])
    if is_out:
        event = GearEvent.objects.get()
        assert (event.kind, event.load_n) == ("overload", peak_n)
        assert "10.01 kN measured, 101 % of its limit of 10.00 kN as moving block" in event.description.replace(
            "\N{NO-BREAK SPACE}", " "
        )


def test_an_overload_undoes_everything_with_it_when_a_listener_refuses(lead, block, cell, monkeypatch):
    def refuse(losses, entry):
        raise RuleBroken("no", code="refused")

    monkeypatch.setattr(apply_evidence, "listeners", [refuse])
    with pytest.raises(RuleBroken):
        record(lead, measured(block, cell, 12_000.0))
    assert not LoadRecord.objects.exists()


def test_a_load_that_was_worked_out_above_the_limit_counts_too(lead, block):
    record(lead, Load(item=block, source="derived", peak_n=11_000.0, limit_n=10_000.0, basis="hand 2.2 kN"))
    assert codes(block) == ["quarantined", "examination-pending"]
    assert "calculated from a reading" in GearEvent.objects.get().description


def test_a_correction_is_a_later_record_and_the_uses_follow(lead, block, cell):
    first = record(lead, measured(block, cell, 6_000.0), unmeasured(cell))
    second = record(lead, measured(block, cell, 4_000.0), earlier=first)
    block.refresh_from_db()
    cell.refresh_from_db()
    assert [row.peak_n for row in standing_loads(block)] == [4_000.0]
    assert (block.uses_made, cell.uses_made) == (1, 0)
    assert [row.source for row in second] == ["measured", "not_used"]
    assert list(standing_loads(cell)) == []
    assert LoadRecord.objects.count() == 4


def test_the_same_overload_told_again_makes_no_second_event(lead, block, cell):
    first = record(lead, measured(block, cell, 12_000.0))
    record(lead, measured(block, cell, 12_500.0), earlier=first)
    assert GearEvent.objects.filter(kind="overload").count() == 1


def test_permitted_uses_end_with_the_last_sheet(lead, company):
    item = ItemFactory(company=company, permitted_uses=2)
    record(lead, unmeasured(item))
    assert codes(item) == []
    record(lead, unmeasured(item), days=1)
    assert codes(item) == ["life-ends"]


def test_a_retired_item_may_have_worked_before(lead, company, cell):
    item = ItemFactory(company=company, retired=True)
    record(lead, measured(item, cell, 12_000.0), days=20)
    assert LoadRecord.objects.count() == 1
    assert not GearEvent.objects.exists()


def test_a_crew_member_records_no_loads(climber, block):
    with pytest.raises(RuleBroken) as caught:
        record(climber, unmeasured(block))
    assert caught.value.code == "role-not-allowed"


@pytest.mark.parametrize(
    "columns",
    [
        {"source": "guessed"},
        {"source": "measured", "peak_n": None},
        {"source": "measured", "gauge": None},
        {"source": "not_measured", "gauge": None},
        {"source": "derived", "basis": ""},
        {"limit_n": None},
        {"limit_n": 0.0},
        {"peak_n": -1.0},
        {"uses": 0},
        {"source": "not_used", "peak_n": None, "share_ratio": None},
        {"reference": ""},
        {"overload_above_ratio": 0.0},
    ],
    ids=str,
)
def test_the_database_refuses_a_load_that_cannot_be(lead, block, cell, columns):
    facts = {"source": "measured", "peak_n": 5_000.0, "limit_n": 10_000.0, "share_ratio": 0.5, "gauge": cell}
    facts |= {"item": block, "day": lead.company.today(), "reference": "Sheet K-1"}
    row = LoadRecord(**(facts | columns))
    row.clean_fields = lambda exclude=None: None
    with pytest.raises(IntegrityError), transaction.atomic():
        append_row(lead.company, Entry(actor=lead.person), row)


def test_the_chart_tells_the_three_kinds_apart_by_shape_and_word(lead, block, cell):
    record(lead, measured(block, cell, 5_000.0), days=9)
    record(lead, Load(item=block, source="derived", peak_n=8_000.0, limit_n=10_000.0, basis="hand"), days=6)
    record(lead, unmeasured(block), days=3)
    chart = load_chart(list(standing_loads(block)))
    assert [point.source for point in chart.points] == ["measured", "derived", "not_measured"]
    assert [point.x for point in chart.points] == sorted(point.x for point in chart.points)
    assert chart.points[1].y < chart.points[0].y < chart.points[2].y == chart.foot
    assert "1 measured, 1 calculated from a reading, 1 not measured. Greatest share 80" in chart.words


def test_there_is_no_chart_of_nothing(block):
    assert load_chart(list(standing_loads(block))) is None


def test_the_pages_show_figures_shapes_and_how_each_is_known(signed_in, lead, block, cell):
    record(lead, measured(block, cell, 11_000.0), days=9)
    record(lead, unmeasured(block), days=2)
    for name in ("item", "item_loads"):
        html = html_of(signed_in(lead).get(reverse(name, args=["B-01"]))).replace("\N{NO-BREAK SPACE}", " ")
        assert "<desc" in html
        assert "11.00 kN" in html
        assert "110 %" in html
        assert "Not measured" in html
        assert "style=" not in html


def test_the_load_history_is_read_by_the_page(signed_in, lead, block, django_assert_max_num_queries):
    for days in range(45):
        record(lead, unmeasured(block), days=days)
    client = signed_in(lead)
    with django_assert_max_num_queries(12):
        page = client.get(reverse("item_loads", args=["B-01"])).context["page"]
    assert (len(page.object_list), page.paginator.num_pages) == (40, 2)
