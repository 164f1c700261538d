"""A body behind a film that follows an outside which moves: a piece in a fridge that fails, on a table, back in the cold.

Constant properties, so the answer is the step answer folded with what the outside does (Duhamel): exact for an outside that steps,
of second order for one that moves on straight lines.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics import series
from ingle.physics.shapes import Shape

Floats = NDArray[np.float64]


def follow(
    shape: Shape, step: float, outside: ArrayLike, *, diffusivity: float, conductance: float, start: float, places: ArrayLike,
) -> Floats:  # fmt: skip
    """Value at places along the first way of a shape, in the middle of its other ways.

    Parameters
    ----------
    shape : Slab, Cylinder, Sphere or Box
        All faces open. The first way is the first of ``shape.factors``.
    step : float
        Time between two values of the outside. [s]
    outside : array_like, shape (n,)
        Outside at 0, step, 2 step ..., straight between. [any unit]
    diffusivity : float
        [m2/s]
    conductance : float
        Film over conductivity, h/k. [1/m]
    start : float
        Of the body, all through. [unit of the outside]
    places : array_like, shape (p,)
        0 the middle, 1 the face.

    Returns
    -------
    ndarray, shape (p, n)

    Raises
    ------
    OutOfRange
        A step, diffusivity or conductance that is not above zero; fewer than two values.

    Notes
    -----
    T(t) = T0 + sum of each change of the outside times the step answer since its middle. An outside that begins away from the body
    is a change at time 0. Ordered: a warmer outside gives no colder body, to the rounding of the series.

    References
    ----------
    Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, 1.14 (Duhamel's theorem; from memory).
    """
    air = np.asarray(outside, float)
    at = np.atleast_1d(np.asarray(places, float))
    for name, value in (("step", step), ("diffusivity", diffusivity), ("conductance", conductance)):
        if not value > 0.0:
            raise OutOfRange(f"{name} {value:g} is not above zero.", field=name, value=value, limit="above 0", remedy="Check its unit.")
    if air.ndim != 1 or air.size < 2 or not np.isfinite(air).all():
        raise OutOfRange("The outside is no row of two or more numbers.", field="outside", value=air.shape, limit="two or more values",
                         remedy="Fill what was lost first.")  # fmt: skip
    n = air.size
    whole_steps = np.arange(n, dtype=np.float64)
    whole = _answer(shape, np.asarray(whole_steps * step * diffusivity), conductance, at)
    half = _answer(shape, np.asarray((whole_steps + 0.5) * step * diffusivity), conductance, at)
    rise = np.concatenate([np.diff(air), [0.0]])
    size = 1 << (2 * n - 1).bit_length()
    folded = np.fft.irfft(np.fft.rfft(rise, size) * np.fft.rfft(half, size), size)[:, : n - 1]
    moved = np.concatenate([np.zeros((at.size, 1)), folded], axis=1)
    return np.asarray(start + (air[0] - start) * whole + moved)


def _answer(shape: Shape, exposure: Floats, conductance: float, places: Floats) -> Floats:
    """Share of the way made at places after a step, shape (p, n)."""
    made = np.zeros((places.size, exposure.size))
    later = exposure > 0.0
    X = exposure[later]
    left = np.ones((places.size, X.size))
    for i, (kind, path) in enumerate(shape.factors):
        fo, biot = X / path**2, conductance * path
        if i == 0:
            left = left * (1.0 - np.moveaxis(np.atleast_2d(series.film_profile(kind, fo, biot, places)), -1, 0))
        else:
            left = left * (1.0 - series.film(kind, fo, biot)[1])
    made[:, later] = np.clip(1.0 - left, 0.0, 1.0)
    return made

