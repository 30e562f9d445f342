"""Signing in and a pre-use check by keyboard alone: every step is reached by Tab, seen by its ring, done by a key."""

from tests.browser.conftest import PASSWORD

FOCUSED = """() => { const e = document.activeElement; const ring = getComputedStyle(e.closest('.choice, .box') || e);
  return {tag: e.tagName, type: e.type || '', name: e.name || '', words: e.textContent.trim(),
          ring: ring.outlineStyle + ' ' + ring.outlineWidth}; }"""


def tab_until(page, wanted, *, on_the_way=None, most=120):
    """Press Tab until the focus is where it is wanted; each stop shows the ring."""
    for _ in range(most):
        page.keyboard.press("Tab")
        stop = page.evaluate(FOCUSED)
        if stop["tag"] != "BODY":
            assert stop["ring"] == "solid 3px", stop
        if wanted(stop):
            return
        if on_the_way:
            on_the_way(stop)
    raise AssertionError("Tab never got there")


def test_sign_in_by_keyboard(open_page):
    page = open_page("/accounts/login/")
    tab_until(page, lambda stop: stop["name"] == "login")
    page.keyboard.type("crew@crewlog.example")
    tab_until(page, lambda stop: stop["name"] == "password")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: "/accounts/" not in url)


def test_pre_use_check_by_keyboard(open_page):
    page = open_page("/gear/B-05/inspect/", who="crew")
    answered = set()

    def answer(stop):
        """Take the first answer of each group of tiles: Good, and Fit."""
        if stop["type"] == "radio" and stop["name"] not in answered:
            page.keyboard.press("Space")
            answered.add(stop["name"])

    tab_until(page, lambda stop: stop["words"] == "Sign and record", on_the_way=answer)
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: "/inspect/" not in url)  # both pages name B-05 in their heading
    page.get_by_role("heading", level=1, name="B-05").wait_for()
    assert "verdict" in answered
    assert page.get_by_text("Pre-use check: fit").count() == 1


def test_first_stop_of_a_page_skips_to_its_content(open_page):
    page = open_page("/", who="lead")
    page.keyboard.press("Tab")
    assert page.evaluate(FOCUSED)["words"] == "Skip to the page"
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.id") == "main"
