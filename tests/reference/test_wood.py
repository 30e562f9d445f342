"""The list of species against a copy of the printed values it was made from, figure by figure, both ways."""

import csv
import re

import pytest

from jobs.stems.species import FIGURES, STRENGTHS, all_species
from tests.reference.loader import FOLDER, half_last_digit
from tests.rows import every_row

UNITS = {"rupture_modulus_mean_pa": 1e6, "elastic_modulus_mean_pa": 1e9, "shear_strength_mean_pa": 1e6}
ROWS = list(csv.DictReader((FOLDER / "wood_values.csv").read_text("utf-8").splitlines()))
WORKING_LIST = "Working list"


def botanical(text):
    """Names of single species or genera in a botanical name that may hold several: "Quercus robur / petraea"."""
    names, genus = set(), ""
    for part in re.split(r"\s*[;/]\s*", text):
        genus = part.split()[0] if part[0].isupper() else genus
        names.add(part if part[0].isupper() else f"{genus} {part}")
    return names | {name.split()[0] for name in names if " " not in name or name.endswith("spp.")}


def held(wood):
    """Every figure a species holds: (figure, value, basis), its own first."""
    own = [(name, getattr(wood, name), wood.basis[name]) for name in FIGURES if name in wood.basis]
    return own + [(other.figure, other.value, other.basis) for other in wood.other_figures]


def is_of(wood, row):
    here, there = botanical(wood.botanical_name), botanical(row["botanical_name"])
    return bool(here & there) or any(name.split()[0] in here | there for name in here ^ there)


def agrees(row, figure, value, basis):
    unit = UNITS.get(figure, 1.0)
    return (
        figure == row["figure"]
        and abs(value / unit - float(row["printed"])) <= float(half_last_digit(row["printed"]))
        and basis.source.startswith(row["source"])
        and basis.how_obtained.startswith(row["obtained"])
    )


@every_row("row", ROWS, ids=lambda row: f"{row['common_name']}-{row['figure']}-{row['source'][:12]}")
def test_a_printed_value_is_held_with_its_source_and_how_it_was_obtained(row):
    assert any(agrees(row, *one) for wood in all_species() if is_of(wood, row) for one in held(wood))


@every_row("wood", all_species(), ids=lambda wood: wood.code)
def test_no_figure_is_held_that_is_not_printed_or_said_to_be_from_the_working_list(wood):
    for figure, value, basis in held(wood):
        printed = any(is_of(wood, row) and agrees(row, figure, value, basis) for row in ROWS)
        assert printed or (basis.source.startswith(WORKING_LIST) and basis.is_from_memory), (figure, value)


def test_densities_that_were_computed_follow_from_gravity_and_moisture():
    computed = [row for row in ROWS if row["basic_gravity"]]
    assert len(computed) == 84
    for row in computed:
        wet = float(row["basic_gravity"]) * 1000.0 * (1.0 + float(row["moisture_percent"]) / 100.0)
        assert float(row["printed"]) == pytest.approx(wet, abs=1.0), row["common_name"]


def test_copy_holds_every_row_of_every_source():
    assert len(ROWS) == 373
    by_source = {source: sum(row["source"] == source for row in ROWS) for source in {row["source"] for row in ROWS}}
    assert sorted(by_source.values()) == [10, 20, 22, 84, 237]


def test_where_sources_differ_a_range_is_held():
    pine = next(wood for wood in all_species() if wood.code == "scots-pine")
    assert pine.range_of("green_density_kg_m3") == (700.0, 1000.0)
    assert pine.range_of("shear_strength_mean_pa") is None
    for wood in all_species():
        for figure in FIGURES:
            span, own = wood.range_of(figure), getattr(wood, figure)
            assert span is None or own is None or span[0] <= own <= span[1]


def test_species_known_by_weight_alone_are_many_and_hold_no_strength():
    bare = [wood for wood in all_species() if wood.green_density_kg_m3 and not wood.rupture_modulus_mean_pa]
    assert len(bare) > 10
    assert all(getattr(wood, name) is None for wood in bare for name in STRENGTHS)
