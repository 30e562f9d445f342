"""A shared tablet: after signing out, the browser's Back shows nothing of the company."""

from tests.browser.conftest import sign_in


def test_back_after_signing_out_shows_the_sign_in_page(open_page):
    page = open_page("/accounts/login/")
    sign_in(page, "owner")  # a sign-in of its own: the others' must outlast this one's end
    page.goto("/store/")
    assert page.locator("main h1").inner_text() == "Store"
    page.goto("/more/")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("heading", name="Sign in").wait_for()
    for _ in range(2):
        page.go_back()
        page.get_by_role("heading", name="Sign in").wait_for()
        assert page.locator(".bar__who").count() == 0
