"""A cut seen from its end: an outline, and what is painted over it in lean, fat and rind.

Places are in metres, x from the left edge, y from the top down, as on a photograph. The first tissue is lean
everywhere inside the outline; each patch is painted over what lies under it, and nothing is painted outside.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.ground.units import millimetres

Floats = NDArray[np.float64]
Points = tuple[tuple[float, float], ...]

OUTSIDE, LEAN, FAT, RIND = 0, 1, 2, 3
TISSUES = ("lean", "fat", "rind")  # the code of a tissue is its place here, counted from 1
SIDES = ("left", "right", "top", "bottom")
ARC = 360  # corners of an ellipse: its area is 5e-5 short of the round one


@dataclass(frozen=True)
class Patch:
    """One tissue inside one closed line."""

    tissue: int
    points: Points  # [m]
    field: str = ""  # where it stands in the file


@dataclass(frozen=True)
class Section:
    """A drawn cross-section.

    Parameters
    ----------
    name : str
        As the cook calls it.
    shape : str
        "layers", "ellipse" or "polygon".
    outline : Points
        The closed line of the piece. [m]
    patches : tuple of Patch
        Painted one over the other, the last on top.
    goes_on : tuple of str
        Sides at which the piece goes on beyond the drawing: nothing passes there.
    """

    name: str
    shape: str
    outline: Points
    patches: tuple[Patch, ...] = ()
    goes_on: tuple[str, ...] = ()

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of the outline. [m]"""
        x, y = zip(*self.outline, strict=True)
        return min(x), min(y), max(x), max(y)


def rectangle(left: float, top: float, right: float, bottom: float) -> Points:
    """Four corners. [m]"""
    return (left, top), (right, top), (right, bottom), (left, bottom)


def ellipse(width: float, height: float, *, down: float = 0.0, corners: int = ARC) -> Points:
    """An ellipse that touches the left edge and, moved ``down``, the top. [m]"""
    turn = np.arange(corners) * (2.0 * np.pi / corners)
    x, y = width / 2 * (1.0 + np.cos(turn)), height / 2 * (1.0 + np.sin(turn)) + down
    return tuple(zip(x.tolist(), y.tolist(), strict=True))


def strip(start: tuple[float, float], end: tuple[float, float], thick: float) -> Points:
    """A straight seam: a rectangle of ``thick`` along a line. [m]"""
    a, b = np.asarray(start), np.asarray(end)
    along = (b - a) / np.hypot(*(b - a))
    off = np.array([-along[1], along[0]]) * (thick / 2)
    x, y = np.array([a + off, b + off, b - off, a - off]).T.tolist()
    return tuple(zip(x, y, strict=True))


def polygon_area(points: Points) -> float:
    """Area inside a closed line that does not cross itself (Gauss's sum of trapezia). [m2]"""
    x, y = np.asarray(points).T
    return float(abs(np.dot(x - x[0], np.roll(y, -1) - np.roll(y, 1))) / 2)


def inside(points: Points, x: ArrayLike, y: ArrayLike) -> NDArray[np.bool_]:
    """Whether places lie inside a closed line: a ray to the right crosses it an odd number of times. [m]

    Parameters
    ----------
    x, y : array_like, shape (...)
        Places. [m]

    Returns
    -------
    ndarray of bool, shape (...)
    """
    px, py = np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float))
    found = np.zeros(px.shape, bool)
    corners = np.asarray(points)
    for (x0, y0), (x1, y1) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if y0 != y1:
            found ^= ((y0 > py) != (y1 > py)) & (px < x0 + (py - y0) * ((x1 - x0) / (y1 - y0)))
    return found


def tissue_at(section: Section, x: ArrayLike, y: ArrayLike) -> NDArray[np.int8]:
    """The tissue at places: 0 outside, 1 lean, 2 fat, 3 rind. Shape (...) as ``x`` and ``y``. [m]"""
    body = inside(section.outline, x, y)
    found = np.where(body, LEAN, OUTSIDE).astype(np.int8)
    for patch in section.patches:
        found[inside(patch.points, x, y) & body] = patch.tissue
    return found


def crossing(points: Points) -> tuple[int, int] | None:
    """The first two sides of a closed line that cross or touch without being neighbours, counted from 0."""
    p = np.asarray(points)
    q = np.roll(p, -1, axis=0)
    n, span = len(p), float(np.ptp(p))

    def turn(a: Floats, b: Floats, c: Floats) -> Floats:
        area = (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
        return np.where(np.abs(area) <= 1e-12 * span**2, 0.0, np.sign(area))

    one, other = (np.arange(n)[:, None], np.arange(n)[None, :])
    a, b, c, d = p[one], q[one], p[other], q[other]
    meet = (turn(a, b, c) * turn(a, b, d) <= 0) & (turn(c, d, a) * turn(c, d, b) <= 0)
    low, high = np.minimum(a, b), np.maximum(a, b)
    meet &= ((np.maximum(c, d) >= low) & (np.minimum(c, d) <= high)).all(axis=-1)  # on one line: only if they overlap
    apart = (other - one) % n
    pairs = np.argwhere(meet & (apart > 1) & (apart < n - 1) & (other > one))
    return (int(pairs[0][0]), int(pairs[0][1])) if len(pairs) else None


def require_closed(points: Points, field: str) -> Points:
    """The points, or OutOfRange: a line without area, one that crosses itself, two corners in one place."""
    corners = np.asarray(points)
    if (same := np.flatnonzero((corners == np.roll(corners, -1, axis=0)).all(axis=1))).size:
        at = int(same[0])
        raise OutOfRange(
            f"{field}[{at}] and the point after it are one place.", field=f"{field}[{at}]",
            value=f"{millimetres(corners[at, 0]):g}, {millimetres(corners[at, 1]):g} mm", limit="points that differ",
            remedy="Leave one of them out; the line closes by itself.",
        )  # fmt: skip
    if crossed := crossing(points):
        raise OutOfRange(
            f"{field}: the side after point {crossed[0]} meets the side after point {crossed[1]} (counted from 0).",
            field=field, value=f"sides {crossed[0]} and {crossed[1]}", limit="a line that does not cross itself",
            remedy="Write the points in the order in which you go round the edge.",
        )  # fmt: skip
    if (area := millimetres(millimetres(polygon_area(points)))) < 1.0:
        raise OutOfRange(
            f"{field} has {area:.2g} mm2 inside.", field=field, value=f"{area:.2g} mm2", limit="1 mm2 and more",
            remedy="Check the points: x from the left, y from the top down, in mm.",
        )  # fmt: skip
    return points
