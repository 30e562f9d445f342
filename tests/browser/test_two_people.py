"""Two people on one plan: the later one sees both values of each field and chooses, on a phone and without a mouse."""

import pytest

from tests.browser.conftest import DESK, PHONE
from tests.browser.looks import spilling, too_small, violations
from tests.browser.test_keyboard import tab_until


def plan_of(rows):
    return f"/stems/{rows['stem_draft']}/plan/"


def change(page, group, label, text):
    page.locator("#plan-form > details > summary").filter(has_text=group).first.click()
    page.get_by_label(label, exact=True).fill(text)


def work_out(page):
    page.get_by_role("button", name="Work it out").click()


@pytest.fixture
def too_late(open_page, rows):
    """A function that opens the plan, lets the owner save meanwhile, and sends the lead's own change."""

    def send(gust, **options):
        mine = open_page(plan_of(rows), who="lead2", java_script_enabled=False, **options)
        theirs = open_page(plan_of(rows), who="owner", java_script_enabled=False)
        change(theirs, "Wind", "Strongest gust", gust)
        work_out(theirs)
        theirs.get_by_text("Worked out from what was entered").wait_for()
        change(mine, "Wind", "Strongest gust", "4.4")
        work_out(mine)
        mine.get_by_text("Saved since you opened this plan").wait_for()
        return mine

    return send


@pytest.mark.parametrize(("gust", "viewport"), [("4.1", PHONE), ("4.2", DESK)])
def test_both_values_are_shown_and_fit_the_page(too_late, gust, viewport):
    page = too_late(gust, viewport=viewport)
    box = page.get_by_role("group", name="Strongest gust").first
    box.get_by_text(f"Take theirs: {gust}").wait_for()
    box.get_by_text("Keep mine: 4.4").wait_for()
    assert spilling(page) == []
    assert too_small(page) == []


def test_a_choice_is_made_by_keyboard_and_saved(too_late):
    page = too_late("4.3")
    tab_until(page, lambda stop: stop["name"] == "choose-gust_m_s")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowUp")
    tab_until(page, lambda stop: stop["words"] == "Save with these choices")
    page.keyboard.press("Enter")
    page.get_by_text("Worked out from what was entered").wait_for()
    assert page.get_by_label("Strongest gust", exact=True).input_value() == "4.3"


def test_the_comparison_is_accessible(open_page, rows):
    mine = open_page(plan_of(rows), who="lead2")
    theirs = open_page(plan_of(rows), who="owner", java_script_enabled=False)
    change(theirs, "Wind", "Strongest gust", "4.6")
    work_out(theirs)
    change(mine, "Wind", "Strongest gust", "4.7")
    mine.keyboard.press("Tab")  # leaving the box works the plan out
    mine.get_by_text("Saved since you opened this page").wait_for()
    work_out(mine)
    mine.get_by_text("Saved since you opened this plan").wait_for()
    assert violations(mine) == []
    assert mine.evaluate("() => document.activeElement.id") == "stale"
