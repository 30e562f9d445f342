"""What is measured on a page in the browser: spilling, small targets, accessibility."""

from contextlib import contextmanager
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe

SPILLING = """() => [...document.querySelectorAll('main *')]
  .filter(e => !e.closest('svg') && !e.closest('.unseen') && !e.closest('.scroll')
            && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
  .map(e => e.outerHTML.slice(0, 80))"""
# Links inside a sentence are exempt; a tile's input is part of the tile, which is the target.
SMALL = """() => [...document.querySelectorAll('a, button, input, select, textarea, summary, .choice')]
  .filter(e => {
    const box = e.getBoundingClientRect();
    return box.width > 0 && !e.closest('.skip') && !e.closest('p:not(.actions):not(.row)')
      && !(e.tagName === 'INPUT' && e.closest('.choice')) && (box.height < 43.9 || box.width < 43.9);
  }).map(e => e.outerHTML.slice(0, 80) + ' ' + Math.round(e.getBoundingClientRect().width)
              + ' x ' + Math.round(e.getBoundingClientRect().height))"""


def spilling(page):
    """What stands out to the right of the page; and whether the page itself scrolls sideways."""
    wide = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return page.evaluate(SPILLING) + ([f"the page is {wide} px too wide"] if wide > 0 else [])


def too_small(page):
    """Targets under 44 by 44 px."""
    return page.evaluate(SMALL)


def violations(page, *, least="moderate"):
    """What axe finds at or above a severity: rule and the first element."""
    order = ["minor", "moderate", "serious", "critical"]
    # preload: axe would fetch the parts of the stylesheet from where they are not; resultTypes: what passes is not told
    options = {"preload": False, "resultTypes": ["violations"]}
    found = Axe().run(page, options=options).response["violations"]
    heavy = [v for v in found if order.index(v["impact"]) >= order.index(least)]
    return [f"{v['id']} ({v['impact']}): {v['nodes'][0]['html'][:160]}" for v in heavy]


MEASURES = (Path(__file__).parent / "looks.js").read_text(encoding="utf-8")


def measured(page, what):
    """Faults that a function of looks.js names: overlaps, cut, faint, edgeless."""
    return page.evaluate(f"() => ({MEASURES.strip()}).{what}()")


@contextmanager
def twice_the_text(page):
    """The reader's own size of text set to 32 px, as in the settings of a browser; media queries in rem follow it."""
    session = page.context.new_cdp_session(page)
    session.send("Page.setFontSizes", {"fontSizes": {"standard": 32, "fixed": 26}})
    assert page.evaluate("() => getComputedStyle(document.documentElement).fontSize") == "32px"
    yield
    session.send("Page.setFontSizes", {"fontSizes": {"standard": 16, "fixed": 13}})
    session.detach()
