"""Pictures of a cure, in the kind their ending names."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ingle.faces.picture_file import write_picture
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
    write_picture(path, lambda: svg, title="Cure forecast")
