"""At phone width, from signing in to the paper of an issued sheet."""

from tests.browser.journey import from_drop_to_paper


def test_lead_cures_a_refused_sheet_and_issues_it_on_a_phone(open_page):
    page = open_page("/")
    from_drop_to_paper(page)
    assert page.evaluate("() => document.documentElement.scrollWidth") == 390
