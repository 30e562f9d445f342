"""A changed figure reads in the unit that its column declares, whatever the column is called."""

import pytest

from crewlog.quantities.columns import QuantityColumn
from jobs.models import PullPlan, Stem
from jobs.plans.labels import figure_words, rating_words, shown
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.scenario import unsaved_plan_data

METRIC = UnitFormatter("metric")


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("plan.hinge_thickness_m", 0.04, "4.0 cm"),
        ("plan.attach_height_m", 8.0, "8.00 m"),
        ("plan.gust_m_s", 6.0, "6.0 m/s"),
        ("plan.bollard_hand_n", 201.0, "210 N"),  # what hands have to hold is rounded up
        ("plan.anchor_azimuth_deg", 262.4, "262.4°"),
        ("plan.sheave_efficiency_ratio", 0.92, "92 %"),
        ("plan.haulers", 3, "3"),
        ("stem.green_density_kg_m3", 850.0, "850 kg/m³"),
        ("anchor.bollard_anchor", 20_009.0, "20.00 kN"),  # what an anchor bears is rounded down
        ("plan.side_line", True, "yes"),
        ("plan.gust_m_s", None, "nothing"),
    ],
)
def test_changed_figure_reads_by_the_kind_of_its_column(path, value, said):
    assert shown(path, value, METRIC).replace("\xa0", " ") == said


def test_every_quantity_of_a_stem_and_its_plan_has_words():
    for model in (Stem, PullPlan):
        quantities = [field for field in model._meta.concrete_fields if hasattr(field, "kind")]
        assert quantities
        for field in quantities:
            assert isinstance(field, QuantityColumn), field.name
            assert figure_words(field, 0.5, METRIC), field.name


def test_ratings_of_an_item_read_by_their_columns_and_are_rounded_down():
    words = shown("rating.R-01", {"breaking_strength_n": 52_009.0, "diameter_mm": 14.0, "design_factor": 5.0}, METRIC)
    assert words.replace("\xa0", " ") == "breaking strength 52.00 kN, design factor 5, diameter 14.0 mm"
    assert rating_words("no_column_any_more", 2.0, METRIC) == "no column any more 2"


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("sections", [[1.3, 0.46], [6.0, 0.37]], "46.0 cm at 1.30 m; 37.0 cm at 6.00 m"),
        ("place.cutter", [1.2, 240.0, "back and right"], "1.20 m, bearing 240°, back and right"),
        ("hazard.1", ["overhead_line", 30.0, 5.0], "Overhead power line, 30.0 m, bearing 005°"),
    ],
)
def test_rows_read_with_a_unit_to_each_figure(path, value, said):
    assert shown(path, value, METRIC).replace("\xa0", " ") == said


def test_watched_path_is_named_by_its_column():
    from jobs.plans.labels import path_words

    assert path_words("plan.gust_m_s", unsaved_plan_data()) == "Strongest gust"
