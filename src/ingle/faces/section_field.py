"""A field on a cut: steps of cividis with a line between them, and a number on each line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.section import RIND, inside
from ingle.faces.contours import cividis, filled, rings
from ingle.faces.drawing import Drawing, path_data
from ingle.faces.section_cut import Cut, thinned
from ingle.faces.words import figure

Floats = NDArray[np.float64]


def colour_of(band: int, steps: Sequence[float]) -> str:
    """Of the stretch under the first line (0) to that above the last."""
    return cividis(band / len(steps))


def bands(draw: Drawing, cut: Cut, field: Floats, steps: Sequence[float]) -> list[tuple[float, float, str]]:
    """Steps of colour with a line between them; returns where the numbers go."""
    found = cut.map
    known = np.where(found.inside & (found.tissue != RIND), field, np.nan)
    whole = filled(np.pad(known, 2, constant_values=np.nan))
    x, y = (_centres(edges, at) * cut.scale for edges, at in zip((found.x_m, found.y_m), cut.corner, strict=True))
    draw.parts.append(f'<g clip-path="url(#{cut.name("clip")})">')
    draw.parts.append(f'<path class="band" d="{cut.outline}" fill="{colour_of(0, steps)}"/>')
    labels: list[tuple[float, float, str]] = []
    for band, level in enumerate(steps, start=1):
        around = [thinned(r) for r in rings(x, y, whole, level)]
        if not around:
            continue
        line = "".join(path_data(r.tolist(), close=True) for r in around)
        ink = "#FFFFFF" if band <= len(steps) / 2 else "#1E1F1D"  # light on the dark end of the scale
        draw.parts.append(
            f'<path class="band" d="{line}" fill="{colour_of(band, steps)}" fill-rule="evenodd" stroke="{ink}"'
            ' stroke-width="1.2" stroke-linejoin="round"/>'
        )
        if place := _label_place(cut, around, labels):
            labels.append((*place, figure(round(level, 12))))
    draw.parts.append("</g>")
    return labels


def _centres(edges: Floats, start: float) -> Floats:
    """Middles of the cells with two more on either side, from the corner of the piece. [m]"""
    step = edges[1] - edges[0]
    middle = (edges[1:] + edges[:-1]) / 2 - start
    beyond = step * np.arange(1, 3)
    return np.concatenate([middle[0] - beyond[::-1], middle, middle[-1] + beyond])


def _label_place(
    cut: Cut, around: list[Floats], taken: list[tuple[float, float, str]]
) -> tuple[float, float] | None:
    """The place on a line that is farthest from the edge, the rind and the numbers already there; None: no room."""
    points = np.concatenate(around)[::4]
    where = points / cut.scale + cut.corner
    points = points[inside(cut.section.outline, *where.T)]
    if not len(points):
        return None
    free = np.hypot(*(points[:, None] - cut.rim[None, ::20]).transpose(2, 0, 1)).min(axis=1)
    codes = _codes_at(cut, points)
    free = np.where(codes == RIND, 0.0, free)
    for x, y, _ in taken:
        free = np.minimum(free, np.hypot((points[:, 0] - x) / 1.6, points[:, 1] - y) * 0.8)
    best = int(free.argmax())
    return (float(points[best, 0]), float(points[best, 1])) if free[best] >= 11 else None


def _codes_at(cut: Cut, points: Floats) -> NDArray[np.int8]:
    """The ruling tissue under pixels."""
    found = cut.map
    where = points / cut.scale + cut.corner
    row = np.clip(np.searchsorted(found.y_m, where[:, 1]) - 1, 0, found.shape[0] - 1)
    column = np.clip(np.searchsorted(found.x_m, where[:, 0]) - 1, 0, found.shape[1] - 1)
    return found.tissue[row, column]
