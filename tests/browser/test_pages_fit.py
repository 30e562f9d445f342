"""Each main page on a phone: nothing scrolls sideways, and each target fits a glove."""

import pytest

from tests.browser.looks import spilling, too_small
from tests.browser.pages import NAMES


@pytest.mark.parametrize("name", NAMES)
def test_page_fits_a_phone_and_a_glove(at, name):
    page = at(name)
    faults = []
    for width in (390, 320):
        page.set_viewport_size({"width": width, "height": 844})
        faults += [f"at {width} px: {each}" for each in spilling(page) + too_small(page)]
    assert not faults, "\n".join(faults)
