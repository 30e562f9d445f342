"""Every shape in both writers; every drawing stays inside its frame, with labels clear of each other."""

import io
from dataclasses import replace
from functools import cache
from itertools import combinations, product
from typing import get_args
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from jobs.drawing import palette
from jobs.drawing.angle_chart import angle_chart
from jobs.drawing.figures import NARROW_PX, WIDE_PX, DrawingOptions
from jobs.drawing.labels import Box, LabelPlacer, stroke_box, text_box
from jobs.drawing.pdf import SceneFlowable, design_px
from jobs.drawing.plan_view import plan_view
from jobs.drawing.pretension import pretension
from jobs.drawing.scene import (
    Bounds,
    Circle,
    Curve,
    Line,
    Polygon,
    Polyline,
    Role,
    Scene,
    Shape,
    Text,
    TextRole,
    points_of,
)
from jobs.drawing.side_view import side_view
from jobs.drawing.svg import svg_text
from jobs.drawing.tackle_view import tackle_view
from jobs.wording.unit_formatter import UnitFormatter
from tests.jobs import sample_plans
from tests.rows import every_row

SVG = "{http://www.w3.org/2000/svg}"
DRAWINGS = {
    "side view": side_view,
    "plan view": plan_view,
    "pre-tension": pretension,
    "tackle": tackle_view,
    "angle chart": angle_chart,
}
ONE_OF_EACH = {
    Line: Line(0, 0, 4, 3, "rope"),
    Polyline: Polyline(((0, 0), (1, 2), (3, 1)), "turf"),
    Polygon: Polygon(((0, 0), (1, 2), (3, 1)), "wood"),
    Circle: Circle(2, 2, 1, "plate"),
    Curve: Curve((0, 0), (((1, 0), (2, 1), (3, 3)),), "dash"),
    Text: Text(1, 1, "7.5 m", "text", "middle", 30.0, halo=True),
}


def parse(markup):
    return ET.fromstring(markup)  # noqa: S314  (our own writer's output)


def scene_of(*shapes):
    return Scene("A title", "A description", Bounds(0, 0, 5, 5), 20.0, shapes)


def pdf_of(scene):
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1)
    SceneFlowable(scene).drawOn(canvas, 40, 300)
    canvas.showPage()
    canvas.save()
    return PdfReader(io.BytesIO(buffer.getvalue())).pages[0]


WIDTHS = {"wide": WIDE_PX, "narrow": NARROW_PX, "paper": design_px(316)}
each_drawing = every_row("drawing", product(sample_plans.ALL, DRAWINGS, WIDTHS), ids=" ".join)


@cache
def scene_at(drawing):
    """The scene of a plan, a kind of drawing and a width, by their names; made by the first test that asks."""
    plan, kind, width = drawing
    return DRAWINGS[kind](sample_plans.ALL[plan](), DrawingOptions(width_px=WIDTHS[width]))


@cache
def paper_at(drawing):
    return pdf_of(scene_at(drawing))


def test_the_sample_holds_every_shape():
    assert set(ONE_OF_EACH) == set(get_args(Shape))


@pytest.mark.parametrize("kind", ONE_OF_EACH, ids=lambda kind: kind.__name__)
def test_every_shape_is_drawn_on_screen_and_on_paper(kind):
    shape = ONE_OF_EACH[kind]
    root = parse(svg_text(scene_of(shape), "d"))
    assert len(root) == 3  # title, description, the shape
    drawn = pdf_of(scene_of(shape)).get_contents().get_data()
    assert len(drawn) > len(pdf_of(scene_of()).get_contents().get_data())


def test_every_role_has_a_class_and_an_ink():
    assert set(palette.SCREEN) == set(palette.PRINT) == set(get_args(Role))
    assert set(palette.SCREEN_TEXT) == set(palette.LETTERING) == set(get_args(TextRole))


def test_y_runs_up_in_the_scene_and_down_on_the_screen():
    line = parse(svg_text(scene_of(Line(0, 5, 0, 0, "rope")), "d"))[2]
    assert (line.get("y1"), line.get("y2")) == ("0", "100")


def test_an_anticlockwise_turn_in_the_scene_is_negative_on_the_screen():
    text = parse(svg_text(scene_of(ONE_OF_EACH[Text]), "d"))[2]
    assert text.get("transform").startswith("rotate(-30 ")


def test_hostile_text_stays_text_on_screen():
    hostile = '</text><script>alert(1)</script>]]>&"'
    markup = svg_text(replace(scene_of(Text(1, 1, hostile, "text")), title=hostile), "d")
    assert "<script" not in markup
    root = parse(markup)
    assert root[0].text == hostile
    assert root[2].text == hostile


@each_drawing
def test_a_drawing_carries_title_and_description(drawing):
    scene = scene_at(drawing)
    root = parse(svg_text(scene, "x7"))
    title, desc = root[0], root[1]
    assert (title.tag.removeprefix(SVG), desc.tag.removeprefix(SVG)) == ("title", "desc")
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}" == "x7-t x7-d"
    assert title.text == scene.title
    assert len(desc.text) > 40


@each_drawing
def test_a_drawing_has_classes_and_neither_styles_nor_colours(drawing):
    scene = scene_at(drawing)
    for element in parse(svg_text(scene, "d")).iter():
        assert not {"style", "fill", "stroke", "font-size"} & set(element.attrib)
        if element.tag.removeprefix(SVG) not in {"svg", "title", "desc"}:
            assert element.get("class").startswith("d-")


@each_drawing
def test_everything_lies_inside_the_frame(drawing):
    scene = scene_at(drawing)
    slack = 12.0 / scene.px_per_unit  # marks at the edge may reach over by their own size
    for shape in scene.shapes:
        assert scene.bounds.holds(points_of(shape), slack if isinstance(shape, Circle) else 1.0), shape


@each_drawing
def test_labels_lie_inside_the_frame(drawing):
    scene = scene_at(drawing)
    for text in scene.texts():
        assert scene.bounds.holds(text_box(text, scene.px_per_unit, pad_px=0).corners, 2.0 / scene.px_per_unit), text


@each_drawing
def test_no_label_covers_another(drawing):
    scene = scene_at(drawing)
    boxes = [(text, text_box(text, scene.px_per_unit, pad_px=-1.0)) for text in scene.texts()]
    clashes = [(a.text, b.text) for (a, first), (b, second) in combinations(boxes, 2) if first.overlaps(second)]
    assert clashes == []


@each_drawing
def test_both_writers_show_the_same_labels(drawing):
    scene = scene_at(drawing)
    root = parse(svg_text(scene, "d"))
    on_screen = [element.text for element in root.iter() if element.tag.removeprefix(SVG) == "text"]
    assert on_screen == [text.text for text in scene.texts()]
    on_paper = paper_at(drawing).extract_text().replace("\n", "").replace(" ", "").replace("\xa0", "")
    for label in on_screen:
        assert label.replace(" ", "").replace("\xa0", "") in on_paper


@each_drawing
def test_paper_holds_vectors_and_no_images(drawing):
    assert len(paper_at(drawing).images) == 0


@each_drawing
def test_design_width_is_kept(drawing):
    scene = scene_at(drawing)
    width_px = WIDTHS[drawing[2]]
    narrowed = scene.title.startswith(("Reeving", "Tension over"))
    assert scene.width_px == pytest.approx(min(width_px, 430.0) if narrowed else width_px)


# --- the label check itself -------------------------------------------------------------------------------------------


def square(x, y, size=1.0):
    return Box(((x, y), (x + size, y), (x + size, y + size), (x, y + size)))


def test_boxes_that_only_touch_do_not_overlap():
    assert square(0, 0).overlaps(square(0.9, 0))
    assert not square(0, 0).overlaps(square(1.0, 0))


def test_a_slanting_stroke_beside_a_box_does_not_overlap_though_their_extents_do():
    stroke = stroke_box((0, 1.6), (1.6, 0), 0.05)
    assert not stroke.overlaps(square(0, 0, 0.7))
    assert stroke.overlaps(square(0, 0, 0.9))


def test_a_label_without_a_free_place_is_left_out_and_named():
    placer = LabelPlacer(Bounds(0, 0, 200, 30), 1.0)
    assert placer.place([Text(5, 10, "first", "text")])
    assert not placer.place([Text(6, 11, "second", "text"), Text(190, 10, "second", "text")])
    assert [text.text for text in placer.placed] == ["first"]
    assert placer.left_out == ["second"]


def test_a_label_crosses_a_soft_line_only_when_nothing_else_is_free():
    placer = LabelPlacer(Bounds(0, 0, 200, 60), 1.0)
    placer.avoid([(0, 14), (200, 14)], soft=True)
    placer.place([Text(5, 10, "a", "text"), Text(5, 40, "a", "text")])
    placer.place([Text(60, 10, "b", "text")])
    placer.avoid([(0, 14), (200, 14)])
    assert not placer.place([Text(120, 10, "c", "text")])
    assert [(text.text, text.y) for text in placer.placed] == [("a", 40), ("b", 10)]


# --- rounding to the safe side ----------------------------------------------------------------------------------------


def test_loads_print_rounded_up_and_limits_rounded_down():
    write = UnitFormatter("metric")
    assert write.force(2891.0) == "2.90\xa0kN"
    assert write.force_limit(3089.9) == "3.08\xa0kN"
    assert write.hand(671.0) == "680\xa0N"
    assert write.percent(1.0001) == "101\xa0%"
    assert write.force(2900.0) == "2.90\xa0kN"
