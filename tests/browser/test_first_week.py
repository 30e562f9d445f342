"""An item's life on screen: registered, refused until it is examined, examined, retired for good."""

import re

from tests.browser.conftest import DESK


def register_block(page, tag):
    page.get_by_role("link", name="Add an item").click()
    page.locator("[name=tag]").fill(tag)
    page.locator("[name=gear_class]").select_option("block")
    page.locator("[name=description]").fill("Single block, 80 mm")
    page.locator("[name=maker]").fill("Weirside Smithy")  # without a maker and a batch the demo's recall may cover it
    page.locator("[name=batch]").fill("W-3")
    page.locator("[name=pulls_at_ground]").check()
    page.locator("[name=working_load_limit_n]").fill("2 t")
    page.locator("[name=first_used_on]").fill("2026-01-05")
    page.locator("main form button[type=submit]").last.click()
    page.get_by_role("heading", level=1, name=re.compile(tag)).wait_for()


def height_of(page):
    return page.evaluate("document.documentElement.scrollHeight")


def examine(page):
    for point in page.locator("ol.points > li").all():
        point.get_by_text("Good", exact=True).click()
    before = height_of(page)
    for box in page.locator("[name^=measure_]:visible").all():
        box.fill("0.4")
    for says in page.locator(".measure > [aria-live]").all():
        says.get_by_text("Within its limit").wait_for()
    assert height_of(page) == before  # a button that moves as the word comes is missed by the thumb
    page.get_by_text("Fit", exact=True).click()
    page.get_by_role("button", name="Sign and record").click()
    page.get_by_role("heading", name="Thorough examination: fit").wait_for()
    assert page.get_by_text("Not fit today").count() == 0


def test_new_block_is_refused_examined_and_retired(open_page):
    page = open_page("/store/", who="owner", viewport=DESK)
    register_block(page, "Z-77")
    page.get_by_text("Not fit today").wait_for()
    page.get_by_text("Not examined before first use").first.wait_for()

    examiner = open_page("/gear/Z-77/inspect/?kind=thorough", who="inspector", viewport=DESK)
    examine(examiner)

    page.reload()
    page.get_by_role("link", name="Retire Z-77").click()
    page.get_by_label("Why").fill("Side plate bent")
    page.locator(".choice").filter(has=page.locator("[name=disposal]")).first.click()
    page.get_by_label("Retire it permanently").check()
    page.locator("main form button[type=submit]").last.click()
    page.get_by_text("Z-77 is retired.").wait_for()
    assert page.get_by_role("link", name="Thorough examination").count() == 0
    assert page.get_by_role("link", name="Log an event").count() == 0
