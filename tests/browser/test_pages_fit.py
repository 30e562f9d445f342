"""Each main page on a phone: nothing scrolls sideways or lies over another, each target fits a glove, text may be twice
as large, and words stand out where the reader's own colours are forced. One load of a page serves all of it."""

import pytest

from tests.browser.looks import measured, spilling, too_small, twice_the_text
from tests.browser.pages import NAMES
from tests.width import wide

WIDTHS = wide((430, 390, 360, 320), (390, 320))


def on_a_phone(page):
    """Widths of phones in use: all on the page, nothing over another; targets at the usual and the least."""
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        faults = spilling(page) + measured(page, "overlaps")
        if width in (390, 320):
            faults += too_small(page)
        yield from (f"at {width} px: {each}" for each in faults)


def with_twice_the_text(page):
    page.set_viewport_size({"width": 360, "height": 844})
    with twice_the_text(page):
        faults = spilling(page) + measured(page, "overlaps") + measured(page, "cut")
        yield from (f"at 360 px with text at 200 %: {each}" for each in faults)


def in_forced_colours(page):
    page.emulate_media(forced_colors="active")
    yield from (f"in forced colours: {each}" for each in measured(page, "faint") + measured(page, "edgeless"))


@pytest.mark.parametrize("name", NAMES)
def test_page_fits_a_phone_a_glove_and_a_weak_eye(at, name):
    page = at(name)
    faults = [*on_a_phone(page), *with_twice_the_text(page), *in_forced_colours(page)]
    assert not faults, "\n".join(faults)
