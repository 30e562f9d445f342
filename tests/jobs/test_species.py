"""Green wood by species: each figure with its source, none invented."""

import dataclasses
import json
import re
from typing import Any

import pytest

from jobs.stems.species import FIGURES, SOURCE_FILE, STRENGTHS, Basis, Species, all_species, find_species, species
from tests.rows import every_row

PSI = 6_894.757_293  # Pa, NIST SP 811 appendix B

# USDA Wood Handbook, FPL-GTR-282 (2021), Table 5-3b, green: MOR psi, MOE 10^6 psi, shear parallel to grain psi
WOOD_HANDBOOK = [
    ("white-oak", 8_300, 1.25, 1_250),
    ("northern-red-oak", 8_300, 1.35, 1_210),
    ("american-elm", 7_200, 1.11, 1_000),
    ("douglas-fir-coast", 7_700, 1.56, 900),
    ("robinia", 13_800, 1.85, 1_760),
]

# Green density, fresh-felled column of a Czech forestry handbook (1934), kg/m³
FRESH_FELLED = [
    ("scots-pine", 700),
    ("black-pine", 900),
    ("birch", 940),
    ("beech", 990),
    ("douglas-fir", 910),
    ("turkey-oak", 1110),
    ("oak", 1000),
    ("hornbeam", 1080),
    ("ash", 920),
    ("sycamore", 980),
    ("silver-fir", 1000),
    ("european-larch", 760),
    ("norway-spruce", 740),
    ("willow", 1000),
]


@pytest.mark.parametrize(("code", "mor_psi", "moe_mega_psi", "shear_psi"), WOOD_HANDBOOK)
def test_strengths_are_those_printed_in_the_wood_handbook(code, mor_psi, moe_mega_psi, shear_psi):
    wood = species(code)
    assert wood.rupture_modulus_mean_pa == pytest.approx(mor_psi * PSI, abs=0.05e6)  # stored to 0.1 MPa
    assert wood.elastic_modulus_mean_pa == pytest.approx(moe_mega_psi * 1e6 * PSI, abs=0.005e9)  # to 0.01 GPa
    assert wood.shear_strength_mean_pa == pytest.approx(shear_psi * PSI, abs=0.005e6)  # to 0.01 MPa
    assert "Table 5-3b" in wood.basis["rupture_modulus_mean_pa"].source


@every_row(("code", "density"), FRESH_FELLED)
def test_a_density_read_in_a_handbook_stands_before_one_recalled(code, density):
    wood = species(code)
    assert wood.green_density_kg_m3 == density
    assert not wood.basis["green_density_kg_m3"].is_from_memory


def test_computed_densities_follow_from_the_figures_named_in_their_source():
    checked = 0
    for wood in all_species():
        basis = wood.basis.get("green_density_kg_m3")
        found = basis and re.search(r"gravity ([\d.]+) × 1000 × \(1 \+ ([\d.]+) %", basis.source)
        if found:
            expected = float(found[1]) * 1000 * (1 + float(found[2]) / 100)
            # moisture is printed to 0.1 %, which moves the product by up to 0.0005 of gravity x 1000, and the
            # density is stored to 1 kg/m³
            assert wood.green_density_kg_m3 == pytest.approx(expected, abs=1.0), wood.code
            checked += 1
    assert checked > 70


def test_figures_missing_in_handbooks_come_from_memory_and_say_so():
    ash = species("ash")
    assert ash.shear_strength_mean_pa == 9.0e6
    assert ash.basis["shear_strength_mean_pa"].is_from_memory
    assert ash.split_prone is True
    assert species("common-alder").green_density_kg_m3 == 850
    assert species("leyland-cypress").rupture_modulus_mean_pa == 41e6
    assert species("leyland-cypress").basis["rupture_modulus_mean_pa"].is_from_memory


def test_a_species_known_by_its_weight_alone_has_no_strength():
    for code in ("horse-chestnut", "lime", "sweet-chestnut", "black-poplar", "osage-orange"):
        wood = species(code)
        assert wood.green_density_kg_m3
        assert [getattr(wood, name) for name in STRENGTHS] == [None, None, None]
        assert wood.lacking == STRENGTHS


def test_whether_a_species_splits_easily_is_never_guessed():
    answers = {wood.code: wood.split_prone for wood in all_species()}
    assert {code for code, prone in answers.items() if prone} == {
        "ash",
        "leyland-cypress",
        "oak",
        "poplar",
        "poplar-hybrid",
        "robinia",
        "willow",
    }
    assert answers["beech"] is False
    assert answers["white-oak"] is None
    assert answers["american-beech"] is None


def test_what_other_sources_say_is_kept_beside():
    others = [(f.figure, f.value) for f in species("scots-pine").other_figures]
    assert ("green_density_kg_m3", 825.0) in others  # class value of a German guide sheet
    assert ("green_density_kg_m3", 1000.0) in others  # from memory
    assert {f.figure for wood in all_species() for f in wood.other_figures} <= set(FIGURES)


def test_every_species_has_one_code_and_every_figure_a_source():
    codes = [wood.code for wood in all_species()]
    assert len(codes) == len(set(codes)) == 119
    for wood in all_species():
        assert re.fullmatch(r"[a-z0-9-]{2,40}", wood.code)
        assert wood.common_name
        assert wood.botanical_name
        for basis in (*wood.basis.values(), *(figure.basis for figure in wood.other_figures)):
            assert basis.source
            assert basis.how_obtained.startswith(("read in", "computed from figures read", "from memory"))


def test_figures_lie_where_green_wood_lies():
    """Unit slips show here: no green wood floats like cork, sinks like iron or bends like steel."""
    for wood in all_species():
        assert wood.green_density_kg_m3 is None or 400 <= wood.green_density_kg_m3 <= 1_300
        assert wood.rupture_modulus_mean_pa is None or 25e6 <= wood.rupture_modulus_mean_pa <= 110e6
        assert wood.elastic_modulus_mean_pa is None or 4e9 <= wood.elastic_modulus_mean_pa <= 15e9
        assert wood.shear_strength_mean_pa is None or 3e6 <= wood.shear_strength_mean_pa <= 17e6


def test_sources_name_books_and_no_address():
    text = SOURCE_FILE.read_text(encoding="utf-8")
    assert not re.search(
        r"https?:|www\.|@|\.(com|org|net|cz|io|json|csv)\b|/home|/tmp|github|pypi", text, re.IGNORECASE
    )


def test_an_unknown_species_is_an_error_and_never_an_average():
    assert find_species("mystery-tree") is None
    assert find_species("") is None
    with pytest.raises(LookupError, match="mystery-tree"):
        species("mystery-tree")


def test_a_species_cannot_be_changed():
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(species("ash"), "green_density_kg_m3", 1.0)  # noqa: B010 - as one who does not heed types
    basis: Any = species("ash").basis
    with pytest.raises(TypeError):
        basis["green_density_kg_m3"] = Basis("x", "y")


@pytest.mark.parametrize("value", [0.0, -5.0, float("nan"), float("inf")])
def test_a_figure_that_is_no_strength_is_refused(value):
    fields = {each.name: getattr(species("ash"), each.name) for each in dataclasses.fields(Species)}
    with pytest.raises(ValueError, match="green_density"):
        Species(**(fields | {"green_density_kg_m3": value}))
    with pytest.raises(ValueError, match="do not go together"):
        Species(**(fields | {"green_density_kg_m3": None}))


def test_the_list_is_sorted_by_kind_of_tree():
    names = [wood.common_name for wood in all_species()]
    assert names.index("European ash") == names.index("black ash") + 1
    assert names[0] == "ailanthus"


def test_the_file_lists_each_field_for_each_species():
    for entry in json.loads(SOURCE_FILE.read_text(encoding="utf-8"))["species"]:
        assert set(entry) == {
            "code",
            "common_name",
            "botanical_name",
            "other_names",
            "split_prone",
            "other_figures",
            *FIGURES,
        }
