"""What the side view, the view from above and the other drawings say about a plan."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from jobs.drawing.angle_chart import angle_chart
from jobs.drawing.figures import NARROW_PX, DrawingOptions
from jobs.drawing.geometry import axis_point, lean_words, off_lay_rad, spot
from jobs.drawing.labels import stroke_box, text_box
from jobs.drawing.plan_view import plan_view
from jobs.drawing.pretension import pretension
from jobs.drawing.scene import Circle, Line, Polygon, Polyline
from jobs.drawing.side_view import side_view
from jobs.drawing.tackle_view import tackle_view
from jobs.mechanics.convert import from_json
from jobs.mechanics.line import SitePoint
from jobs.mechanics.stem import Tree
from jobs.mechanics.tackle import TackleResult
from jobs.plans.calculation import calculate, plan_figures
from tests.factories.scenario import unsaved_plan_data
from tests.jobs import sample_plans
from tests.rows import every_row

WIDE = DrawingOptions()
NARROW = DrawingOptions(width_px=NARROW_PX)


def words(scene):
    return [text.text.replace("\xa0", " ") for text in scene.texts()]


def ropes(scene):
    return [shape.points for shape in scene.shapes if isinstance(shape, Polyline) and shape.role == "rope"]


@pytest.fixture
def one_hauler():
    return sample_plans.one_hauler()


@pytest.fixture
def redirect():
    return sample_plans.side_line_and_redirect()


def test_side_view_writes_the_figures_of_the_plan(one_hauler):
    shown = words(side_view(one_hauler, WIDE))
    for label in (
        "2.90 kN needed in the line",
        "12.0 m stem",
        "8.00 m line",
        "27.0 m, falling 4.0°",
        "leans 3.0° back",
    ):
        assert label in shown
    assert "18.9°" in shown
    assert "reach of the fall 12.0 m" in shown
    assert "lever arm 7.12 m" in shown  # by hand: 7.6894 × 0.94614 − (−0.40299 − 0.0904) × (−0.32377) = 7.1155


def test_narrow_side_view_has_fewer_words_not_smaller_ones(one_hauler):
    shown = words(side_view(one_hauler, NARROW))
    assert "2.90 kN" in shown
    assert "8.00 m" in shown
    assert "27.0 m, falling 4.0°" in shown


def test_side_view_is_to_scale_in_both_directions(one_hauler):
    """The rope leaves the stem at the attachment point and falls at the line's own angle (worked by hand)."""
    scene = side_view(one_hauler, WIDE)
    (x1, z1), (x2, z2) = ropes(scene)[0][:2]
    lean = math.radians(3.0)
    assert (x1, z1) == (pytest.approx(-7.7 * math.sin(lean)), pytest.approx(7.7 * math.cos(lean) + 0.3))
    assert math.degrees(math.atan2(z1 - z2, x2 - x1)) == pytest.approx(18.891, abs=0.001)


def test_side_view_reaches_the_anchor_and_the_crew_beyond_it(one_hauler):
    scene = side_view(one_hauler, WIDE)
    assert scene.bounds.x0 < -0.6
    assert scene.bounds.x1 > 30.0 * math.cos(math.radians(14.0))
    heads = [shape for shape in scene.shapes if isinstance(shape, Circle) and shape.role == "inkfill"]
    assert len(heads) == 1  # one hauler


@pytest.mark.parametrize("people", [2, 4])
def test_side_view_draws_as_many_haulers_as_pull(people):
    figures = sample_plans.variant(people=people)
    heads = [s for s in side_view(figures, WIDE).shapes if isinstance(s, Circle) and s.role == "inkfill"]
    assert len(heads) == people
    assert f"{people} haulers" in words(side_view(figures, WIDE))


def test_side_view_turns_the_line_at_the_redirect(redirect):
    line = ropes(side_view(redirect, WIDE))[0]
    assert len(line) == 3  # stem, redirect, moving block
    assert line[1][0] == pytest.approx(20.0)
    shown = words(side_view(redirect, WIDE))
    assert "redirect 20.0 m, falling 2.0°" in shown
    assert "anchor 30.0 m, falling 1.0°, 24.0° right" in shown


@every_row("name", sample_plans.ALL)
@every_row("options", [WIDE, NARROW], ids=["wide", "narrow"])
def test_no_label_of_the_side_view_crosses_the_rope_or_the_stem(name, options):
    figures = sample_plans.ALL[name]()
    scene = side_view(figures, options)
    strokes = ropes(scene)[:1]
    tree = figures.inputs.tree
    top = axis_point(tree, tree.sections[-1].height_m)
    foot = axis_point(tree, 0.0)
    strokes.append(((foot[0], foot[2]), (top[0], top[2])))
    width = 1.5 / scene.px_per_unit
    for points in strokes:
        for start, end in pairwise(points):
            stroke = stroke_box(start, end, width)
            crossing = [t.text for t in scene.texts() if text_box(t, scene.px_per_unit, 0).overlaps(stroke)]
            assert crossing == []


@pytest.mark.parametrize("name", sample_plans.ALL)
def test_every_label_of_the_side_view_is_drawn_or_named_as_left_out(name):
    scene = side_view(sample_plans.ALL[name](), WIDE)
    said = " ".join([*words(scene), *scene.left_out])
    for part in ("line", "stem", "reach", "leans", "centre of gravity" if "centre" in said else "gravity"):
        assert part in said


@pytest.mark.parametrize("changes", [{"gust_m_s": None}, {"attach_height_m": 60.0}], ids=["open", "refused"])
def test_a_result_that_is_missing_is_not_drawn_as_nought(changes):
    outcome = calculate(unsaved_plan_data(**changes))
    assert outcome.result is None
    assert plan_figures(outcome) is None


def test_crown_is_outlined_where_there_is_one(one_hauler):
    def outlines(figures):
        return [s for s in side_view(figures, WIDE).shapes if isinstance(s, Circle) and s.role == "dash"]

    (outline,) = outlines(one_hauler)
    assert math.pi * outline.radius**2 == pytest.approx(2.0)
    assert outlines(sample_plans.variant(tree={"crown": []})) == []


def test_view_from_above_puts_the_right_of_the_lay_below(redirect):
    """A point 24 degrees clockwise of the lay stands to its right, seen from above with the lay to the right."""
    scene = plan_view(redirect, WIDE)
    line = ropes(scene)[0]
    assert line[1] == (pytest.approx(20.0), pytest.approx(0.0, abs=1e-9))
    turn = math.radians(24.0)
    assert line[2] == (pytest.approx(30.0 * math.cos(turn)), pytest.approx(-30.0 * math.sin(turn)))


def test_view_from_above_names_who_stands_where(redirect):
    shown = words(plan_view(redirect, WIDE))
    for label in (
        "3 haulers, 34.0 m",
        "bollard, 31.0 m",
        "side line, 21.0 m",
        "cutter, 1.20 m",
        "hitch, 26.7 m",
        "anchor",
    ):
        assert label in shown
    assert plan_view(redirect, WIDE).left_out == ()


def test_places_take_the_words_they_are_given(redirect):
    options = replace(WIDE, place_words={"bollard_tender": "Oduya"})
    assert "Oduya, 31.0 m" in words(plan_view(redirect, options))


def test_nobody_may_stand_in_the_shaded_wedge_behind_the_anchor(one_hauler):
    scene = plan_view(one_hauler, WIDE)
    wedge = next(shape for shape in scene.shapes if isinstance(shape, Polygon) and shape.role == "outband")
    assert wedge.points[0] == pytest.approx((27.0, 0.0), abs=1e-9)
    assert all(x > 27.0 for x, _ in wedge.points[1:])


def test_window_names_its_ends_and_its_aim(one_hauler):
    shown = words(pretension(one_hauler, WIDE))
    for label in (
        "0.62 kN",
        "3.08 kN",
        "aim for 1.43 kN",
        "full pull 2.90 kN",
        "below: can sit back",
        "above: can split",
    ):
        assert label in shown


def test_full_pull_beyond_the_window_stands_beyond_it():
    figures = sample_plans.variant(results={"stem_tension_n": 5200.0})
    scene = pretension(figures, WIDE)
    upright = [s for s in scene.shapes if isinstance(s, Line) and s.role == "ink"]
    pull = next(t for t in scene.texts() if t.text.startswith("full pull"))
    assert pull.x > max(line.x1 for line in upright)


def test_an_empty_window_has_no_taut_rope_and_no_aim():
    figures = sample_plans.variant(results={"lowest_tension_n": 3408.0, "highest_tension_n": 1358.9})
    scene = pretension(figures, WIDE)
    assert ropes(scene) == []
    assert words(scene) == ["sits back below 3.41 kN", "can split above 1.35 kN"]
    assert scene.desc.startswith("No pre-tension fits")


def test_a_window_from_nought_says_that_the_line_only_steers():
    scene = pretension(sample_plans.variant(results={"lowest_tension_n": 0.0}), WIDE)
    assert "no pre-tension needed; the line only steers" in words(scene)
    assert not any(text.startswith("aim") for text in words(scene))


@every_row("rove", ["to_advantage", "to_disadvantage"])
@every_row("parts", range(2, 9))
def test_tackle_shows_the_tension_of_each_part(one_hauler, parts, rove):
    tackle = sample_plans.tackle_topic(parts, rove)
    scene = tackle_view(replace(one_hauler, tackle=tackle), NARROW)
    stage = tackle.stages[0]
    write = NARROW.formatter
    for force in stage.hauling_part_tensions_n:
        assert write.hand(force) in [text.text for text in scene.texts()]
    sheaves = [s for s in scene.shapes if isinstance(s, Circle) and s.role == "ground"]
    assert len(sheaves) == len(stage.sheave_blocks)


def test_two_stages_are_drawn_one_under_the_other(one_hauler):
    two_stages = from_json(TackleResult, sample_plans.load("two_stages")["results"], "results")
    scene = tackle_view(replace(one_hauler, tackle=two_stages), NARROW)
    shown = words(scene)
    assert "to stage 2" in shown
    assert "stage 1" in shown
    assert "530 N" in shown  # 524.2 N at the hand, rounded up


def test_chart_marks_the_greatest_tension_and_where_the_stem_goes_by_itself(one_hauler):
    shown = words(angle_chart(one_hauler, NARROW))
    assert any(text.endswith("kN upright") for text in shown)
    assert "4.2° balance" in shown
    assert "falls by itself from 33.9°" in shown
    assert "can split above 3.08 kN" in shown


def test_chart_of_a_stem_that_never_goes_by_itself_says_so(one_hauler):
    pull = replace(one_hauler.pull, self_falling_angle_deg=None)
    scene = angle_chart(replace(one_hauler, pull=pull), NARROW)
    assert "must be pulled until the notch closes" in scene.desc
    assert not any("by itself" in text for text in words(scene))


# --- layout geometry --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("azimuth", "lay", "turn"), [(90, 90, 0), (114, 90, 24), (350, 10, -20), (10, 350, 20)])
def test_directions_are_measured_clockwise_from_the_lay(azimuth, lay, turn):
    assert math.degrees(off_lay_rad(azimuth, lay)) == pytest.approx(turn)


def test_a_point_downhill_lies_below_the_stump():
    place = spot(SitePoint(distance_m=27.0, azimuth_deg=90.0, slope_deg=-4.0, height_m=0.5), 90.0)
    assert place.side == (pytest.approx(27.0), pytest.approx(-27.0 * math.tan(math.radians(4.0)) + 0.5))


def test_sweep_moves_the_axis_between_its_knots():
    tree = {
        "hinge_height_m": 0.3,
        "lay_azimuth_deg": 90,
        "lean_deg": 0,
        "sections": [],
        "sweep": [
            {"height_m": 2, "forward_m": 0.0, "left_m": 0.0},
            {"height_m": 6, "forward_m": 0.8, "left_m": 0.0},
        ],
    }
    tree = from_json(Tree, tree, "tree")
    assert [axis_point(tree, h)[0] for h in (1, 4, 9)] == [pytest.approx(0), pytest.approx(0.4), pytest.approx(0.8)]


@pytest.mark.parametrize(
    ("azimuth", "said"), [(90, "forward"), (180, "right"), (270, "back"), (0, "left"), (225, "back and right")]
)
def test_lean_is_named_against_the_lay(azimuth, said):
    tree = Tree(sections=(), hinge_height_m=0.3, lean_deg=4.0, lean_azimuth_deg=azimuth, lay_azimuth_deg=90.0)
    assert lean_words(tree, "4°") == f"leans 4° {said}"
