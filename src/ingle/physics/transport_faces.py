"""What stands outside a face: a held value, a film, a bath that weakens, dry salt that melts into it.

Every outside is a *reservoir*. A held one never runs out; a bath has so much water and its own content, and
one bath may wash several faces. A side that is not named is sealed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.transport_grid import Grid
from ingle.physics.transport_shapes import Pools, Rim

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Record:
    """A value along time, straight between its points; two points at one time are a jump."""

    times: ArrayLike  # [s]
    values: ArrayLike

    def __post_init__(self) -> None:
        times, values = np.asarray(self.times, float), np.asarray(self.values, float)
        if times.ndim != 1 or times.shape != values.shape or times.size == 0 or (np.diff(times) < 0).any():
            raise OutOfRange(
                f"A record of {times.size} times and {values.size} values is not one value for each time in order.",
                field="record", value=times.size, remedy="Give times that never fall, each with its value.",
            )
        if not (np.isfinite(times).all() and np.isfinite(values).all()):
            raise OutOfRange("A record holds something that is not a number.", field="record",
                             remedy="Take out the rows without a number.")
        object.__setattr__(self, "times", times)
        object.__setattr__(self, "values", values)


@dataclass(frozen=True, eq=False)
class Held:
    """A value outside that nothing changes, directly at the face or behind a resistance.

    Parameters
    ----------
    value : float or Record
        Potential outside. [as the field]
    transfer : float
        Flow per area and potential difference; infinity: the face itself has the value.
        [storage unit m/s; heat: W/m2K]
    """

    value: float | Record
    transfer: float = np.inf


def film(transfer: float, outside: float | Record) -> Held:
    """A face behind a film or a thin skin (Robin condition): flow = transfer x area x difference."""
    return Held(outside, transfer)


@dataclass(frozen=True, eq=False)
class Bath:
    """A finite well-mixed bath, shared by all faces that are given this same object.

    Parameters
    ----------
    water : float
        Capacity: content per potential. [m3 x storage; per m2 or per m as the grid is]
    start : float
        Potential at first. [as the field]
    dry : float
        Undissolved stuff lying in it. [content] Needs ``saturated``.
    saturated : float or None
        Potential at which it is full: while dry stuff lasts the bath stays there, and what a body gives
        back above it drops out again. None: it may become as strong as it likes.
    transfer : float
        As in `Held`: a resistance between bath and body.
    """

    water: float
    start: float = 0.0
    dry: float = 0.0
    saturated: float | None = None
    transfer: float = np.inf
    name: str = field(default="bath")

    def __post_init__(self) -> None:
        if not (np.isfinite(self.water) and self.water > 0.0):
            raise OutOfRange(f"A bath of capacity {self.water:g} holds nothing.", field="water", value=self.water,
                             limit="above 0", remedy="Leave the side sealed when there is no bath.")
        if not np.isfinite(self.start) or not (self.dry >= 0.0 and np.isfinite(self.dry)):
            raise OutOfRange(f"A bath at {self.start:g} with {self.dry:g} dry is not possible.", field="dry",
                             value=self.dry, limit="0 and more", remedy="Give what lies dry in the bath, 0 if none.")
        if self.dry > 0.0 and self.saturated is None:
            raise OutOfRange(f"{self.dry:g} lies dry, but the strength of a full bath is not given.",
                             field="saturated", remedy="Give `saturated`, the potential of a full bath.")

    @property
    def content(self) -> float:
        """All it holds: dissolved and dry."""
        return self.water * self.start + self.dry

    def holding(self, content: float) -> Bath:
        """The same bath with another content, parted into dissolved and dry."""
        most = np.inf if self.saturated is None else self.saturated * self.water
        return replace(self, start=min(content, most) / self.water, dry=max(content - most, 0.0))


Outside = Held | Bath


def reservoirs(faces: Mapping[str, Outside]) -> list[Outside]:
    """The different reservoirs in the order in which they are first named."""
    return list({id(outside): outside for outside in faces.values()}.values())


def compile_faces(grid: Grid, faces: Mapping[str, Outside]) -> tuple[Rim, Pools]:
    """Sides and reservoirs as the arrays the kernels take."""
    pools = reservoirs(faces)
    parts = []
    for side, outside in faces.items():
        if not outside.transfer > 0.0:
            raise OutOfRange(f"Transfer {outside.transfer:g} at side {side!r} lets nothing through.",
                             field="transfer", value=outside.transfer, limit="above 0",
                             remedy="Leave a sealed side out.")
        at = next(i for i, pool in enumerate(pools) if pool is outside)
        for cells, axis, area, half in grid.faces(side):
            n = cells.size
            parts.append((cells, np.full(n, axis), np.full(n, at), area, half, np.full(n, 1.0 / outside.transfer)))
    columns = [np.concatenate(c) for c in zip(*parts, strict=True)] if parts else [np.empty(0)] * 6
    numbers = [c.astype(np.int64) for c in columns[:3]]
    sizes = [np.ascontiguousarray(c, float) for c in columns[3:]]
    rim = Rim(numbers[0], numbers[1], numbers[2], *sizes)
    return rim, _pools(pools)


def _pools(pools: list[Outside]) -> Pools:
    """Capacities, contents and records of the reservoirs, laid end to end."""
    records = [
        Record([0.0], [0.0]) if isinstance(p, Bath) else p.value if isinstance(p.value, Record)
        else Record([0.0], [p.value]) for p in pools
    ]
    first = np.concatenate([[0], np.cumsum([np.size(r.times) for r in records])]).astype(np.int64)
    baths = [p if isinstance(p, Bath) else None for p in pools]
    full = [np.inf if b is None or b.saturated is None else b.saturated for b in baths]
    return Pools(
        np.array([0.0 if b is None else b.water for b in baths], float),
        np.array([0.0 if b is None else b.content for b in baths], float),
        np.array(full, float),
        np.concatenate([np.asarray(r.times) for r in records]) if records else np.empty(0),
        np.concatenate([np.asarray(r.values) for r in records]) if records else np.empty(0),
        first,
    )
