"""What the cells hold and let through: storage, conductance, loss, source, and how they change."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.transport_grid import Grid
from ingle.physics.transport_shapes import Clock, Tissue

Floats = NDArray[np.float64]
Law = Callable[[Floats], ArrayLike]
POINTS = 1025  # of a law's table


@dataclass(frozen=True, eq=False)
class Field:
    """One potential in one body. Every array is one number or one value for each cell.

    Parameters
    ----------
    storage : array_like
        Content per volume and potential. [salt: kg water/m3; heat: J/m3K]
    conductance : array_like
        Flow per gradient; 0 in a cell lets nothing through. [salt: kg/m s; heat: W/m K]
    loss : array_like
        First-order loss of the content. [1/s]
    source : array_like
        Content made. [content/m3 s]
    start : array_like
        Potential at first.
    material : array_like of int
        Which of the laws a cell follows, from 0.
    conductance_law, storage_law : function or sequence of functions, one for each material
        Factor on conductance or storage as a function of the potential, array in, array out. Sampled at 1025
        points of ``law_range`` and straight between; conductance is constant outside, storage keeps its end value.
    law_range : (low, high)
        Potentials between which the laws are sampled.
    """

    storage: ArrayLike = 1.0
    conductance: ArrayLike = 1.0
    loss: ArrayLike = 0.0
    source: ArrayLike = 0.0
    start: ArrayLike = 0.0
    material: ArrayLike = 0
    conductance_law: Law | Sequence[Law] | None = None
    storage_law: Law | Sequence[Law] | None = None
    law_range: tuple[float, float] = (0.0, 1.0)


@dataclass(frozen=True, eq=False)
class Rates:
    """Factors on conductance and loss along time, such as D(T(t))/D(T_ref) of a temperature record.

    Straight between the times, constant outside them. Steps use the exact mean of the factor, so a record may
    be as rough as a logger makes it.
    """

    times: ArrayLike  # [s]
    conductance: ArrayLike = field(default=1.0)
    loss: ArrayLike = field(default=1.0)


def compile_tissue(grid: Grid, told: Field, start: ArrayLike) -> Tissue:
    """The field as arrays for the kernels."""
    arrays = {
        name: grid.full(getattr(told, name)) for name in ("storage", "conductance", "loss", "source")
    }
    inside = grid.inside
    for name, least in (("storage", 0.0), ("conductance", 0.0), ("loss", 0.0)):
        wrong = arrays[name][inside]
        bad = ~np.isfinite(wrong) | (wrong < least) | ((name == "storage") & (wrong <= 0.0))
        if bad.any():
            raise OutOfRange(
                f"{name} {wrong[bad][0]:g} in {int(bad.sum())} cells is not possible.", field=name,
                value=float(wrong[bad][0]), limit="above 0" if name == "storage" else "0 and more",
                remedy=f"Give a {name} for every cell of the body.",
            )
    begin = grid.full(start)
    if not np.isfinite(begin[inside]).all():
        raise OutOfRange("The start holds something that is not a number.", field="start",
                         remedy="Give a potential for every cell of the body.")
    material = grid.full(np.asarray(told.material, float)).astype(np.int64)
    low, high = map(float, told.law_range)
    return Tissue(
        arrays["storage"] * grid.volume,
        np.where(inside, arrays["conductance"], 0.0),
        np.where(inside, arrays["loss"], 0.0),
        np.where(inside, arrays["source"] * grid.volume, 0.0),
        np.where(inside, begin, 0.0),
        material,
        _table(told.conductance_law, low, high, material),
        _integral(_table(told.storage_law, low, high, material), low, high),
        low,
        high,
    )


def compile_clock(rates: Rates | None) -> Clock:
    """Factors and their running integrals."""
    if rates is None:
        times, flow, wear = np.zeros(1), np.ones(1), np.ones(1)
    else:
        times = np.atleast_1d(np.asarray(rates.times, float))
        flow = np.broadcast_to(np.asarray(rates.conductance, float), times.shape).copy()
        wear = np.broadcast_to(np.asarray(rates.loss, float), times.shape).copy()
        if (np.diff(times) < 0).any() or (flow < 0).any() or (wear < 0).any():
            raise OutOfRange("A rate runs backwards in time or below zero.", field="rates",
                             remedy="Give times in order and factors of 0 or more.")
    return Clock(times, flow, _running(times, flow), wear, _running(times, wear))


def _running(times: Floats, values: Floats) -> Floats:
    """Integral from the first time to each."""
    return np.concatenate([[0.0], np.cumsum(np.diff(times) * (values[1:] + values[:-1]) / 2.0)])


def _table(law: Law | Sequence[Law] | None, low: float, high: float, material: NDArray[np.int64]) -> Floats:
    """Laws by their values at equally spaced potentials, (materials, points)."""
    if law is None:
        return np.empty((0, 0))
    laws = [law] if callable(law) else list(law)
    if not low < high:
        raise OutOfRange(f"The laws are asked for between {low:g} and {high:g}.", field="law_range",
                         value=(low, high), remedy="Give a low end below the high end.")
    count = int(material.max()) + 1
    if len(laws) == 1:
        laws = laws * count
    if len(laws) < count or material.min() < 0:
        raise OutOfRange(f"{len(laws)} laws for {count} materials.", field="material", value=count, limit=len(laws),
                         remedy="Give one law for each material, numbered from 0.")
    at = np.linspace(low, high, POINTS)
    table = np.array([np.broadcast_to(np.asarray(one(at), float), at.shape) for one in laws])
    if not (np.isfinite(table).all() and (table > 0.0).all()):
        raise OutOfRange(f"A law is not above zero everywhere between {low:g} and {high:g}.", field="law",
                         limit="above 0", remedy="Narrow law_range to where the law holds.")
    return table


def _integral(table: Floats, low: float, high: float) -> Floats:
    """Content along the potential, 0 at potential 0 by extension of the ends."""
    if table.size == 0:
        return table
    space = (high - low) / (POINTS - 1)
    rise = np.cumsum((table[:, 1:] + table[:, :-1]) / 2.0, axis=1) * space
    return np.concatenate([np.zeros((len(table), 1)), rise], axis=1)
