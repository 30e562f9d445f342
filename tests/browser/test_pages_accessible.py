"""Each main page at a desk and on a phone: nothing bars anyone."""

import pytest

from tests.browser.conftest import DESK, PHONE
from tests.browser.looks import violations
from tests.browser.pages import NAMES


@pytest.mark.parametrize("name", NAMES)
def test_page_is_accessible(at, name):
    page = at(name, viewport=DESK, bypass_csp=True)  # axe itself sets inline styles; every other test keeps the policy
    faults = violations(page)
    page.set_viewport_size(PHONE)
    faults += violations(page)
    assert not faults, "\n".join(faults)
