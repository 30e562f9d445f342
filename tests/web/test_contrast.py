"""Contrast of the tokens in every theme, by the formula of WCAG 2.2 (W3C Recommendation, 5 October 2023).

Relative luminance and contrast ratio as defined there: L = 0.2126 R + 0.7152 G + 0.0722 B over linearised sRGB,
ratio = (L1 + 0.05) / (L2 + 0.05).
"""

import re
from pathlib import Path

import pytest

from tests.rows import every_row

TOKENS = (Path(__file__).resolve().parents[2] / "crewlog/styles/tokens.css").read_text(encoding="utf-8")
HEX = re.compile(r"--([a-z-]+):\s*(?:light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\)|(#[0-9a-f]{6}))")
STATES = ("ok", "due", "over", "out", "gone")
WASHED = ("ok", "due", "out", "gone")  # states that have a surface of their own
SURFACES = ("page", "sheet")


def linear(channel: int) -> float:
    share = channel / 255
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def luminance(colour: str) -> float:
    red, green, blue = (linear(int(colour[start : start + 2], 16)) for start in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def block(start: str) -> str:
    """The declarations of one rule, from its selector to its closing brace."""
    begin = TOKENS.index("{", TOKENS.index(start)) + 1
    return TOKENS[begin : TOKENS.index("}", begin)]


def themes() -> dict[str, dict[str, str]]:
    base = {name: (light or plain, dark or plain) for name, light, dark, plain in HEX.findall(block(":root {"))}
    light = {name: pair[0] for name, pair in base.items()}
    dark = {name: pair[1] for name, pair in base.items()}
    sun = light | {name: plain for name, _, _, plain in HEX.findall(block('[data-theme="sun"] {'))}
    return {"light": light, "dark": dark, "sun": sun}


THEMES = themes()
TEXT_AT_LEAST = {"light": 6.0, "dark": 6.0, "sun": 11.0}  # our own; WCAG 2.2 asks 4.5 (AA) and 7 (AAA)
EDGE_AT_LEAST = 3.0  # WCAG 2.2, success criterion 1.4.11


def text_pairs() -> list[tuple[str, str]]:
    inks = ("ink", "ink-soft", "rope", *STATES)
    pairs = [(ink, surface) for ink in inks for surface in SURFACES]
    pairs += [(state, f"{state}-wash") for state in WASHED]
    pairs += [("ink", wash) for wash in ("sunk", "rope-wash", *(f"{state}-wash" for state in WASHED))]
    return [
        *pairs,
        ("rope", "out-wash"),
        ("rope", "due-wash"),
        ("rope", "ok-wash"),
        ("rope-ink", "rope"),
        ("sheet", "ink"),
    ]


def test_formula_gives_the_published_ratios():
    # WCAG 2.2, "contrast ratio", note 1: ratios range from 1:1 to 21:1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#ffffff", "#ffffff") == pytest.approx(1.0)
    # The lightest grey that passes 4.5:1 on white is #767676, and #777777 fails (common knowledge, from memory).
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


def test_every_theme_declares_every_colour():
    assert set(THEMES["light"]) == set(THEMES["dark"]) == set(THEMES["sun"])
    assert {"ink", "rope", "focus", "out-wash", "edge"} <= set(THEMES["light"])


@every_row("theme", THEMES)
@every_row(("ink", "surface"), text_pairs())
def test_text_can_be_read(theme, ink, surface):
    colours = THEMES[theme]
    at_least = TEXT_AT_LEAST[theme] if surface in SURFACES else 4.5
    assert contrast(colours[ink], colours[surface]) >= at_least


@every_row("theme", THEMES)
@every_row("surface", SURFACES)
@every_row("line", ["edge", "focus", "rope", "out"])
def test_edges_and_focus_can_be_seen(theme, surface, line):
    assert contrast(THEMES[theme][line], THEMES[theme][surface]) >= EDGE_AT_LEAST


def test_sunlight_has_no_greys_in_its_ink_and_paper():
    sun = THEMES["sun"]
    assert {sun[name] for name in ("page", "sheet", "sunk")} == {"#ffffff"}
    assert {sun[name] for name in ("ink", "ink-soft", "rule", "edge")} == {"#000000"}
