"""Lists: going out and coming in is the identity, whatever the texts say; checks here agree with the database."""

import datetime as dt

import pytest
from django.db import transaction
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from crewlog.models.constraints import broken_checks
from gear.catalogue.classes import CLASSES, TERMINATIONS
from gear.lists.guard import STARTS, from_xml, guarded, to_xml, unguarded
from gear.models import GearItem
from gear.register.bulk import add_items, new_item
from tests.factories.crewlog import CompanyFactory, MembershipFactory
from tests.gear.lists import bring_in, register_csv, register_xlsx
from tests.gear.test_export import facts
from tests.width import wide

# Everything a text column can hold: no NUL, which PostgreSQL refuses, and no half of a pair.
anything = st.text(st.characters(exclude_characters="\x00", exclude_categories=["Cs"]), max_size=24)
nasty = st.one_of(
    anything,
    st.builds(
        str.__add__, st.sampled_from(["'", "''", *STARTS, '"', ";", ",", "_x000D_", "#N/A", " ", "007"]), anything
    ),
)


@given(nasty)
@example("''=1")
@example("'")
@example(" a ")
def test_a_guarded_text_comes_back_and_begins_with_nothing_that_runs(text):
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(STARTS)


@given(nasty)
@example("_x000D_\r_x005F_")
def test_a_text_in_a_workbook_comes_back(text):
    assert from_xml(to_xml(text)) == text


figures = st.one_of(st.none(), st.floats(min_value=1e-3, max_value=9e3))
forces = st.one_of(st.none(), st.floats(min_value=1, max_value=9e6))
days = st.one_of(st.none(), st.dates(dt.date(1950, 1, 1), dt.date(2090, 1, 1)))
small = st.one_of(st.none(), st.integers(1, 8))
loaded = [c for c in CLASSES if c.carries_load]


@st.composite
def item_facts(draw):
    """Facts of an item that nothing refuses."""
    declared = draw(st.sampled_from(loaded))
    first, second = sorted([draw(st.floats(1, 50)), draw(st.floats(1, 50))])
    made, used = sorted([draw(days) or dt.date(2001, 1, 1), draw(days) or dt.date(2002, 2, 2)])
    return {
        "gear_class": declared.code,
        "description": draw(nasty.filter(bool)),
        "construction": draw(st.sampled_from(["", *(code for code, _ in declared.constructions)])),
        "maker": draw(nasty),
        "serial": draw(nasty),
        "batch": draw(nasty),
        "storage_place": draw(nasty),
        "notes": draw(st.one_of(nasty, st.builds("\r\n".join, st.lists(anything, max_size=3)))),
        "material": draw(st.sampled_from(declared.materials_allowed or [""])),
        "pulls_at_ground": True,
        "supports_person": draw(st.booleans()),
        "breaking_strength_n": draw(forces),
        "minor_axis_strength_n": draw(forces),
        "design_factor": draw(st.sampled_from([7.0, 8.5, 10.0])),
        "terminations": draw(st.lists(st.sampled_from([code for code, _ in TERMINATIONS]), unique=True, max_size=3)),
        "length_m": draw(figures),
        "mass_kg": draw(figures),
        "rope_diameter_min_mm": first,
        "rope_diameter_max_mm": second,
        "sheave_count": draw(small),
        "manufactured_on": made,
        "first_used_on": used,
        "maker_interval_months": draw(small),
    }


@pytest.mark.django_db
@pytest.mark.parametrize("make", [register_csv, register_xlsx])
@given(several=st.lists(item_facts(), min_size=1, max_size=4))
@settings(max_examples=wide(6, 3), deadline=None, suppress_health_check=list(HealthCheck))
def test_out_and_in_is_the_identity(make, several):
    with transaction.atomic():
        here, there = (MembershipFactory(company=CompanyFactory()) for _ in range(2))
        items = [new_item(here.company, tag=f"X-{n}", **said) for n, said in enumerate(several)]
        add_items(actor=here, items=items)
        data = make(here.company)
        assert bring_in(here, data, doubts_accepted=True).same == len(items)
        bring_in(there, data, doubts_accepted=True)
        assert facts(there.company) == facts(here.company)
        transaction.set_rollback(True)


broken = st.fixed_dictionaries(
    {},
    optional={
        "gear_class": st.sampled_from([c.code for c in CLASSES]),
        "description": st.sampled_from(["", "x"]),
        "design_factor": st.sampled_from([0.9, 5.0, 7.0]),
        "breaking_strength_n": st.sampled_from([None, -1.0, 0.0, 10.0]),
        "working_load_limit_n": st.sampled_from([None, 5.0, 10.0, 20.0]),
        "pulls_at_ground": st.booleans(),
        "parts_expected": st.sampled_from([None, 1, 2]),
        "is_unused": st.booleans(),
        "first_used_on": st.sampled_from([None, dt.date(2020, 1, 1)]),
        "manufactured_on": st.sampled_from([None, dt.date(2019, 1, 1), dt.date(2021, 1, 1)]),
        "sheave_efficiency": st.sampled_from([None, 0.9, 1.1]),
        "sheave_efficiency_origin": st.sampled_from(["", "maker"]),
        "reference_load_ratio": st.sampled_from([None, 0.1]),
        "reference_elongation_ratio": st.sampled_from([None, 0.1]),
        "proven_hold_n": st.sampled_from([None, 5.0]),
        "proven_hold_basis": st.sampled_from(["", "x"]),
        "due_back_on": st.sampled_from([None, dt.date(2020, 1, 1)]),
        "borrowed_from": st.sampled_from(["", "x"]),
        "gate": st.sampled_from(["", "screw", "barn door"]),
        "rope_diameter_min_mm": st.sampled_from([None, 1.0, 3.0]),
        "rope_diameter_max_mm": st.sampled_from([None, 2.0]),
    },
)


@pytest.mark.django_db
@given(changes=broken)
@settings(max_examples=wide(30, 10), deadline=None, suppress_health_check=list(HealthCheck))
def test_checks_worked_out_here_are_those_of_the_database(changes):
    facts = {"tag": "X", "gear_class": "block", "description": "x", "design_factor": 7.0, "pulls_at_ground": True}
    item = GearItem(company_id=1, registered_on=dt.date(2024, 1, 1), **(facts | changes))
    assert (not list(broken_checks(item))) == item._checks_pass(set())
