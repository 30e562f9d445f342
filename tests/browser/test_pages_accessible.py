"""Each main page on a phone, in full at a desk too: nothing bars anyone."""

import pytest

from tests.browser.conftest import DESK, PHONE
from tests.browser.looks import violations
from tests.browser.pages import NAMES
from tests.width import wide

VIEWPORTS = wide((DESK, PHONE), (PHONE,))


@pytest.mark.parametrize("name", NAMES)
def test_page_is_accessible(at, name):
    # axe itself sets inline styles; every other test keeps the policy
    page = at(name, viewport=VIEWPORTS[0], bypass_csp=True)
    faults = []
    for viewport in VIEWPORTS:
        page.set_viewport_size(viewport)
        faults += violations(page)
    assert not faults, "\n".join(faults)
