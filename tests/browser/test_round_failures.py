"""A failure on the phone: held while it is typed, named, taken back; photographs that show themselves."""

import re

from tests.browser.test_rounds import answer_item, keep, start_round
from tests.files import jpeg


def tap(page, number, words):
    page.locator("ol.points > li").nth(number - 1).get_by_text(words, exact=True).click()


def test_a_fail_holds_the_item_at_once_and_a_wrong_tap_is_taken_back(open_page):
    page = open_page("/rounds/new/?pick=1&q=C-11", who="inspector")
    start_round(page, "C-11")
    address = page.url
    tap(page, 2, "Fail")
    page.get_by_text("Failed: held, out of use.").wait_for()
    milder = page.locator(".choice").filter(has_text="Fit, with a remark")
    assert not milder.is_visible()
    store = page.context.new_page()
    store.goto("/store/")
    store.get_by_role("heading", name="Failed and held: employer not told yet").wait_for()
    assert store.locator("#h-held + .findings").get_by_text("C-11", exact=True).is_visible()
    store.close()

    with page.expect_response(lambda answer: answer.url.endswith("/answers/") and answer.ok):
        tap(page, 2, "Good")
    page.reload()
    page.get_by_role("link", name="It was entered by mistake").click()
    page.get_by_label("How the wrong answer came about").fill("Glove on the wrong tile")
    page.get_by_label("I looked at the item again").check()
    page.get_by_role("button", name="Record it").click()
    page.get_by_text("recorded as entered by mistake").wait_for()
    assert page.url == address
    assert page.get_by_text("Failed: held, out of use").count() == 0


def test_half_a_figure_holds_nothing_and_the_whole_one_past_its_limit_does(open_page):
    page = open_page("/rounds/new/?pick=1&q=C-13", who="inspector")
    start_round(page, "C-13")
    box = page.locator("[name=measure_wear_ratio]")
    box.press_sequentially("15", delay=900)  # the cursor stays in the box, and 15 % is past the limit of 10 %
    page.wait_for_timeout(1500)
    assert "Failed: held, out of use" not in page.request.get(page.url).text()
    box.blur()
    page.get_by_text("Failed: held, out of use.").wait_for()


def test_what_is_missing_is_counted_and_named_by_the_script_as_by_the_server(open_page):
    page = open_page("/rounds/new/?pick=1&q=B-06", who="inspector")
    start_round(page, "B-06")
    for point in page.locator("ol.points > li").all():
        point.get_by_text("Good", exact=True).click()
    page.locator("[name=measure_wear_ratio]").fill("0.4")
    missing = page.locator("#round-missing")
    missing.get_by_text("still to measure").wait_for()
    said, count = missing.inner_text(), page.locator("#round-answered").inner_text()
    assert said.startswith(count.removesuffix(" answered") + ": ")
    page.locator("[name=measure_wear_ratio]").blur()
    page.locator(".round-wait").wait_for(state="hidden")
    with page.expect_response(lambda answer: answer.url.endswith("/answers/") and answer.ok):
        page.locator("[name=findings]").fill("Clean")
        page.locator("[name=findings]").blur()
    page.reload()
    assert missing.inner_text() == said
    assert page.locator("#round-answered").inner_text() == count
    assert page.locator("ol.steps .is-done").count() == int(count.split(" ")[0])


def how_far(page):
    """The count, what is missing, and the class of each step."""
    steps = page.locator("ol.steps li").evaluate_all("(all) => all.map((each) => each.className)")
    return [page.locator("#round-answered").inner_text(), page.locator("#round-missing").text_content().strip(), steps]


def test_figures_past_their_limit_and_words_not_written_are_said_by_the_script_as_by_the_server(open_page):
    page = open_page("/rounds/new/?pick=1&q=B-0", who="inspector")
    start_round(page, "B-04")
    figure = page.locator("[name=measure_wear_ratio]")
    for point in page.locator("ol.points > li").all():
        point.get_by_text("Good", exact=True).click()
    tap(page, 2, "Remark")
    for typed, kind in (("0.4", "ok"), ("much", "refused"), ("15", "out")):
        figure.fill(typed)
        figure.blur()
        page.locator(f"#measure-wear_ratio-says .mark--{kind}").wait_for()
        page.locator(".round-wait").wait_for(state="hidden")
        with page.expect_response(lambda answer: answer.url.endswith("/answers/") and answer.ok):
            page.locator("[name=findings]").fill(typed)
            page.locator("[name=findings]").blur()
        before = how_far(page)
        assert "what you saw at" in before[1]
        page.reload()
        assert how_far(page) == before, typed
    assert "is-wrong" in how_far(page)[2]


def picture(name="mark.jpg"):
    return {"name": name, "mimeType": "image/jpeg", "buffer": jpeg()}


def test_a_photograph_shows_itself_on_the_phone_and_then_on_the_server_also_at_a_good_point(open_page):
    page = open_page("/rounds/new/?pick=1&q=H-01", who="inspector")
    context = page.context
    start_round(page, "H-01")
    point = page.locator("ol.points > li").first
    point.get_by_text("Remark", exact=True).click()
    point.locator("textarea").fill("Fluffed")
    context.set_offline(True)
    point.locator("input[type=file]").set_input_files(picture())
    point.get_by_text("Kept on this phone").wait_for()
    assert point.locator("canvas").is_visible()
    point.get_by_text("Good", exact=True).click()
    assert point.locator("canvas").is_visible()
    context.set_offline(False)
    point.get_by_text("Kept", exact=True).wait_for()
    page.reload()
    image = point.get_by_role("img", name="Photograph: mark.jpg")
    image.wait_for()
    assert image.evaluate("(img) => img.complete && img.naturalWidth > 0")
    answer_item(page)
    keep(page)
    page.get_by_role("link", name="Review and sign").click()
    page.get_by_role("button", name="Sign 1").click()
    page.get_by_text("1 signed.").wait_for()
    page.goto("/gear/H-01/")
    assert page.locator("ol.cord > li").first.get_by_role("img").count() == 1


FULL = """() => {
  IDBObjectStore.prototype.put = function () { throw new DOMException("no room", "QuotaExceededError"); };
}"""


def test_a_full_phone_says_so_and_how_many_photographs_wait(open_page):
    page = open_page("/rounds/new/?pick=1&q=H-02", who="inspector")
    start_round(page, "H-02")
    page.context.set_offline(True)
    page.locator("[name=photo]").set_input_files(picture("first.jpg"))
    page.get_by_text("1 photograph waiting for signal").wait_for()
    page.evaluate(FULL)
    page.locator("[name=photo]").set_input_files(picture("second.jpg"))
    page.get_by_text(re.compile("storage of this phone is full.*1 photograph waits here")).wait_for()
    page.context.set_offline(False)
