"""The shared parts in a real browser: nothing scrolls sideways, targets fit a glove, and the page is accessible."""

import shutil
from pathlib import Path

import fontpkg_fira_sans
import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import override_settings
from playwright.sync_api import sync_playwright

from tests.web import gallery
from tests.web.test_look import STATIC

pytestmark = pytest.mark.browser
CHROMIUM = shutil.which("chromium")

SPILLING = """() => [...document.querySelectorAll('main *')]
  .filter(e => !e.closest('svg') && !e.closest('.unseen')
            && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
  .map(e => e.outerHTML.slice(0, 80))"""
# Links inside a sentence are exempt; a tile's input is part of the tile, which is the target.
SMALL = """() => [...document.querySelectorAll('a, button, input, select, textarea, summary, .choice')]
  .filter(e => {
    const box = e.getBoundingClientRect();
    return box.width > 0 && !e.closest('.skip') && !e.closest('p:not(.actions):not(.row)')
      && !(e.tagName === 'INPUT' && e.closest('.choice')) && (box.height < 43.9 || box.width < 43.9);
  }).map(e => e.outerHTML.slice(0, 80) + ' ' + Math.round(e.getBoundingClientRect().width))"""


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--allow-file-access-from-files", "--disable-quic"]
        )
        yield chromium
        chromium.close()


@pytest.fixture(scope="module")
def site(tmp_path_factory) -> Path:
    """The gallery in each theme as files, with the static files beside them."""
    folder = tmp_path_factory.mktemp("gallery")
    shutil.copytree(STATIC, folder / "static" / "crewlog")
    shutil.copytree(Path(fontpkg_fira_sans.ROOT) / "files", folder / "static" / "crewlog" / "fonts")
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
    assert page.evaluate("() => document.documentElement.scrollWidth") == width
    assert page.evaluate(SPILLING) == []
    assert page.evaluate(SMALL) == []
    page.close()


@pytest.mark.parametrize("theme", ["light", "dark", "sun"])
@pytest.mark.parametrize("width", [390, 1280])
def test_parts_are_accessible(browser, site, theme, width):
    page = open_gallery(browser, site, theme, width)
    found = Axe().run(page).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"]) for each in found] == []
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
