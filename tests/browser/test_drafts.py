"""What was typed and not saved outlasts the page, the signal, the session and the tab, and is one person's alone."""

import json
import re
import sqlite3

import pytest

from tests.browser.conftest import DESK, sign_in
from tests.files import jpeg

KEPT = "() => Object.keys(localStorage).filter(key => key.startsWith('crewlog-draft:'))"
CSRF = "document.querySelectorAll('[name=csrfmiddlewaretoken]')"


def kept(page):
    return page.evaluate(KEPT)


def plan(rows):
    return f"/stems/{rows['stem_withdrawn']}/plan/"


def open_wind(page):
    """Unfold the group of the wind, unless the page came with it open: a plan with a finding about the wind does."""
    group = page.locator("details.group").filter(has=page.get_by_label("Strongest gust"))
    if group.get_attribute("open") is None:
        group.locator("summary").first.click()


def type_gust(page, text):
    """Into the box of the wind, with the page's answer to it."""
    open_wind(page)
    with page.expect_response(lambda answer: answer.url.endswith("/plan/try/")):
        page.get_by_label("Strongest gust").fill(text)
        page.get_by_label("Strongest gust").blur()


def put_back(page, count):
    page.locator("#unsent").get_by_text(re.compile(rf"Put back: {count} box(es)? typed on this device")).wait_for()


def own_page(open_page, who, path):
    """Signed in by itself, so that the others' sessions outlast what is done to this one."""
    page = open_page("/accounts/login/")
    sign_in(page, who)
    page.goto(path)
    return page


def test_what_was_typed_in_a_plan_is_there_after_another_page_and_goes_once_it_is_saved(open_page, rows):
    page = open_page(plan(rows), who="lead")
    before = page.get_by_label("Strongest gust").input_value()
    type_gust(page, "7.3")
    page.goto("/store/")
    page.goto(plan(rows))
    put_back(page, 1)
    assert page.get_by_label("Strongest gust").input_value() == "7.3"
    page.get_by_role("button", name="Work it out").click()
    page.get_by_text("Worked out from what was entered.").wait_for()
    assert kept(page) == []
    page.reload()
    assert page.locator(".unsent").count() == 0
    assert page.get_by_label("Strongest gust").input_value() == "7.3"
    type_gust(page, before)
    page.get_by_role("button", name="Work it out").click()
    page.get_by_text("Worked out from what was entered.").wait_for()


def test_a_draft_is_thrown_away_and_fetched_back_by_one_press(open_page, rows):
    page = open_page(plan(rows), who="lead")
    before = page.get_by_label("Strongest gust").input_value()
    type_gust(page, "7.4")
    page.reload()
    put_back(page, 1)
    page.get_by_role("button", name="Throw it away").click()
    assert page.get_by_label("Strongest gust").input_value() == before
    assert kept(page) == []
    page.get_by_role("button", name="Put it back").click()
    assert page.get_by_label("Strongest gust").input_value() == "7.4"
    assert len(kept(page)) == 1
    page.get_by_role("button", name="Throw it away").click()
    page.reload()
    assert page.locator(".unsent").count() == 0


def test_a_new_stem_is_put_back_whole_after_the_back_button_and_a_refused_form_keeps_it(open_page, rows):
    page = open_page(f"/jobs/{rows['job']}/stems/new/", who="lead", viewport=DESK)
    page.locator("[name=label]").fill("P-77")
    page.locator("[name=tree_height_m]").fill("1,5")
    page.locator("[name=crown]").first.locator("xpath=ancestor::label").click()
    page.goto("/jobs/")
    page.go_back()
    put_back(page, 3)
    assert page.locator("[name=label]").input_value() == "P-77"
    assert page.locator("[name=crown]").first.is_checked()
    with page.expect_response(lambda answer: answer.status == 422):
        page.get_by_role("button", name="Keep the measurements").click()
    page.locator(".errors").wait_for()
    assert page.locator(".unsent").count() == 0
    assert len(kept(page)) == 1
    page.goto(f"/jobs/{rows['job']}/stems/new/")
    put_back(page, 3)
    assert page.locator("[name=tree_height_m]").input_value() == "1,5"
    page.get_by_role("button", name="Throw it away").click()


def test_a_form_sent_without_signal_stays_with_a_line_and_is_sent_again(open_page):
    page = open_page("/gear/B-05/event/", who="crew")
    page.locator("[name=kind]").first.locator("xpath=ancestor::label").click()
    page.locator("[name=description]").fill("Fell two metres on gravel")
    page.wait_for_load_state("networkidle")
    page.context.set_offline(True)
    page.locator(".thumb--task button").click()
    line = page.locator(".unsent--here")
    line.get_by_text("No signal. Not sent, kept on this device.").wait_for()
    assert page.url.endswith("/event/")
    assert page.locator("[name=description]").input_value() == "Fell two metres on gravel"
    again = page.get_by_role("button", name="Send again")
    assert again.evaluate("(button) => button === document.activeElement")
    page.context.set_offline(False)
    again.click()
    page.get_by_role("heading", level=1, name="B-05").wait_for()
    page.wait_for_url("**/gear/B-05/")
    assert kept(page) == []


def test_a_second_tap_while_a_form_is_on_its_way_leaves_its_draft_to_be_accepted(open_page):
    page = open_page("/gear/B-05/event/", who="crew")
    page.locator("[name=kind]").first.locator("xpath=ancestor::label").click()
    page.locator("[name=description]").fill("Fell one metre on grass")
    held = []
    page.route("**/event/", lambda route: held.append(route) if route.request.method == "POST" else route.continue_())
    button = page.locator(".thumb--task button")
    button.evaluate(
        """(button) => new MutationObserver((_, itself) => { itself.disconnect(); button.click(); })
        .observe(button.form, { attributeFilter: ["data-sent"] })"""
    )
    with page.expect_request(lambda request: request.method == "POST"):
        button.click()
    page.wait_for_timeout(500)  # in which a second asking would have been answered
    held[0].continue_()
    page.wait_for_url("**/gear/B-05/")
    page.get_by_role("heading", level=1, name="B-05").wait_for()
    assert kept(page) == []


def test_a_plan_typed_without_signal_says_that_it_is_kept(open_page, rows):
    page = open_page(plan(rows), who="lead")
    page.wait_for_load_state("networkidle")
    page.context.set_offline(True)
    open_wind(page)
    page.get_by_label("Strongest gust").fill("6.6")
    page.get_by_label("Strongest gust").blur()
    page.locator("#trouble").get_by_text("What you type is kept on this device").wait_for()
    with page.expect_response(lambda answer: answer.url.endswith("/plan/try/")):
        page.context.set_offline(False)
    page.locator("#trouble").wait_for(state="hidden")
    assert len(kept(page)) == 1


def test_a_killed_tab_loses_nothing(open_page, rows):
    page = open_page(plan(rows), who="lead")
    page.evaluate(KEPT)
    type_gust(page, "8.1")
    again = page.context.new_page()
    page.close(run_before_unload=False)
    again.goto(plan(rows))
    put_back(again, 1)
    assert again.get_by_label("Strongest gust").input_value() == "8.1"


def test_after_an_ended_session_one_is_back_on_the_page_with_what_was_typed(open_page, rows, site_database):
    page = own_page(open_page, "lead", plan(rows))
    type_gust(page, "7.9")
    page.context.clear_cookies(name="sessionid")
    page.get_by_role("button", name=re.compile("Keep as revision")).click()
    page.get_by_role("heading", name="Sign in").wait_for()
    assert len(kept(page)) == 1
    page.get_by_label("Email").fill("lead@crewlog.example")
    page.get_by_label("Password").fill("towpath-lantern-42")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_text("“Keep as revision” was not done: the sign-in had ended.").wait_for()
    assert page.url.endswith(plan(rows))
    put_back(page, 1)
    assert page.get_by_label("Strongest gust").input_value() == "7.9"


def test_an_htmx_request_of_a_session_ended_on_the_server_leads_back_to_the_page(open_page, rows, site_database):
    page = own_page(open_page, "lead2", plan(rows))
    end_session_of(page, site_database)
    open_wind(page)
    page.get_by_label("Strongest gust").fill("7.7")
    page.get_by_label("Strongest gust").blur()
    page.get_by_role("heading", name="Sign in").wait_for()
    page.get_by_label("Email").fill("lead2@crewlog.example")
    page.get_by_label("Password").fill("towpath-lantern-42")
    page.get_by_role("button", name="Sign in").click()
    put_back(page, 1)
    assert page.url.endswith(plan(rows))
    assert page.get_by_label("Strongest gust").input_value() == "7.7"


def end_session_of(page, site_database):
    key = next(each["value"] for each in page.context.cookies() if each["name"] == "sessionid")
    with sqlite3.connect(site_database, timeout=20) as database:
        assert database.execute("DELETE FROM django_session WHERE session_key = ?", [key]).rowcount == 1


def test_another_person_on_the_device_does_not_see_a_draft_and_its_own_person_does(open_page, rows, site_database):
    page = own_page(open_page, "lead", plan(rows))
    type_gust(page, "7.2")
    end_session_of(page, site_database)
    page.goto("/accounts/login/")
    sign_in(page, "owner")
    page.goto(plan(rows))
    page.get_by_role("heading", level=1).wait_for()
    assert page.locator(".unsent").count() == 0
    assert page.get_by_label("Strongest gust").input_value() != "7.2"
    end_session_of(page, site_database)
    page.goto("/accounts/login/")
    sign_in(page, "lead")
    page.goto(plan(rows))
    put_back(page, 1)


def test_nothing_is_sent_once_another_person_has_signed_in_in_another_tab(open_page, rows):
    page = own_page(open_page, "lead", plan(rows))
    type_gust(page, "7.1")
    other = page.context.new_page()
    page.context.clear_cookies(name="sessionid")
    sign_in(other, "owner")
    page.get_by_role("button", name="Work it out").click()
    page.get_by_text("Somebody else has signed in on this device. Not sent, kept on this device.").wait_for()


def test_signing_out_forgets_what_was_typed(open_page, rows):
    page = own_page(open_page, "lead", plan(rows))
    type_gust(page, "7.6")
    page.goto("/more/")
    assert len(kept(page)) == 1
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("heading", name="Sign in").wait_for()
    assert kept(page) == []


def test_what_somebody_saved_since_is_not_covered_over(open_page, rows):
    page = open_page(plan(rows), who="lead")
    type_gust(page, "7.5")
    page.goto("/jobs/")
    other = open_page(plan(rows), who="owner")
    before = other.get_by_label("Strongest gust").input_value()
    type_gust(other, "9.1")
    other.get_by_role("button", name="Work it out").click()
    other.get_by_text("Worked out from what was entered.").wait_for()
    page.goto(plan(rows))
    clash = page.locator(".unsent__clash")
    clash.get_by_text(f"Saved since: 9.1. You typed: 7.5. Before: {before}.").wait_for()
    assert page.get_by_label("Strongest gust").input_value() == "9.1"
    page.get_by_role("button", name="Use mine").click()
    assert page.get_by_label("Strongest gust").input_value() == "7.5"
    page.get_by_role("button", name="Throw it away").click()
    assert page.get_by_label("Strongest gust").input_value() == "9.1"


def test_health_facts_photographs_and_tokens_are_not_kept(open_page, rows):
    page = open_page("/crew/new/", who="owner")
    page.get_by_label("Name", exact=True).fill("Wyn Carrow")
    page.get_by_label("Health facts").fill("private fact")
    page.get_by_label("In an emergency call").fill("private number")
    text = json.dumps(page.evaluate("() => ({...localStorage})"))
    assert "Wyn Carrow" in text
    assert "private" not in text
    page.goto("/gear/B-03/event/")
    page.locator("textarea").first.fill("Dropped")
    page.locator("input[type=file]").first.set_input_files(
        {"name": "drop.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}
    )
    text = json.dumps(page.evaluate("() => ({...localStorage})"))
    token = page.evaluate(f"() => {CSRF}[0].value")
    assert "Dropped" in text
    assert token not in text
    assert "drop.jpg" not in text
    page.reload()
    page.get_by_text("Photographs are not kept. Choose them again.").wait_for()


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ("QuotaExceededError", "This device has no room left: what you type here is not kept."),
        ("SecurityError", "This browser keeps nothing: what you type here is lost when you leave the page."),
    ],
)
def test_a_device_that_keeps_nothing_says_so_in_one_line(open_page, fault, words):
    page = open_page("/jobs/new/", who="owner")
    page.evaluate(
        "(name) => { Storage.prototype.setItem = () => { throw new DOMException('no', name); }; }",
        fault,
    )
    page.get_by_label("Client").fill("Lock trust")
    page.get_by_text(words).wait_for()
    assert page.locator("#unsent-fault").count() == 1


def test_an_old_draft_is_offered_and_not_put_back_by_itself(open_page):
    page = open_page("/jobs/new/", who="owner")
    page.get_by_label("Client").fill("Lock trust")
    page.evaluate(
        """() => { const isNew = key => key.startsWith('crewlog-draft:') && key.includes('/jobs/new/');
        const key = Object.keys(localStorage).find(isNew);
        const draft = JSON.parse(localStorage[key]); draft.at = new Date(Date.now() - 30 * 3600e3).toISOString();
        localStorage[key] = JSON.stringify(draft); }"""
    )
    page.reload()
    page.get_by_text("Typed on this device 30 hours ago, not saved: 1 box.").wait_for()
    assert page.get_by_label("Client").input_value() == ""
    page.get_by_role("button", name="Put it back").click()
    assert page.get_by_label("Client").input_value() == "Lock trust"


def test_a_stale_token_is_renewed_before_the_form_is_sent(open_page, rows):
    page = own_page(open_page, "lead", f"/stems/{rows['stem']}/")
    page.evaluate(f"() => {CSRF}.forEach(each => {{ each.value = 'x'.repeat(64); }})")
    page.get_by_role("button", name="Keep the measurements").click()
    page.locator(".messages .is-success").wait_for()
    assert page.get_by_role("heading", level=1, name="Not saved").count() == 0


def test_the_unit_beside_a_box_brings_the_letters_for_another_unit(open_page):
    page = open_page("/store/new/", who="owner")
    box = page.locator("[name=mass_kg]")
    assert box.evaluate("(box) => box.inputMode") == "decimal"
    page.locator("#id_mass_kg-unit").click()
    assert box.evaluate("(box) => [box.inputMode, box === document.activeElement]") == ["text", True]
