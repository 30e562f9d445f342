"""Fonts come from their package: four weights, small, with every sign that pages use."""

from io import BytesIO
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from fontTools.ttLib import TTFont

from crewlog.delivery import fonts
from tests.architecture.tree import ROOT, text_files

SIGNS = "aÅőşŁ Ωμσλ ЖіҐ 0123456789 ×°²³½ −±≤≥≈√ →←↑↓ –—…“”‘’ €£ ⁴⁻"


@pytest.fixture(scope="module")
def made():
    names = [f"crewlog/fonts/FiraSans-{weight}.woff2" for weight in fonts.WEIGHTS]
    return [Path(finders.find(name)) for name in names]


def test_each_of_the_four_weights_is_one_small_file(made):
    assert len(made) == 4
    for path in made:
        assert path.read_bytes()[:4] == b"wOF2"
        assert path.stat().st_size < 55_000


def test_each_weight_has_the_signs_of_running_text_and_figures(made):
    for path in made:
        has = TTFont(path).getBestCmap()
        assert [sign for sign in SIGNS if ord(sign) not in has] == []


def test_each_weight_has_figures_of_one_width_and_the_slashed_nought(made):
    for path in made:
        features = {record.FeatureTag for record in TTFont(path)["GSUB"].table.FeatureList.FeatureRecord}
        assert {"tnum", "zero"} <= features


def test_a_font_is_made_the_same_each_time(made):
    assert fonts.subset("Regular") == made[0].read_bytes()
    assert TTFont(BytesIO(made[0].read_bytes()))["maxp"].numGlyphs > 900


def test_no_other_weight_is_found_and_no_font_lies_in_the_tree():
    assert finders.find("crewlog/fonts/FiraSans-Black.woff2") is None
    assert finders.find("crewlog/fonts/FiraSans-Regular.ttf") is None
    assert not [path for suffix in ("ttf", "otf", "woff2") for path in ROOT.glob(f"[!v.]*/**/*.{suffix}")]


def test_signs_of_templates_and_scripts_are_in_the_font_or_fall_back_knowingly(made):
    has = set(TTFont(made[0]).getBestCmap())
    package = set(TTFont(fonts.file_of("Regular")).getBestCmap())
    used = {sign for path in text_files("templates") for sign in path.read_text(encoding="utf-8") if ord(sign) > 0x7F}
    assert {sign for sign in used if ord(sign) in package - has} == set()


def test_the_measures_that_boxes_for_text_are_sized_by_are_those_of_the_whole_font(made):
    whole, part = TTFont(fonts.file_of("Regular")), TTFont(made[0])
    for table, names in {"head": ("xMin", "xMax", "yMin", "yMax"), "OS/2": ("xAvgCharWidth",)}.items():
        assert [getattr(part[table], name) for name in names] == [getattr(whole[table], name) for name in names]
    assert part["hhea"].advanceWidthMax == whole["hhea"].advanceWidthMax
