"""Each main page on a phone and at a desk: nothing scrolls sideways, each target fits a glove, nothing bars anyone."""

import pytest

from tests.browser.conftest import DESK, PHONE
from tests.browser.looks import spilling, too_small, violations
from tests.browser.pages import NAMES, PAGES

BY_NAME = {name: (who, address) for name, who, address in PAGES}


@pytest.fixture
def at(open_page, rows):
    """A function that opens a page of the list."""

    def open_named(name, **options):
        who, address = BY_NAME[name]
        page = open_page(address.format(**rows), who=who, **options)
        assert page.title().endswith("· Crewlog")
        assert page.locator("h1").count() == 1
        page.evaluate("() => document.fonts.ready")
        return page

    return open_named


@pytest.mark.parametrize("name", NAMES)
def test_page_fits_a_phone_and_a_glove(at, name):
    page = at(name)
    faults = []
    for width in (390, 320):
        page.set_viewport_size({"width": width, "height": 844})
        faults += [f"at {width} px: {each}" for each in spilling(page) + too_small(page)]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("name", NAMES)
def test_page_is_accessible(at, name):
    page = at(name, viewport=DESK, bypass_csp=True)  # axe itself sets inline styles; every other test keeps the policy
    faults = violations(page)
    page.set_viewport_size(PHONE)
    faults += violations(page)
    assert not faults, "\n".join(faults)
