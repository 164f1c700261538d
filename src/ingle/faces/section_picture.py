"""A cut as a picture: lean, fat and rind, where the brine touches, and a field moving through it day by day.

Tissues are told apart by pattern as well as by colour: lean is hatched like its grain, fat is dotted, rind is dark and
barred. A field (salt, temperature) is drawn in steps of cividis with the number on each line; fat keeps its dots on it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.crafts.cure.section import FAT, RIND, TISSUES
from ingle.crafts.cure.section_map import TissueMap, fractions
from ingle.faces.drawing import Drawing
from ingle.faces.section_cut import Cut, name_tissues
from ingle.faces.section_field import bands
from ingle.faces.section_keys import EDGE_PX, TICK_PX, edges_told, legend, ruler, scale_of_colours
from ingle.faces.words import clean, figure
from ingle.ground.errors import OutOfRange
from ingle.ground.units import millimetres

Floats = NDArray[np.float64]
_LINES, _FEW_LINES = 6, 4  # about so many in one field, and in each of several
_PANEL = 210.0  # a small multiple is at least this wide


def section_svg(
    found: TissueMap, *, values: ArrayLike | None = None, unit: str = "", title: str = "",
    levels: Sequence[float] | None = None, dark: bool = False, width: int = 720,
) -> str:  # fmt: skip
    """The cut: its tissues, or a field on it.

    Parameters
    ----------
    found : TissueMap
        The cut on its cells.
    values : array_like, shape (ny, nx), optional
        A field on the cells. What is not a number is not drawn and filled from beside; rind is always drawn as rind.
    unit : str
        Of the field, told once beside the scale of colours.
    title : str
        Heading; left out: the name of the section.
    levels : sequence of float, optional
        Values of the lines, rising; left out: round numbers.
    width : int
        At least 280 px.

    Raises
    ------
    OutOfRange
        The field does not fit the cells or holds no number, or the picture is too narrow.
    """
    title = title or found.section.name
    if values is not None:
        return _svg(found, [("", values)], unit, title, levels, dark, width, key="cut")
    draw, cut, y = _sheet(found, title, dark, width, "cut", 1, 0.0)
    cut.begin(EDGE_PX, y, "cut")
    cut.tissues()
    cut.edge()
    name_tissues(draw, cut)
    cut.end()
    y = ruler(draw, cut, EDGE_PX, y + cut.high + 22, width)
    parts = fractions(found)
    told = [(n, "swatch", f"{n} {figure(round(100 * parts[n], 1))} %") for n in TISSUES if parts[n] > 0]
    y = legend(draw, cut, [*told, *edges_told(cut)], y, width)
    return _close(draw, y, f"{title}: cut seen from its end", _said(found))


def front_svg(
    found: TissueMap, frames: Sequence[tuple[str, ArrayLike]], *, unit: str = "", title: str = "",
    levels: Sequence[float] | None = None, dark: bool = False, width: int = 720,
) -> str:  # fmt: skip
    """The same cut at several times, side by side, on one scale of colours.

    Parameters
    ----------
    frames : sequence of (label, values)
        "day 2" and the field at that time, shape (ny, nx), as in `section_svg`.
    """
    if not frames:
        raise OutOfRange("There is no time to draw.", field="frames", value=0, limit="1 and more",
                         remedy="Give one label with its values, or more.")  # fmt: skip
    return _svg(found, frames, unit, title or found.section.name, levels, dark, width, key="front")


# -- parts of the picture ----------------------------------------------------------------------------------------------


def _svg(
    found: TissueMap, frames: Sequence[tuple[str, ArrayLike]], unit: str, title: str,
    levels: Sequence[float] | None, dark: bool, width: int, *, key: str,
) -> str:  # fmt: skip
    fields = [_field(found, values, label) for label, values in frames]
    shown = np.concatenate([f[found.inside & (found.tissue != RIND) & np.isfinite(f)] for f in fields])
    steps = _steps(shown, levels, _LINES if len(frames) == 1 else _FEW_LINES)
    across = max(1, min(len(frames), int((width - 2 * EDGE_PX + 16) // (_PANEL + 16))))
    head = 30.0 if any(label for label, _ in frames) else 0.0
    draw, cut, y = _sheet(found, title, dark, width, key, across, head)
    for at, ((label, _), field) in enumerate(zip(frames, fields, strict=True)):
        x = EDGE_PX + (at % across) * (cut.wide + 16)
        if at and at % across == 0:
            y += cut.high + head + 20
        if label:
            draw.text(x, y + 20, label, 20, figure=True, bold=True)
        cut.begin(x, y + head, "frame")
        labels = bands(draw, cut, field, steps)
        cut.over(FAT, "dots")
        cut.over(RIND, "rind")
        cut.edge()
        for px, py, text in labels:
            draw.text(px, py + 5, text, TICK_PX, anchor="middle", halo=4, bold=True)
        cut.end()
    y = ruler(draw, cut, EDGE_PX, y + head + cut.high + 22, width)
    y = scale_of_colours(draw, steps, unit, y, width)
    seen = {p.tissue for p in cut.section.patches}
    told = [("dots", "swatch", "fat")] if FAT in seen else []
    told += [("rind", "swatch", "rind, no value")] if RIND in seen else []
    y = legend(draw, cut, [*told, *edges_told(cut)], y, width)
    return _close(draw, y, f"{title}: {unit or 'values'} in the cut", _field_said(found, frames, fields, unit))


def _sheet(
    found: TissueMap, title: str, dark: bool, width: int, key: str, across: int, head: float
) -> tuple[Drawing, Cut, float]:
    """A plate with its heading; the cut at the scale at which so many fit across."""
    if width < 280:
        raise OutOfRange(f"A picture {width} px wide has no room.", field="width", value=f"{width} px",
                         limit="280 px and more", remedy="Take 280 px or more.")  # fmt: skip
    draw = Drawing(width, 1, dark=dark, key=key)
    draw.rect(0, 0, 1, 1, "plate")  # the ground is laid last, when the height is known
    lines = _wrapped(title, width - 2 * EDGE_PX, 25)
    for i, line in enumerate(lines):
        draw.text(EDGE_PX, 42 + 28 * i, line, 25, figure=True, bold=True)
    height, wide = found.size_m
    room = (width - 2 * EDGE_PX - 16 * (across - 1)) / across
    scale = min(room / wide, (0.72 * width if across == 1 and not head else 1.3 * room) / height)
    return draw, Cut(draw, found, scale), 42 + 28 * (len(lines) - 1) + 22


def _field(found: TissueMap, values: ArrayLike, label: str) -> Floats:
    """The field as an array, or OutOfRange with what does not fit."""
    field = np.array(values, float)
    if field.shape != found.shape:
        raise OutOfRange(
            f"Values of shape {field.shape} do not fit {found.shape[0]} rows of {found.shape[1]} cells.",
            field=label or "values", value=field.shape, limit=found.shape, remedy="Give one value for each cell.",
        )  # fmt: skip
    if not np.isfinite(field[found.inside & (found.tissue != RIND)]).any():
        raise OutOfRange("No cell of lean or fat holds a number.", field=label or "values", value="no number",
                         limit="one number and more", remedy="Give one value for each cell.")  # fmt: skip
    return field


def _steps(shown: Floats, levels: Sequence[float] | None, about: int) -> list[float]:
    """Values of the lines: those asked for, or round numbers inside what is shown."""
    if levels is not None:
        given = [float(v) for v in levels]
        if not given or any(b <= a for a, b in pairwise(given)) or not np.isfinite(given).all():
            raise OutOfRange(f"Lines at {given} do not rise.", field="levels", value=given, limit="rising numbers",
                             remedy="Write each value once, the smallest first.")  # fmt: skip
        return given
    low, high = float(shown.min()), float(shown.max())
    if high - low <= 1e-9 * max(abs(high), abs(low), 1e-300):
        return [low]
    power = 10.0 ** math.floor(math.log10(high - low))
    sizes = [m * power for m in (0.1, 0.2, 0.25, 0.4, 0.5, 1.0, 2.0)]
    told = [[n * size for n in range(math.floor(low / size) + 1, math.ceil(high / size))] for size in sizes]
    return min((t for t in told if t), key=lambda t: abs(len(t) - about))


def _wrapped(text: str, room: float, size: float) -> list[str]:
    """Lines of a heading that fit, by the mean width of a condensed letter."""
    most, lines = max(8, int(room / (0.43 * size))), [""]
    for word in clean(text).split(" "):
        if lines[-1] and len(lines[-1]) + 1 + len(word) > most:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _close(draw: Drawing, y: float, title: str, description: str) -> str:
    draw.height = y + 12
    draw.parts[0] = f'<rect x="0" y="0" width="{draw.width:g}" height="{draw.height:g}" fill="{draw.ink["plate"]}"/>'
    return draw.render(title, description)


def _said(found: TissueMap) -> str:
    """The tissues in words, for those who do not see the picture."""
    height, width = (millimetres(v) for v in found.size_m)
    parts = ", ".join(f"{n} {figure(round(100 * v, 1))} %" for n, v in fractions(found).items() if v > 0)
    return f"{figure(width)} mm wide, {figure(height)} mm high; {parts}; brine touches {figure(millimetres(found.wet_m))} mm of the edge."


def _field_said(
    found: TissueMap, frames: Sequence[tuple[str, ArrayLike]], fields: Sequence[Floats], unit: str
) -> str:
    """Lowest and highest of each frame in words."""
    seen = found.inside & (found.tissue != RIND)
    told = []
    for (label, _), field in zip(frames, fields, strict=True):
        known = field[seen & np.isfinite(field)]
        told.append(f"{label + ': ' if label else ''}{figure(float(known.min()))} to {figure(float(known.max()))} {unit}".strip())
    return "; ".join(told) + ". " + _said(found)


__all__ = ["front_svg", "section_svg"]
