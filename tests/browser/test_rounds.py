"""A round on a phone that loses its signal and is closed, and the same path without JavaScript."""

import re

from tests.browser.conftest import DESK
from tests.files import jpeg

FOR_HAND = "/rounds/new/?pick=1&q=B-0"


def start_round(page, *tags):
    for tag in tags:
        page.locator(".choice").filter(has_text=tag).click()
    page.get_by_role("button", name="Start the round").click()
    page.get_by_role("heading", level=1, name=re.compile(tags[0])).wait_for()


def answer_item(page):
    for point in page.locator("ol.points > li").all():
        point.get_by_text("Good", exact=True).click()
    for box in page.locator("[name^=measure_]:not([type=hidden])").all():
        box.fill("0.4")


def keep(page):
    page.locator(".thumb--task button").click()


def sign(page, count):
    page.get_by_role("button", name=f"Sign {count}").click()
    page.get_by_text(f"{count} signed.").wait_for()


def examined_today(page, tag):
    page.goto(f"/gear/{tag}/")
    page.get_by_role("heading", name="Thorough examination: fit").first.wait_for()
    return page.locator("ol.cord > li").first.inner_text()


def test_answers_given_without_signal_survive_the_closed_page_and_are_signed(open_page):
    page = open_page(FOR_HAND, who="inspector")
    context = page.context
    start_round(page, "B-03", "B-01", "B-04")
    list_address = page.locator("#round-item").get_attribute("data-list")

    answer_item(page)
    page.get_by_text("Within its limit").first.wait_for()
    with page.expect_response(lambda answer: answer.url.endswith("/3/") and answer.status == 200):
        keep(page)
        page.get_by_role("heading", level=1, name=re.compile("B-01")).wait_for()

    context.set_offline(True)
    page.get_by_text("Answers are kept on this device").wait_for()
    answer_item(page)
    page.get_by_text(re.compile(r"\d+ answers waiting to be sent")).wait_for()
    keep(page)
    page.get_by_role("heading", level=1, name=re.compile("B-04")).wait_for()
    page.locator("ol.points > li").first.get_by_text("Good", exact=True).click()
    second = page.locator("ol.points > li").nth(1)
    second.get_by_text("Remark", exact=True).click()
    second.locator("textarea").fill("A burr on the cheek")
    second.locator("input[type=file]").set_input_files({"name": "burr.jpg", "mimeType": "image/jpeg", "buffer": jpeg()})
    page.get_by_text("1 photograph waiting for signal").wait_for()
    page.close()

    context.set_offline(False)
    again = context.new_page()
    again.goto(list_address)
    again.get_by_text("2 of 3 answered").wait_for()
    again.get_by_role("link", name=re.compile("B-04")).click()
    again.get_by_role("heading", level=1, name=re.compile("B-04")).wait_for()
    assert again.locator("[name=answer_marking][value=good]").is_checked()
    again.get_by_text("Kept: burr.jpg.").wait_for()
    answer_item(again)
    keep(again)
    again.get_by_role("link", name="Look over and sign").click()
    sign(again, 3)
    for tag in ("B-03", "B-01", "B-04"):
        assert "Perrin Lathwell" in examined_today(again, tag)


def test_a_round_is_answered_and_signed_without_javascript(open_page):
    page = open_page("/rounds/new/?pick=1&q=B-07", who="inspector", viewport=DESK, java_script_enabled=False)
    start_round(page, "B-07")
    page.locator("[name=measure_wear_ratio]").fill("0,4")
    keep(page)
    page.get_by_role("heading", name="One thing to put right").wait_for()
    assert page.locator("[name=measure_wear_ratio]").input_value() == "0,4"
    answer_item(page)
    keep(page)
    page.get_by_text("1 of 1 answered").wait_for()
    page.get_by_role("link", name="Look over and sign").click()
    sign(page, 1)
    assert "Perrin Lathwell" in examined_today(page, "B-07")
