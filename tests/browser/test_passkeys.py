"""A passkey is added, signs in alone, serves as the second step, and is taken off; by Chromium's own authenticator."""

import pytest

from tests.browser.conftest import DESK, PASSWORD, WAIT_MS
from tests.browser.looks import spilling, too_small, violations

AUTHENTICATOR = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


@pytest.fixture
def page(browser, site):
    """A page at the site's name: browsers give passkeys to no address of numbers. It has an authenticator."""
    context = browser.new_context(base_url=site.replace("127.0.0.1", "localhost"), viewport=DESK)
    context.set_default_timeout(WAIT_MS)
    opened = context.new_page()
    complaints = []
    opened.on("console", lambda m: complaints.append(f"{m.type}: {m.text}"))
    opened.on("pageerror", lambda e: complaints.append(f"error: {e}"))
    client = context.new_cdp_session(opened)
    client.send("WebAuthn.enable")
    opened.authenticator = client.send("WebAuthn.addVirtualAuthenticator", {"options": AUTHENTICATOR})[
        "authenticatorId"
    ]
    opened.cdp = client
    yield opened
    context.close()
    assert complaints == []


def give_password(page):
    page.get_by_label("Email").fill("crew3@crewlog.example")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()


def sign_out(page):
    page.goto("/accounts/logout/")
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/accounts/login/**")


def add_passkey(page):
    page.goto("/accounts/2fa/webauthn/add/")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Go on").click()
    page.get_by_label("Name").fill("Tablet in the van")
    assert spilling(page) == []
    assert too_small(page) == []
    page.get_by_role("button", name="Add it").click()
    page.wait_for_url("**/recovery-codes/**")


def test_a_passkey_signs_in_alone_and_as_second_step_and_is_taken_off(page):
    page.goto("/accounts/login/")
    give_password(page)
    page.wait_for_url(lambda url: "/accounts/" not in url)
    add_passkey(page)
    sign_out(page)

    page.get_by_text("This is a shared device").click()
    page.get_by_role("button", name="Sign in with a passkey").click()
    page.wait_for_url(lambda url: "/accounts/" not in url)
    (session,) = (cookie for cookie in page.context.cookies() if cookie["name"] == "sessionid")
    assert session["expires"] == -1  # it goes with the browser
    sign_out(page)

    give_password(page)
    page.get_by_role("heading", name="Second step").wait_for()
    page.get_by_role("button", name="Use a passkey").click()
    page.wait_for_url(lambda url: "/accounts/" not in url)

    page.goto("/accounts/2fa/webauthn/")
    assert "Tablet in the van" in page.locator("main").inner_text()
    page.get_by_role("link", name="Remove").click()
    page.wait_for_url("**/reauthenticate/**")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Remove it").click()
    page.get_by_text("No passkey is set up.").wait_for()


def test_a_passkey_that_was_not_used_is_said_in_words(page):
    page.cdp.send("WebAuthn.setUserVerified", {"authenticatorId": page.authenticator, "isUserVerified": False})
    page.goto("/accounts/login/")
    page.get_by_role("button", name="Sign in with a passkey").click()
    page.get_by_text("The passkey was not used").wait_for()


def test_pages_of_passkeys_bar_nobody(browser, site):
    context = browser.new_context(
        base_url=site.replace("127.0.0.1", "localhost"), viewport=DESK, bypass_csp=True, reduced_motion="reduce"
    )
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.goto("/accounts/login/")
    assert violations(page) == []
    give_password(page)
    page.wait_for_url(lambda url: "/accounts/" not in url)
    page.goto("/accounts/2fa/webauthn/add/")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Go on").click()
    page.get_by_label("Name").wait_for()
    assert violations(page) == []
    context.close()
