"""One place for colours: the tokens as a style sheet, and drawings made with them turned to the page's own ink."""

from __future__ import annotations

import re
from functools import cache

from markupsafe import Markup

from ingle.faces import tokens

_BLACK = {"plate": "#FFFFFF", "enamel": "#FFFFFF", "paper": "#FFFFFF", "on_rim": "#FFFFFF", "night": "#FFFFFF", "brine_pale": "#FFFFFF", "hair": "#000000"}


@cache
def token_css() -> str:
    """Every token as a variable: light, dark where the machine asks for it or the cook chose it, black on paper."""
    light, dark, black = (_variables(name) for name in ("light", "dark", "black"))
    return (
        f"/* made from faces/tokens.py: colours stand there and nowhere else */\n:root,.light{{color-scheme:light;{light}}}\n"
        f"@media (prefers-color-scheme:dark){{:root:not(.light):not(.black){{color-scheme:dark;{dark}}}}}\n.dark{{color-scheme:dark;{dark}}}\n"
        f".black{{color-scheme:light;{black}}}\n@media print{{:root,:root:not(.light):not(.black),.dark{{color-scheme:light;{black}}}}}\n{_faces()}"
    )


def _variables(theme: str) -> str:
    if theme == "black":
        names = {k: _BLACK.get(k, "#000000") for k in tokens.LIGHT}
        verdicts = dict.fromkeys(tokens.VERDICT["light"], ("#000000", "#000000", "#FFFFFF"))
        series = [(name, "#000000") for name, *_ in tokens.SERIES]
    else:
        names = tokens.theme(theme == "dark")
        verdicts = tokens.VERDICT[theme]
        series = [(name, night if theme == "dark" else day) for name, day, night, _ in tokens.SERIES]
    told = {k.replace("_", "-"): v for k, v in names.items()}
    for level, (text, fill, tint) in verdicts.items():
        told |= {level: text, f"{level}-fill": fill, f"{level}-tint": tint}
    told |= {f"series-{name}": colour for name, colour in series}
    told |= {"focus": "#FFD02E", "focus-ink": "#1E1F1D" if theme != "dark" else "#1A1D1C"}
    return "".join(f"--{k}:{v};" for k, v in told.items())


def _faces() -> str:
    return "".join(
        f"@font-face{{font-family:'{family}';font-weight:{weight};font-display:swap;src:url('/static/fonts/{name}') format('woff2')}}\n"
        for family, weight, name in tokens.FACES
    )


@cache
def _named() -> dict[str, str]:
    """Light colours by value; where two share one, the ground's name wins."""
    found: dict[str, str] = {}
    for name, day, _night, _dash in tokens.SERIES:
        found[day.upper()] = f"var(--series-{name})"
    for level, (text, fill, tint) in tokens.VERDICT["light"].items():
        found |= {tint: f"var(--{level}-tint)", fill: f"var(--{level}-fill)", text: f"var(--{level})"}
    found |= {value: f"var(--{name.replace('_', '-')})" for name, value in reversed(tokens.LIGHT.items())}
    return found


_COLOUR = re.compile(r"#[0-9A-Fa-f]{6}\b")
_SIZE = re.compile(r'(<svg[^>]*?) width="[\d.]+" height="[\d.]+"')


def in_page_ink(svg: str) -> Markup:
    """A light drawing of the house (trusted: it escapes what it is given) in the page's variables, as wide as its room."""
    named = _named()
    turned = _COLOUR.sub(lambda m: named.get(m[0].upper(), m[0]), svg)
    return Markup(_SIZE.sub(r"\1", turned, count=1))
