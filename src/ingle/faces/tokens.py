"""Colours, faces of type and marks: the one place where a face looks up how a thing is drawn.

Contrast is computed by the formula of WCAG 2.2 (relative luminance), and the tests hold every pair that is used.
"""

from __future__ import annotations

import base64
from functools import cache
from pathlib import Path

FONT_DIR = Path(__file__).parent / "fonts"
TEXT_FACE = "Public Sans"
FIGURE_FACE = "Barlow Condensed"
TEXT_STACK = f"'{TEXT_FACE}', system-ui, sans-serif"
FIGURE_STACK = f"'{FIGURE_FACE}', 'Arial Narrow', sans-serif"

FACES = (  # family, css weight, file
    (TEXT_FACE, "100 900", "public-sans-latin-wght-normal.woff2"),
    (FIGURE_FACE, "500", "barlow-condensed-latin-500-normal.woff2"),
    (FIGURE_FACE, "600", "barlow-condensed-latin-600-normal.woff2"),
)

LIGHT = {
    "enamel": "#F7F8F4", "plate": "#FFFFFF", "paper": "#EFE7D9", "smoke": "#1E1F1D", "ash": "#55574F",
    "wire": "#73766C", "hair": "#CFD0C6", "rim": "#173F7A", "on_rim": "#FFFFFF", "stamp": "#5A2A82",
    "brine": "#1A6780", "ember": "#B44522", "beet": "#813357", "twine": "#B3372A", "night": "#E4E6E1",
    "brine_pale": "#CFE0E6",
}  # fmt: skip
DARK = {
    "enamel": "#1A1D1C", "plate": "#242827", "paper": "#2E2B25", "smoke": "#ECEDE4", "ash": "#B4B7AB",
    "wire": "#83877C", "hair": "#3C413F", "rim": "#8FB4E8", "on_rim": "#10161F", "stamp": "#C9A6EE",
    "brine": "#6CC7DF", "ember": "#F0834F", "beet": "#C985BF", "twine": "#F08C7C", "night": "#121514",
    "brine_pale": "#24434C",
}  # fmt: skip

# level -> (text, fill, tint), by theme
VERDICT = {
    "light": {
        "within": ("#0B5A47", "#0E6B55", "#E3EFEA"), "near": ("#7A4A00", "#F2B63C", "#FBEFD3"),
        "over": ("#8A0F12", "#8A0F12", "#F9E1DD"), "cannot_say": ("#3F4C63", "#6F7B94", "#E7EAF0"),
    },
    "dark": {
        "within": ("#6FD1B0", "#6FD1B0", "#1F2F2A"), "near": ("#F4C152", "#F4C152", "#352C18"),
        "over": ("#FF7A6B", "#FF7A6B", "#3A2220"), "cannot_say": ("#AEB9CF", "#AEB9CF", "#272D36"),
    },
}  # fmt: skip

# series on charts, in this order: name, light, dark, dash ("" = full line)
SERIES = (
    ("ink", "#221D3B", "#F2F8E3", ""),
    ("ember", "#B44522", "#DC5423", ""),
    ("brine", "#1A6780", "#78D9FE", "9 4"),
    ("rye", "#AC7F0A", "#F1B337", "2 4"),
    ("beet", "#813357", "#BC73B2", "12 4 2 4"),
    ("leaf", "#6A9C6A", "#63A87D", "5 5"),
)

# the terminal repeats a word in colour, never says anything by colour alone
ANSI = {"within": "32", "near": "33;1", "over": "31;1", "cannot_say": "36"}


def theme(dark: bool = False) -> dict[str, str]:
    """Colours by name, light or dark."""
    return DARK if dark else LIGHT


def luminance(colour: str) -> float:
    """Relative luminance of ``#RRGGBB`` by WCAG 2.2, 0 to 1."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours by WCAG 2.2, 1 to 21."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@cache
def font_css() -> str:
    """``@font-face`` rules with the fonts inside, for a page that must stand alone."""
    rules = []
    for family, weight, name in FACES:
        data = base64.b64encode((FONT_DIR / name).read_bytes()).decode("ascii")
        rules.append(
            f"@font-face{{font-family:'{family}';font-weight:{weight};font-display:block;src:url(data:font/woff2;base64,{data}) format(\"woff2\")}}"
        )
    return "\n".join(rules)
