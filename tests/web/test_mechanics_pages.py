"""Defaults and sources as pages: complete, in the reader's units, with what each rests on."""

import pytest
from django.urls import reverse

from jobs.basis.defaults import all_defaults, uses
from jobs.basis.pages import BASES, default_groups, source_rows
from jobs.mechanics.sources import SOURCES
from tests.pages import html_of

pytestmark = pytest.mark.django_db


def rows(unit_system="metric"):
    return {line.row.id: line for group in default_groups(unit_system) for line in group.rows}


def test_every_default_stands_on_the_page_once():
    assert sorted(rows()) == sorted(default.name for default in all_defaults())


def test_every_default_names_a_basis_a_listed_source_and_a_relation_that_uses_it():
    for default in all_defaults():
        assert default.basis in BASES
        assert default.source in SOURCES
        assert uses().get(default.name), default.name


def test_values_stand_in_the_readers_units():
    assert rows()["sustained_force"].value == "250\u00a0N"
    assert rows("us")["sustained_force"].value == "56\u00a0lbf"
    assert rows()["hinge_too_thin"].value == "2.0\u00a0cm"
    assert rows("us")["hinge_too_thin"].value.endswith("in")
    assert rows()["gust_limit"].value.endswith("m/s")


# Limits and spreads that the model's own table marks as a panel's judgement, one of each section.
PANEL_MARKED = (
    "hinge_too_thin", "hinge_thin_ratio", "hinge_too_thick", "hinge_too_narrow", "notch_shallowest",
    "working_limit", "gust_limit", "line_too_steep", "off_axis_fail", "attach_low", "struck_sector",
    "back_lean_fail", "side_lean_fail", "side_line_lean", "side_line_factor", "bore_cut_lean", "forward_lean_fail",
    "crew_adverse_factor", "near_fall_zone", "in_line_sector", "window_span", "steady_force",
    "gauge_efficiency_loss", "ground_fall", "long_haul", "many_resets", "density_cov", "gust_cov",
    "hinge_thickness_sd", "attach_spread_climber", "lean_spread_phone", "anchor_spread_pacing",
    "density_spread_weighed", "shock_design_factor",
)  # fmt: skip


@pytest.mark.parametrize("name", PANEL_MARKED)
def test_limit_of_the_panel_carries_its_mark(name):
    assert rows()[name].is_panel


def test_panels_values_are_marked_on_the_page(lead, signed_in):
    page = html_of(signed_in(lead).get(reverse("mechanics_defaults")))
    assert page.count('class="mark mark--caution"') == sum(row.is_panel for row in rows().values())
    assert "not published" in page


def test_every_source_says_how_it_was_obtained(lead, signed_in):
    assert [row.id for row in source_rows()] == list(SOURCES)
    assert all(row.obtained for row in source_rows())
    page = html_of(signed_in(lead).get(reverse("mechanics_sources")))
    for source in SOURCES:
        assert f'id="{source}"' in page
    assert "from memory" in page


def test_more_and_the_working_lead_to_both(lead, signed_in):
    page = html_of(signed_in(lead).get(reverse("more")))
    assert reverse("mechanics_sources") in page
    assert reverse("mechanics_defaults") in page
