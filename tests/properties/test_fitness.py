"""One verdict three ways: the rules on facts, the state kept from evidence, and the days kept for SQL."""

import datetime as dt

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gear.catalogue.classes import CLASSES
from gear.fitness.facts import item_facts
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.reasons import STATUS_OF_CODE
from gear.fitness.refresh import differs, load_evidence, refresh_items, state_for
from gear.fitness.rules import fitness
from gear.fitness.status import status_of
from gear.fitness.statuses import STATUSES
from gear.fitness.use_limits import UseLimits
from gear.models import GearItem
from gear.register.pages import standing_on
from gear.register.store_list import StoreFilter, StoreList
from tests.conftest import TODAY
from tests.factories.crewlog import CompanyFactory, PersonFactory
from tests.factories.gear import ItemFactory, examined, happened
from tests.width import wide

pytestmark = pytest.mark.django_db
FEW = settings(max_examples=wide(25, 8), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])

# Few days, so that dates meet: the day before, the day itself and the day after are where rules differ.
near = st.sampled_from([-40, -1, 0, 1, 30, 31]).map(lambda n: TODAY + dt.timedelta(days=n))
maybe_near = st.none() | near
RATINGS = ("working_load_limit_n", "breaking_strength_n", "vertical_rating_n", "choker_rating_n", "basket_rating_n")


@st.composite
def item_columns(draw):
    """Any state an item's columns can legally hold, near the day."""
    columns = {
        "gear_class": draw(st.sampled_from([c.code for c in CLASSES if c.code != "tackle_set"])),
        "pre_service_on": draw(maybe_near),
        "pre_service_ends_on": draw(maybe_near),
        "next_due_on": draw(maybe_near),
        "life_ends_on": draw(maybe_near),
        "due_back_on": draw(maybe_near),
        "borrowed_from": "Heron Trust",
        "life_date_missing": draw(st.booleans()),
        "uses_end_at": draw(st.none() | st.integers(1, 3)),
        "uses_made": draw(st.integers(0, 3)),
        "recall_unresolved": draw(st.booleans()),
        "marking_illegible": draw(st.booleans()),
        "design_factor": 7.0,
    }
    for day, because in (
        ("retired_on", "retired_because"),
        ("quarantined_on", "quarantined_because"),
        ("examination_pending_since", "examination_pending_because"),
        ("remark_due_on", "remark"),
    ):
        columns[day] = draw(maybe_near)
        columns[because] = "a reason" if columns[day] else ""
    for name in RATINGS:
        columns[name] = None
    rated = draw(st.none() | st.sampled_from(RATINGS))
    if rated:
        columns[rated] = 10_000.0
    return columns


def codes_of(item, day):
    return tuple(reason.code for reason in fitness(item_facts(item), day))


@FEW
@given(
    loose=st.lists(item_columns(), min_size=1, max_size=6),
    parts=st.lists(item_columns(), max_size=3),
    assembly=item_columns(),
    expected=st.integers(2, 4),
    day=near,
)
def test_sql_and_the_rules_agree_on_every_item_and_day(loose, parts, assembly, expected, day):
    """On every day from the last one that is recorded on; `day` is that one, and two later ones are asked for too."""
    company = CompanyFactory()
    make_store(company, recorded_by(day, assembly), [recorded_by(day, c) for c in parts], expected=expected)
    for columns in loose:
        ItemFactory(company=company, evidence=False, **recorded_by(day, columns))

    rows = GearItem.objects.for_company(company)
    for asked in (day, day + dt.timedelta(days=1), day + dt.timedelta(days=400)):
        judged = {item.pk: codes_of(item, asked) for item in rows}
        fit = {pk for pk, codes in judged.items() if not codes}
        assert keys(rows.fit_on(asked)) == fit
        assert keys(rows.unfit_on(asked)) == judged.keys() - fit
        for pk, status in statuses(rows, asked).items():
            found = {STATUS_OF_CODE[code] for code in judged[pk]}
            worst = next((worst for worst in ("retired", "unfit", "overdue") if worst in found), None)
            assert status == worst if worst else status in ("in_service", "due")
        said = standing_on(company=company, on=asked)
        assert {row.tag: tuple(r.code for r in row.reasons) for row in said} == {
            item.tag: judged[item.pk] for item in rows.real()
        }


@FEW
@given(
    loose=st.lists(item_columns(), min_size=1, max_size=6),
    parts=st.lists(item_columns(), max_size=3),
    assembly=item_columns(),
    day=near,
)
def test_of_the_past_the_days_kept_leave_out_nothing_that_was_fit_and_reasons_come_from_the_rules(
    loose, parts, assembly, day
):
    """Before the last record SQL may count an item as fit that was not examined yet: whoever asks judges the rows."""
    company = CompanyFactory()
    make_store(company, assembly, parts, expected=2)
    for columns in loose:
        ItemFactory(company=company, evidence=False, **columns)
    rows = GearItem.objects.for_company(company)
    judged = {item.pk: codes_of(item, day) for item in rows}
    assert {pk for pk, codes in judged.items() if not codes} <= keys(rows.fit_on(day))
    if day < company.today():
        said = standing_on(company=company, on=day)
        assert {row.tag: tuple(r.code for r in row.reasons) for row in said} == {
            item.tag: judged[item.pk] for item in rows.real()
        }


def make_store(company, assembly, parts, *, expected):
    """A tackle set of these columns with these parts."""
    whole = {**assembly, "gear_class": "tackle_set", "parts_expected": expected} | dict.fromkeys(RATINGS)
    tackle = ItemFactory(company=company, evidence=False, **whole)
    for columns in parts:
        ItemFactory(company=company, evidence=False, assembly=tackle, **columns)


def keys(rows):
    return set(rows.values_list("pk", flat=True))


def statuses(rows, on):
    """The status that SQL gives each item, by key."""
    return dict(rows.with_status(on).values_list("pk", "status"))


@FEW
@given(
    loose=st.lists(item_columns(), min_size=1, max_size=6),
    parts=st.lists(item_columns(), max_size=3),
    assembly=item_columns(),
    day=near,
)
def test_the_days_kept_for_lists_agree_with_the_rules_from_the_last_record_on(loose, parts, assembly, day):
    company = CompanyFactory()
    make_store(company, recorded_by(day, assembly), [recorded_by(day, c) for c in parts], expected=2)
    for columns in loose:
        ItemFactory(company=company, evidence=False, **recorded_by(day, columns))
    expected = statuses(GearItem.objects.for_company(company), day)
    listed = StoreList(company, day)
    shown = listed[0 : listed.count()]
    assert {item.pk: status_of(item, codes_of(item, day), day) for item in shown} == expected
    for state in STATUSES:
        narrowed = StoreList(company, day, StoreFilter(status=state))
        found = [item.pk for start in range(0, narrowed.count(), 2) for item in narrowed[start : start + 2]]
        assert sorted(found) == sorted(pk for pk, status in expected.items() if status == state)


def recorded_by(day, columns):
    """The columns as they stand once everything that is recorded has happened."""
    return columns | {
        name: min(columns[name], day) for name in ("retired_on", "pre_service_on") if columns[name] is not None
    }


event = st.tuples(
    st.just("event"),
    st.sampled_from(["drop", "contamination", "shock_load", "near_miss_not_loaded", "marking_illegible", "used"]),
    st.integers(0, 30),
)
exam = st.tuples(
    st.just("exam"),
    st.tuples(
        st.sampled_from(["pre_use", "interim", "thorough", "after_event"]),
        st.sampled_from(["fit", "remark", "out_of_use", "not_examined"]),
        st.booleans(),
    ),
    st.integers(0, 30),
)


def tell(item, story):
    for what, which, days in story:
        if what == "event":
            loaded = {"shock_load": True, "used": True, "near_miss_not_loaded": False}.get(which)
            happened(item, which, days=days, gear_loaded=loaded, uses=1 if which == "used" else None)
        else:
            kind, verdict, legible = which
            due = item.company.today() if verdict == "remark" else None
            examined(
                item, days=days, kind=kind, verdict=verdict, marking_legible=legible, remark_due_on=due,
                inspector=PersonFactory(company=item.company),
            )  # fmt: skip


@FEW
@given(stories=st.lists(st.lists(event | exam, max_size=5), min_size=1, max_size=3), day=near)
def test_state_kept_from_evidence_gives_the_verdict_that_the_evidence_gives(stories, day):
    company = CompanyFactory()
    items = [ItemFactory(company=company, evidence=False) for _ in stories]
    for item, story in zip(items, stories, strict=True):
        tell(item, story)
    refresh_items(company, items)

    book = InspectionRules.of(company)
    evidence = load_evidence(items)
    rows = GearItem.objects.for_company(company)
    for row in rows:
        assert differs(row, state_for(row, evidence[row.pk], book, UseLimits())) == []
    asked = max(day, company.today())  # the stories end today
    assert keys(rows.fit_on(asked)) == {row.pk for row in rows if not codes_of(row, asked)}


@FEW
@given(story=st.lists(event | exam, min_size=1, max_size=5), event_kind=st.sampled_from(["drop", "shock_load"]))
def test_nothing_before_an_event_settles_it(story, event_kind):
    """Whatever was recorded earlier in the chain, an event that takes an item out leaves it out."""
    item = ItemFactory(evidence=False)
    tell(item, story)
    happened(item, event_kind, days=0, gear_loaded=True)
    refresh_items(item.company, [item])
    assert item.quarantined_on is not None
    assert item.examination_pending_since is not None
