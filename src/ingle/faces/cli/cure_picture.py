"""Pictures of a cure, in the kind their ending names."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from ingle.ground.errors import BadBrief
from ingle.ground.things import Forecast


def chart(
    path: Path, hours: Any, core: Any, mean: Any, surface: Any, ready: Forecast, thickness_mm: float | None
) -> None:
    """The chart of salt against days."""
    from ingle.faces import timeline  # fonts are loaded only for a picture

    low, likely, high = ([float(v) for v in band] for band in core)
    svg = timeline.cure_chart_svg(
        [float(h) for h in hours],
        likely,
        [float(v) for v in mean],
        [float(v) for v in surface],
        low,
        high,
        target=None,
        forecast=ready if ready.latest_h < 1e9 else None,
        unit="g per 100 g",
        title=f"Salt in a piece {thickness_mm:g} mm thick",
    )
    picture(path, lambda: svg)


def picture(path: Path, draw_svg: Callable[[], str], draw_page: Callable[[], str] | None = None) -> None:
    """Write a picture in the kind its ending names; ``draw_page`` makes a page of more than the picture."""
    if path.suffix.lower() not in (".svg", ".png", ".html"):
        raise BadBrief(
            f"chart {path.name!r} has no kind known here.",
            field="chart",
            value=path.name,
            limit=".svg, .png, .html",
            remedy="End the name in .svg, .png or .html.",
        )
    from ingle.faces import timeline  # typst and fonts are loaded only for a picture

    page = draw_page or (lambda: timeline.chart_html(draw_svg(), title="Cure forecast"))
    written = {
        ".svg": lambda: draw_svg().encode(),
        ".png": lambda: timeline.timeline_png(draw_svg()),
        ".html": lambda: page().encode(),
    }
    path.write_bytes(written[path.suffix.lower()]())
