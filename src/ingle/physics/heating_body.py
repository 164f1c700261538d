"""Bodies that are heated, many at once: the axes they are cut along, their cells and their faces.

A body is a product of axes: a slab has one, a short cylinder two (radius and half the length), a box three. Along an
axis of symmetry only one half is cut. Members of an ensemble share the cells; each has its own lengths. What is cut
away by symmetry, and what a slab or a long cylinder has no end of, is counted by ``repeat``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange

Floats = NDArray[np.float64]

_ORDER = {"slab": 0, "cylinder": 1, "sphere": 2}
_GRADE = 1.15  # cells next to a face are this power thinner: a film's first minutes need it, the middle does not


@dataclass(frozen=True)
class Axis:
    """One direction of a body, from a plane of symmetry (or a face) at 0 to a face at 1.

    ``length`` [m] is half a thickness or a radius where ``low`` is "", else the whole thickness. Faces are named, and
    the outside is asked by that name; "" is a plane of symmetry, or sealed.
    """

    kind: str
    length: Floats  # (M,)
    edges: Floats  # (n + 1,) from 0 to 1
    low: str = ""
    high: str = "face"

    @property
    def cells(self) -> int:
        """How many cells lie along it."""
        return self.edges.size - 1

    @cached_property
    def middles(self) -> Floats:
        """Places of the cells, 0 to 1; (n,)."""
        return 0.5 * (self.edges[1:] + self.edges[:-1])

    @cached_property
    def area(self) -> Floats:
        """Area at the edges for a length of 1; (n + 1,)."""
        return self.edges ** _ORDER[self.kind]

    @cached_property
    def volume(self) -> Floats:
        """Volume of the cells for a length of 1; (n,)."""
        p = _ORDER[self.kind] + 1
        return np.diff(self.edges**p) / p

    @property
    def power(self) -> int:
        """Power of the length in its volume."""
        return _ORDER[self.kind] + 1


@dataclass(frozen=True)
class Body:
    """A product of axes for M members."""

    axes: tuple[Axis, ...]
    repeat: float  # volumes of the body in one volume of the cells: 2 for each plane of symmetry, 2 pi for a round

    @property
    def members(self) -> int:
        """How many bodies are marched at once."""
        return self.axes[0].length.size

    @property
    def shape(self) -> tuple[int, ...]:
        """Cells along each axis, then members."""
        return (*(a.cells for a in self.axes), self.members)

    @cached_property
    def weights(self) -> Floats:
        """Share of each cell in the volume; (cells..., 1)."""
        told = np.ones((1,) * len(self.axes))
        for i, axis in enumerate(self.axes):
            told = told * _along(axis.volume, i, len(self.axes))
        return (told / told.sum())[..., None]

    @cached_property
    def volume(self) -> Floats:
        """Volume of each member; per m2 of face for a slab, per m for a long cylinder. [m3]; (M,)"""
        told = np.full(self.members, self.repeat)
        for axis in self.axes:
            told = told * axis.volume.sum() * axis.length**axis.power
        return told

    def face_area(self, axis: int, end: int) -> Floats:
        """Area behind each cell of one face, all copies of it counted. [m2]; (other cells..., M)"""
        told: Any = np.full(self.members, self.repeat) * self.axes[axis].area[end]
        told = told * self.axes[axis].length ** (self.axes[axis].power - 1)
        others = [a for i, a in enumerate(self.axes) if i != axis]
        for a in others:
            told = told * a.length**a.power
        weights = np.ones((1,) * len(others))
        for i, a in enumerate(others):
            weights = weights * _along(a.volume, i, len(others))
        return np.asarray(weights[..., None] * told)

    def mean(self, values: Floats) -> Floats:
        """Mean over the volume; (cells..., M) to (M,)."""
        return np.asarray((values * self.weights).reshape(-1, self.members).sum(axis=0))


def _along(values: Floats, axis: int, axes: int) -> Floats:
    return values.reshape([-1 if i == axis else 1 for i in range(axes)])


def slab(thickness: ArrayLike, *, cells: int = 16, sides: tuple[str, str] = ("", "face")) -> Body:
    """A wide piece of a thickness (M,) [m]. ``sides``: ("", "face") for two like faces, else the two names; "" is sealed."""
    axis = _slab_axis(thickness, cells, sides)
    return Body((axis,), 1.0 if sides[0] else 2.0)


def one_sided(thickness: ArrayLike, *, cells: int = 20, face: str = "top") -> Body:
    """A wide piece whose other side is sealed. [m]"""
    return Body((Axis("slab", _lengths(thickness, "thickness"), _edges(cells, False), "", face),), 1.0)


def cylinder(diameter: ArrayLike, length: ArrayLike | None = None, *, cells: tuple[int, int] = (16, 12)) -> Body:
    """A round piece; without a length it is long and its ends do not count. Faces "rim" and "end". [m]"""
    radius = Axis("cylinder", _lengths(diameter, "diameter") / 2.0, _edges(cells[0], False), "", "rim")
    if length is None:
        return Body((radius,), 2.0 * math.pi)
    half = Axis("slab", _lengths(length, "length", radius.length.size) / 2.0, _edges(cells[1], False), "", "end")
    return Body((radius, half), 4.0 * math.pi)


def sphere(diameter: ArrayLike, *, cells: int = 20) -> Body:
    """A ball; face "rim". [m]"""
    return Body((Axis("sphere", _lengths(diameter, "diameter") / 2.0, _edges(cells, False), "", "rim"),), 4.0 * math.pi)


def box(
    length: ArrayLike, width: ArrayLike, thickness: ArrayLike, *, cells: tuple[int, int, int] = (12, 8, 8),
    sides: tuple[str, str] = ("", "face"),
) -> Body:  # fmt: skip
    """A box; ``cells`` along thickness, width, length; ``sides`` of the thickness as in `slab`. Faces "side", "end". [m]"""
    thick = _slab_axis(thickness, cells[0], sides)
    wide = Axis("slab", _lengths(width, "width", thick.length.size) / 2.0, _edges(cells[1], False), "", "side")
    long = Axis("slab", _lengths(length, "length", thick.length.size) / 2.0, _edges(cells[2], False), "", "end")
    return Body((thick, wide, long), 4.0 if sides[0] else 8.0)


def _slab_axis(thickness: ArrayLike, cells: int, sides: tuple[str, str]) -> Axis:
    lengths = _lengths(thickness, "thickness")
    return Axis("slab", lengths if sides[0] else lengths / 2.0, _edges(cells, bool(sides[0])), *sides)


def _edges(cells: int, both: bool) -> Floats:
    """Edges 0..1, thinner towards the faces."""
    if cells < 3:
        raise OutOfRange(f"{cells} cells along an axis.", field="cells", value=cells, limit="3 or more", remedy="Give 3 or more.")
    s = np.linspace(0.0, 1.0, cells + 1)
    if not both:
        return np.asarray(1.0 - (1.0 - s) ** _GRADE)
    half = np.where(s < 0.5, (2.0 * s) ** _GRADE, 2.0 - (2.0 * (1.0 - s)) ** _GRADE) / 2.0
    return np.asarray(half)


def _lengths(given: ArrayLike, name: str, members: int | None = None) -> Floats:
    told = np.atleast_1d(np.asarray(given, dtype=float))
    if told.ndim != 1 or not (np.isfinite(told) & (told > 0.0)).all():
        raise OutOfRange(
            f"{name} is not a length above zero.", field=name, value=given, limit="above 0 m",
            remedy=f"Measure the {name} and give it with its unit.",
        )  # fmt: skip
    if members is not None and told.size == 1:
        told = np.full(members, told[0])
    if members is not None and told.size != members:
        raise OutOfRange(
            f"{told.size} values of {name} for {members} bodies.", field=name, value=told.size, limit=members,
            remedy="Give one for each body, or one for all.",
        )  # fmt: skip
    return told
