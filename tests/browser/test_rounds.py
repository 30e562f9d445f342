"""A round on a phone that loses its signal and is closed, and the same path without JavaScript."""

import re
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Error

from tests.browser.conftest import DESK, WAIT_MS, sign_in
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


KEPT = """async () => {
  const names = (await caches.keys()).filter(name => name.startsWith("crewlog-kept:"));
  const keys = await Promise.all(names.map(async name => (await caches.open(name)).keys()));
  return keys.flat().map(key => new URL(key.url).pathname).sort();
}"""


def kept_pages(page):
    return page.evaluate(KEPT)


def wait_until_kept(page, *addresses):
    """The worker keeps a page a moment after it was shown."""
    wait_until(page, lambda kept: set(addresses) <= set(kept))


def wait_until(page, holds):
    for _ in range(WAIT_MS // 100):
        if holds(kept_pages(page)):
            return
        page.wait_for_timeout(100)
    pytest.fail(f"kept were {kept_pages(page)}")


def test_answers_given_without_signal_survive_the_closed_page_and_are_signed(open_page):
    page = open_page(FOR_HAND, who="inspector")
    context = page.context
    start_round(page, "B-03", "B-01", "B-04")
    list_address = page.locator("#round-item").get_attribute("data-list")

    answer_item(page)
    page.get_by_text("Within its limit").first.wait_for()
    keep(page)
    page.get_by_role("heading", level=1, name=re.compile("B-01")).wait_for()
    wait_until_kept(page, f"{list_address}3/")

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
    again.get_by_role("link", name="Review and sign").click()
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
    page.get_by_role("link", name="Review and sign").click()
    sign(page, 1)
    assert "Perrin Lathwell" in examined_today(page, "B-07")


def refused_a_signature(page, words):
    page.get_by_role("button", name="Sign 1").click()
    said = page.locator(".round-wait")
    said.get_by_text(words).wait_for()
    assert said.evaluate("(box) => box === document.activeElement")


def test_a_round_loaded_again_without_signal_opens_and_what_is_answered_there_arrives(open_page):
    page = open_page("/rounds/new/?pick=1&q=B-0", who="inspector")
    context = page.context
    start_round(page, "B-02", "B-05")
    first, round_address = page.url, page.locator("#round-item").get_attribute("data-list")
    second = first.replace("/1/", "/2/")
    points = page.locator("ol.points > li")
    with page.expect_response(lambda answer: answer.url.endswith("/answers/") and answer.ok):
        points.nth(0).get_by_text("Good", exact=True).click()
    wait_until_kept(page, *(urlsplit(each).path for each in (first, second, round_address)))

    context.set_offline(True)
    page.reload()
    page.get_by_text(re.compile(r"Kept copy of \d\d:\d\d, no signal")).wait_for()
    assert page.locator("ol.points .choice").first.evaluate("(tile) => getComputedStyle(tile).minBlockSize") != "0px"
    assert points.nth(0).get_by_label("Good").is_checked()  # sent, and after the copy was kept
    points.nth(1).get_by_text("Remark", exact=True).click()
    points.nth(1).locator("textarea").fill("Turns stiffly")
    points.nth(1).locator("input[type=file]").set_input_files(
        {"name": "stiff.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}
    )
    page.get_by_text("1 photograph waiting for signal").wait_for()
    page.close()

    page = context.new_page()
    page.goto(round_address)
    page.get_by_text(re.compile("Kept copy of")).wait_for()
    page.get_by_text("1 photograph waiting for signal").wait_for()
    page.goto(second)
    page.get_by_role("heading", level=1, name=re.compile("B-05")).wait_for()
    answer_item(page)
    page.get_by_text(re.compile("answers waiting to be sent")).wait_for()

    context.set_offline(False)
    page.get_by_text("Kept copy of").wait_for(state="detached")
    page.locator(".round-wait").wait_for(state="hidden")
    page.goto(first)
    page.get_by_text("Kept: stiff.jpg.").wait_for()
    points = page.locator("ol.points > li")
    assert points.nth(1).get_by_label("Remark").is_checked()
    assert points.nth(1).locator("textarea").input_value() == "Turns stiffly"
    page.goto(round_address)
    page.get_by_role("link", name=re.compile("B-05")).get_by_text("Every point good").wait_for()


def test_a_round_is_not_signed_while_a_photograph_waits_or_without_signal(open_page):
    page = open_page("/rounds/new/?pick=1&q=C-", who="inspector")
    context = page.context
    start_round(page, "C-11")
    answer_item(page)
    keep(page)
    page.get_by_role("link", name="Review and sign").click()
    page.get_by_role("button", name="Sign 1").wait_for()
    sign_address = page.url
    wait_until_kept(page, urlsplit(sign_address).path)
    context.set_offline(True)
    refused_a_signature(page, "Sign when the signal is back.")

    page.goto(sign_address.replace("sign/", "1/"))
    page.locator("[name=photo]").set_input_files({"name": "mark.jpg", "mimeType": "image/jpeg", "buffer": jpeg()})
    page.get_by_text("1 photograph waiting for signal").wait_for()
    page.goto(sign_address)
    refused_a_signature(page, "1 photograph waiting for signal.")
    context.set_offline(False)
    page.get_by_text("Kept copy of").wait_for(state="detached")
    page.locator(".round-wait").wait_for(state="hidden")
    sign(page, 1)


def test_a_photograph_is_to_be_taken_again_where_the_browser_keeps_nothing(open_page):
    page = open_page("/rounds/new/?pick=1&q=C-", who="inspector")
    start_round(page, "C-13")
    wait_until_kept(page, page.locator("#round-item").get_attribute("data-list"))
    page.evaluate("() => Object.defineProperty(window, 'indexedDB', { value: undefined })")
    page.context.set_offline(True)
    page.locator("[name=photo]").set_input_files({"name": "mark.jpg", "mimeType": "image/jpeg", "buffer": jpeg()})
    page.get_by_text("This device cannot keep a photograph: take it again with signal.").wait_for()
    page.context.set_offline(False)


def test_kept_pages_are_of_who_is_signed_in_and_gone_at_sign_out(open_page):
    page = open_page("/accounts/login/")
    sign_in(page, "inspector")  # a sign-in of its own: the others' must outlast this one's end
    page.goto("/rounds/")
    wait_until_kept(page, "/rounds/")
    assert set(kept_pages(page)) == {"/rounds/"}
    page.goto("/rounds/new/")
    page.goto("/store/")
    assert set(kept_pages(page)) == {"/rounds/"}
    page.goto("/more/")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("heading", name="Sign in").wait_for()
    wait_until(page, lambda kept: not kept)
    page.context.set_offline(True)
    with pytest.raises(Error, match="ERR_"):
        page.goto("/rounds/")
    page.context.set_offline(False)
