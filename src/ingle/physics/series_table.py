"""A table of a product body in a finite bath, for a thousand pieces that differ in thickness and diffusivity.

D and time enter only as the exposure X = integral of D dt, so with bath and other paths given the answer is a function of X and
one path. It is smooth in sqrt(X) and in the path: a few Chebyshev nodes of the path times even steps of sqrt(X) hold it, and a
member is a weighted sum of rows and four neighbours in each. What lies outside the table is refused, never extrapolated.

The same grid serves any number of parameters (`nodes_over`), as the forecast of a cure uses it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.series_bath import Three
from ingle.physics.series_product import product_bath
from ingle.physics.shapes import Factor
from ingle.physics.special import Floats

_ONE = 1e-12  # values closer than this share are one value
_EDGE = 1e-9  # what counts as the table's own end: rounding of a unit's conversion, not an extrapolation


@dataclass(frozen=True)
class Table:
    """Mean, core and bath as fractions of the final change, along sqrt(exposure) at nodes of one path.

    ``values`` has shape (3, nodes, numbers + 1), its last axis even steps of sqrt(exposure) from 0 to sqrt(``span``). ``missed`` is
    the largest miss against the closed form half way between nodes and between steps when the table was made, over the larger
    of the value and 1, of mean, core and bath.
    """

    span: float  # longest exposure [m2]
    low: float  # shortest path [m]
    high: float  # longest path [m]
    paths: Floats  # nodes of the path, shape (nodes,) [m]
    values: Floats
    missed: tuple[float, float, float]


def bath_table(
    factors: Sequence[Factor],
    exposure: float,
    alpha: float,
    *,
    low: float,
    high: float,
    nodes: int = 7,
    numbers: int = 128,
    most_missed: float = 1e-3,
) -> Table:
    """Tabulate `product_bath` over the first factor's path.

    Parameters
    ----------
    factors : sequence of (kind, path)
        As a shape's ``factors``. The path of the first is what the table runs over: its own value is not used. [m]
    exposure : float
        The longest exposure that will be asked for. [m2]
    alpha : float
        Bath volume / (K x body volume). Taken as the same at every path.
    low, high : float
        Shortest and longest path that will be asked for. [m]
    nodes, numbers : int
        Chebyshev nodes of the path, 1 and more; steps of sqrt(exposure), 4 and more.
    most_missed : float
        Largest miss that is let pass, see `Table`.

    Raises
    ------
    OutOfRange
        Exposure, path, or a grid that is none; or a table that misses by more than ``most_missed``.

    Notes
    -----
    Seven nodes and 128 steps hold 1e-4 for the box of ``benchmarks/series.py`` with its path spread by 40 % either way.
    A smaller bath falls faster at first and asks for more steps.
    """
    _require("exposure", exposure, "m2")
    _require("low", low, "m")
    _require("high", high, "m", least=low)
    _require("nodes", nodes, "nodes", least=1)
    _require("numbers", numbers, "steps", least=4)
    (kind, _), *others = factors
    paths = chebyshev_nodes(low, high, nodes)
    between = np.append(paths[:-1] + paths[1:], (low + paths[-1], high + paths[0])) / 2
    tau = np.linspace(0.0, 1.0, numbers + 1)
    values = np.stack(product_bath(((kind, paths[:, None]), *others), _rows(exposure * tau**2, paths), alpha))
    made = Table(exposure, low, high, paths, values, (0.0, 0.0, 0.0))
    asked = _rows(exposure * (tau[:-1] + 0.5 / numbers) ** 2, between)
    exact = product_bath(((kind, between[:, None]), *others), asked, alpha)
    mean, core, bath = (
        float(np.max(np.abs(a - b) / np.maximum(b, 1.0))) for a, b in zip(read(made, asked, between), exact, strict=True)
    )
    worst = max(mean, core, bath)
    if not worst <= most_missed:
        raise OutOfRange(
            f"a table of {nodes} nodes and {numbers} steps misses the closed form by {worst:.1e} of the final change.",
            field="numbers",
            value=worst,
            limit=most_missed,
            remedy="Take more steps or nodes, a narrower range of paths, or product_bath itself.",
        )
    return Table(exposure, low, high, paths, values, (mean, core, bath))


def read(table: Table, exposure: ArrayLike, path: ArrayLike) -> Three:
    """Mean, core and bath of members from a table.

    Parameters
    ----------
    exposure : array_like, shape (members, times)
        Integral of D dt. [m2]
    path : array_like, shape (members,)
        Path of the first factor. [m]

    Returns
    -------
    mean, core, bath : each of shape (members, times)
        Fractions of the final change; mean + alpha bath = 1 + alpha as in the closed form.

    Raises
    ------
    OutOfRange
        Outside the table.
    """
    X, paths = within(table, exposure, path)
    rows = lagrange(table.paths, paths) @ table.values  # (3, members, numbers + 1)
    last = table.values.shape[-1] - 1
    place = np.sqrt(np.minimum(X / table.span, 1.0)) * last
    left = np.clip(place.astype(np.intp) - 1, 0, last - 3)
    s = place - left
    told = np.zeros((3, *X.shape))
    member = np.arange(len(paths))[:, None]
    for k, share in enumerate((
        -(s - 1) * (s - 2) * (s - 3) / 6, s * (s - 2) * (s - 3) / 2, -s * (s - 1) * (s - 3) / 2, s * (s - 1) * (s - 2) / 6,
    )):  # fmt: skip
        told += share * rows[:, member, left + k]
    return told[0], told[1], told[2]


def within(table: Table, exposure: ArrayLike, path: ArrayLike) -> tuple[Floats, Floats]:
    """Exposures and paths as arrays of shape (members, times) and (members,); refuses what lies outside the table."""
    X, paths = np.asarray(exposure, float), np.asarray(path, float)
    if X.ndim != 2 or paths.shape != X.shape[:1]:
        raise OutOfRange(
            f"exposure of shape {X.shape} and path of shape {paths.shape} are not members x times and members.",
            field="path",
            value=paths.shape,
            limit="(members, times) and (members,)",
            remedy="Give one row of exposures and one path for each member.",
        )
    for name, values, (least, most) in (("exposure", X, (0.0, table.span)), ("path", paths, (table.low, table.high))):
        if values.size and not (values.min() >= least - _EDGE * most and values.max() <= most * (1 + _EDGE)):
            worst = float(values.max()) if not values.max() <= most * (1 + _EDGE) else float(values.min())
            raise OutOfRange(
                f"{name} {worst:g} lies outside the table, {least:g} to {most:g}.",
                field=name,
                value=worst,
                limit=(least, most),
                remedy="Make the table for the whole range (bath_table).",
            )
    return np.maximum(X, 0.0), paths


def chebyshev_nodes(low: float, high: float, count: int) -> Floats:
    """``count`` nodes between two ends, falling; one value alone when the ends are one."""
    if high - low < _ONE * max(abs(high), _ONE):
        return np.array([low])
    return (low + high) / 2 + (high - low) / 2 * np.cos(np.pi * (2 * np.arange(count) + 1) / (2 * count))


def lagrange(nodes: Floats, values: Floats) -> Floats:
    """Weight of each node in the polynomial through all of them, at values (M,). Shape (M, nodes)."""
    weights = np.ones((len(values), len(nodes)))
    for i in range(len(nodes)):
        for j in range(len(nodes)):
            if i != j:
                weights[:, i] *= (values - nodes[j]) / (nodes[i] - nodes[j])
    return weights


def nodes_over(values: NDArray[np.float64], count: int) -> tuple[Floats, Floats]:
    """Chebyshev nodes over the range of members' values, and every member's weights on them, (members, nodes)."""
    nodes = chebyshev_nodes(float(values.min()), float(values.max()), count)
    return nodes, lagrange(nodes, values)


def _rows(exposure: Floats, members: Floats) -> Floats:
    return np.broadcast_to(exposure, (len(members), len(exposure)))


def _require(name: str, value: float, unit: str, least: float = 0.0) -> None:
    """Refuse what is not finite, not above zero or below its least."""
    if not (math.isfinite(value) and value > 0.0 and value >= least):
        raise OutOfRange(
            f"{name} {value:g} {unit} is not a finite number above zero and from {least:g} on.",
            field=name,
            value=value,
            limit=least,
            remedy=f"Give {name} in {unit}, {least:g} or more.",
        )
