"""The shared parts in a real browser: nothing scrolls sideways, targets fit a glove, and the page is accessible."""

from pathlib import Path

import pytest
from django.contrib.staticfiles.finders import get_finder
from django.test import override_settings
from playwright.sync_api import sync_playwright

from tests.browser.looks import spilling, too_small, violations
from tests.needs import chromium
from tests.web import gallery

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser():
    path = chromium()
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox", "--allow-file-access-from-files", "--disable-quic"]
        )
        yield launched
        launched.close()


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The gallery in each theme as files, with the static files beside them."""
    folder = tmp_path_factory.mktemp("gallery")
    for name, storage in get_finder("crewlog.delivery.finder.MadeFinder").list(None):
        copy = folder / "static" / name
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(Path(storage.path(name)).read_bytes())
    with override_settings(ROOT_URLCONF="tests.web.gallery_urls"):
        for theme in ("light", "dark", "sun"):
            page = gallery.render(theme).replace('"/static/', '"static/')
            (folder / f"{theme}.html").write_text(page, encoding="utf-8")
    return folder


def open_gallery(browser, site, theme, width):
    page = browser.new_page(viewport={"width": width, "height": 844})
    page.goto((site / f"{theme}.html").as_uri())
    page.evaluate("() => document.fonts.ready")
    return page


@pytest.mark.parametrize("theme", ["light", "sun"])
@pytest.mark.parametrize("width", [320, 390, 768, 1024, 1280])
def test_nothing_scrolls_sideways_and_every_target_fits_a_glove(browser, site, theme, width):
    page = open_gallery(browser, site, theme, width)
    assert spilling(page) == []
    assert too_small(page) == []
    page.close()


@pytest.mark.parametrize("theme", ["light", "dark", "sun"])
@pytest.mark.parametrize("width", [390, 1280])
def test_parts_are_accessible(browser, site, theme, width):
    page = open_gallery(browser, site, theme, width)
    assert violations(page, least="minor") == []
    page.close()


def test_family_of_the_page_is_the_packaged_one(browser, site):
    page = open_gallery(browser, site, "light", 1280)
    loaded = page.evaluate(
        "() => [...document.fonts].filter(f => f.status === 'loaded').map(f => f.family.replaceAll('\"', ''))"
    )
    assert set(loaded) == {"Fira Sans"}
    assert len(loaded) == 4
    page.close()


def test_error_summary_takes_focus_and_leads_to_its_field(browser, site):
    page = open_gallery(browser, site, "light", 390)
    assert page.evaluate("() => document.activeElement.className") == "errors"
    page.click(".errors a >> nth=0")
    assert page.evaluate("() => location.hash") == "#id_stitching_0"
    page.close()


def test_focus_ring_is_three_pixels_on_every_kind_of_control(browser, site):
    page = open_gallery(browser, site, "light", 1280)
    seen = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        name, outline = page.evaluate(
            """() => { const e = document.activeElement;
                       const ring = getComputedStyle(e.closest('.choice, .box') || e);
                       return [e.tagName, ring.outlineStyle + ' ' + ring.outlineWidth]; }"""
        )
        if name == "BODY":
            break
        assert outline == "solid 3px", name
        seen.add(name)
    assert {"A", "BUTTON", "INPUT", "TEXTAREA", "SELECT"} <= seen
    page.close()


def test_page_prints_without_navigation_and_buttons(browser, site):
    page = open_gallery(browser, site, "dark", 1280)
    page.emulate_media(media="print")
    assert page.locator(".bar").is_hidden()
    assert page.locator(".thumb").first.is_hidden()
    assert page.locator(".button").first.is_hidden()
    assert page.evaluate("() => getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
    page.close()
