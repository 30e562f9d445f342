"""The measures of looks.js find what they are for, and pass what is right."""

import pytest

from tests.browser.looks import measured, spilling, twice_the_text

OVER = """<main><p style="position:absolute;top:10px;left:10px;margin:0">1.36 kN</p>
<p style="position:absolute;top:{top}px;left:40px;margin:0">2.82 kN</p></main>"""
LABELS = """<main><svg width="300" height="100">
<text x="10" y="40">rope</text><text x="{x}" y="42">anchor</text></svg></main>"""
BUTTON = (
    '<main><button class="button" style="background:LinkText;color:{ink};border:1px solid">Work it out</button></main>'
)


@pytest.fixture
def page(browser):
    context = browser.new_context(viewport={"width": 360, "height": 600})
    yield context.new_page()
    context.close()


def test_a_number_over_another_is_found(page):
    page.set_content(OVER.format(top=14))
    (fault,) = measured(page, "overlaps")
    assert fault.startswith("“1.36 kN” (p.) and “2.82 kN” (p.) lie over each other by ")
    page.set_content(OVER.format(top=40))
    assert measured(page, "overlaps") == []


def test_a_label_of_a_drawing_over_another_is_found(page):
    page.set_content(LABELS.format(x=20))
    assert len(measured(page, "overlaps")) == 1
    page.set_content(LABELS.format(x=120))
    assert measured(page, "overlaps") == []


def test_text_that_is_cut_off_is_found(page):
    page.set_content('<main><p style="width:40px;overflow:hidden;white-space:nowrap">Out of use since May</p></main>')
    assert measured(page, "cut") == ["“Out of use since May” (p.) is cut off"]


def test_words_in_the_colour_of_their_plate_are_found(page):
    page.emulate_media(forced_colors="active")
    page.set_content(BUTTON.format(ink="Canvas"))
    assert measured(page, "faint") == ["“Work it out” (button.button) stands out by 1.0 only"]
    page.set_content(BUTTON.format(ink="ButtonText").replace("LinkText", "ButtonFace"))
    assert measured(page, "faint") == []


def test_a_button_without_an_edge_is_found(page):
    page.set_content('<main><button class="button" style="border:0">Go</button></main>')
    assert measured(page, "edgeless") == ["“Go” (button.button) has no edge"]


def test_a_reader_who_doubles_the_text_gets_it_doubled(page):
    page.set_content('<main><p style="width:11rem">Wide</p></main>')
    assert spilling(page) == []
    with twice_the_text(page):
        page.set_content('<main><p style="width:12rem">Wide</p></main>')
        assert spilling(page) != []
