"""A picture in a file of the kind its ending names: ``.svg``, ``.png``, or a page with the table behind it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ingle.ground.errors import BadBrief

KINDS = (".svg", ".png", ".html")


def write_picture(path: Path, draw_svg: Callable[[], str], draw_page: Callable[[], str] | None = None, *, title: str = "Forecast") -> None:
    """Draw and write; an ending that is not known is refused before anything is drawn.

    ``draw_page`` makes a page of more than the picture; without it the page is the picture under ``title``.
    """
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise BadBrief(
            f"chart {path.name!r} has no kind known here.", field="chart", value=path.name, limit=", ".join(KINDS), remedy="End the name in .svg, .png or .html."
        )
    if kind == ".svg":
        path.write_text(draw_svg(), encoding="utf-8")
    elif kind == ".png":
        from ingle.faces.drawing import png  # typst is loaded only for a picture

        path.write_bytes(png(draw_svg()))
    else:
        from ingle.faces.curves import chart_html  # fonts are loaded only for a picture

        path.write_text(draw_page() if draw_page else chart_html(draw_svg(), title=title), encoding="utf-8")
