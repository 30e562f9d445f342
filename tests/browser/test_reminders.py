"""Reminders switched on as a person would: by pressing the buttons of the page in a browser."""

from urllib.request import urlopen

from playwright.sync_api import expect


def test_the_calendar_and_the_digest_are_switched_on_and_off_by_their_buttons(open_page):
    page = open_page("/reminders/", who="owner")
    page.get_by_role("button", name="Make an address").click()
    box = page.get_by_label("Address to subscribe to")
    box.wait_for()
    with urlopen(box.input_value(), timeout=20) as feed:  # noqa: S310 - our own server
        assert feed.read().startswith(b"BEGIN:VCALENDAR")
    page.get_by_role("button", name="Send it to owner@crewlog.example").click()
    digest = page.get_by_role("region", name="Digest by e-mail")
    digest.get_by_text("On", exact=True).wait_for()
    digest.get_by_role("button", name="Stop it").click()
    page.get_by_role("button", name="Send it to owner@crewlog.example").wait_for()
    page.get_by_role("button", name="Revoke it").click()
    page.get_by_text("no longer works").wait_for()
    expect(page.get_by_role("button", name="Make an address")).to_be_visible()


def test_the_page_with_the_secret_address_tells_another_site_nothing(open_page):
    page = open_page("/reminders/", who="lead")
    page.get_by_role("button", name="Make an address").click()
    page.get_by_label("Address to subscribe to").wait_for()
    sent = []

    def stop(route):
        sent.append(route.request.headers)
        route.abort()

    page.route("http://elsewhere.example/**", stop)
    page.evaluate("() => location.assign('http://elsewhere.example/')")
    page.wait_for_timeout(300)
    assert len(sent) == 1
    assert "referer" not in sent[0]
