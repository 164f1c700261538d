"""A drawing in SVG: shapes in the house's colours and type, with a title and a description for those who do not see it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from math import floor
from xml.sax.saxutils import escape, quoteattr

import typst

from ingle.faces.tokens import FIGURE_FACE, FONT_DIR, TEXT_FACE, theme
from ingle.faces.words import clean


def _n(value: float) -> str:
    """A coordinate: two decimals at most, so that the same plan gives the same text everywhere."""
    return f"{round(value, 2) + 0:.2f}".rstrip("0").rstrip(".")


class Drawing:
    """Shapes in drawing order on a plate of ``width`` by ``height`` pixels."""

    def __init__(self, width: float, height: float, *, dark: bool = False, key: str = "d"):
        self.width, self.height, self.ink = width, height, theme(dark)
        self.key = f"{key}{'d' if dark else 'l'}{_n(width)}".replace(
            ".", "-"
        )  # keeps ids apart when several drawings share a page
        self.parts: list[str] = []
        self.defs: list[str] = []

    def colour(self, name: str) -> str:
        """A token's colour; anything that starts with # is taken as it is."""
        return name if name.startswith("#") or name == "none" else self.ink[name]

    def rect(
        self,
        x: float,
        y: float,
        w: float,
        h: float,
        fill: str,
        *,
        edge: str = "",
        edge_width: float = 0,
        what: str = "",
    ) -> None:
        """A filled rectangle; ``what`` marks it for tests and for style."""
        stroke = f' stroke="{self.colour(edge)}" stroke-width="{_n(edge_width)}"' if edge else ""
        self.parts.append(
            f'<rect{_class(what)} x="{_n(x)}" y="{_n(y)}" width="{_n(w)}" height="{_n(h)}" fill="{self._fill(fill)}"{stroke}/>'
        )

    def line(
        self, x1: float, y1: float, x2: float, y2: float, stroke: str, width: float, *, dash: str = "", what: str = ""
    ) -> None:
        """A straight line."""
        self.parts.append(
            f'<line{_class(what)} x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}" stroke="{self.colour(stroke)}"'
            f' stroke-width="{_n(width)}"{_dash(dash)}/>'
        )

    def path(
        self,
        d: str,
        stroke: str,
        width: float,
        *,
        fill: str = "none",
        dash: str = "",
        opacity: float = 1,
        what: str = "",
    ) -> None:
        """A path given as SVG path data."""
        see = f' opacity="{_n(opacity)}"' if opacity < 1 else ""
        edge = f' stroke="{self.colour(stroke)}" stroke-width="{_n(width)}"' if width else ""
        self.parts.append(
            f'<path{_class(what)} d="{d}" fill="{self.colour(fill)}"{edge} stroke-linejoin="round"{_dash(dash)}{see}/>'
        )

    def circle(
        self, x: float, y: float, r: float, fill: str, *, edge: str = "", edge_width: float = 0, what: str = ""
    ) -> None:
        """A dot, or a ring with ``fill="none"``."""
        stroke = f' stroke="{self.colour(edge)}" stroke-width="{_n(edge_width)}"' if edge else ""
        self.parts.append(
            f'<circle{_class(what)} cx="{_n(x)}" cy="{_n(y)}" r="{_n(r)}" fill="{self.colour(fill)}"{stroke}/>'
        )

    def text(
        self, x: float, y: float, text: str, size: float, *, fill: str = "smoke", anchor: str = "start", figure: bool = False,
        bold: bool = False, halo: float = 0,
    ) -> None:  # fmt: skip
        """One line of text on its baseline; ``halo`` lifts it off what lies below."""
        # the second name is how a renderer that sorts faces by width knows the condensed one
        family, weight = (
            (f"{FIGURE_FACE}, Barlow", 600 if bold else 500) if figure else (TEXT_FACE, 700 if bold else 400)
        )
        stretch = ' font-stretch="condensed"' if figure else ""
        behind = (
            f' stroke="{self.ink["plate"]}" stroke-width="{_n(halo)}" stroke-linejoin="round" paint-order="stroke"'
            if halo
            else ""
        )
        self.parts.append(
            f'<text x="{_n(x)}" y="{_n(y)}" font-family="{family}"{stretch} font-weight="{weight}" font-size="{_n(size)}"'
            f' fill="{self.colour(fill)}" text-anchor="{anchor}"{behind}>{escape(clean(text))}</text>'
        )

    def haze(
        self, x: float, y: float, w: float, h: float, likely: float, *, between: tuple[float, float] | None = None, what: str = "haze"
    ) -> None:  # fmt: skip
        """Time that may be: thickest at ``likely`` (0 to 1 of the width), fading to nothing at both ends.

        ``between`` cuts off what lies outside the picture and keeps the fade as it is.
        """
        left, right = (x, x + w) if between is None else (max(x, between[0]), min(x + w, between[1]))
        if right <= left:
            return
        name = f"{self.key}h{len(self.defs)}"
        fade = ((0, 0), (likely, 0.62), (1, 0))
        stops = "".join(
            f'<stop offset="{_n(at)}" stop-color="{self.ink["smoke"]}" stop-opacity="{o}"/>' for at, o in fade
        )
        ends = f'gradientUnits="userSpaceOnUse" x1="{_n(x)}" y1="0" x2="{_n(x + w)}" y2="0"'
        self.defs.append(f'<linearGradient id="{name}" {ends}>{stops}</linearGradient>')
        self.rect(left, y, right - left, h, f"url(#{name})", what=what)

    def _fill(self, fill: str) -> str:
        return fill if fill.startswith("url(") else self.colour(fill)

    def render(self, title: str, description: str) -> str:
        """The finished SVG, readable aloud by its title and description."""
        name = f"{self.key}-title"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(self.width)} {_n(self.height)}" width="{_n(self.width)}"'
            f' height="{_n(self.height)}" role="img" aria-labelledby={quoteattr(name + " " + self.key + "-desc")}>'
            f'<title id="{name}">{escape(clean(title))}</title><desc id="{self.key}-desc">{escape(clean(description))}</desc>'
            f"<defs>{''.join(self.defs)}</defs>\n" + "\n".join(self.parts) + "\n</svg>\n"
        )


def _class(what: str) -> str:
    return f' class="{what}"' if what else ""


def _dash(dash: str) -> str:
    return f' stroke-dasharray="{dash}"' if dash else ""


def path_data(points: Iterable[tuple[float, float]], close: bool = False) -> str:
    """SVG path data through points."""
    told = "L".join(f"{_n(x)} {_n(y)}" for x, y in points)
    return f"M{told}{'Z' if close else ''}"


def ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round numbers from ``low`` to ``high``: steps of 1, 2 or 5 times a power of ten."""
    if not high > low:
        return [low]
    raw = (high - low) / about
    power = 10.0 ** len(str(int(1 / raw))) if raw < 1 else 1.0
    scale = 1 / power
    while scale * 10 <= raw:
        scale *= 10
    step = next(m * scale for m in (1, 2, 5, 10) if m * scale >= raw * 0.8)
    first = int(low // step) + (1 if low % step > 1e-9 * step else 0)
    return [n * step for n in range(first, floor(high / step + 1e-9) + 1)]


def png(svg: str, *, scale: float = 2) -> bytes:
    """The drawing as PNG in its own fonts, ``scale`` pixels to each of the SVG's."""
    page = b'#set page(width: auto, height: auto, margin: 0pt)\n#image(bytes(sys.inputs.svg), format: "svg")\n'
    ppi = 96 * scale  # an SVG pixel is 1/96 inch
    return bytes(typst.compile(page, format="png", ppi=ppi, font_paths=_fonts(), sys_inputs={"svg": svg}))


@cache
def _fonts() -> typst.Fonts:
    """The house's faces; those of the machine stay out, so that a picture is the same everywhere."""
    return typst.Fonts(include_system_fonts=False, font_paths=[FONT_DIR])
