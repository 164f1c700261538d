"""When a body behind a film has come to a value: time to core of a piece in an oven, a bath, a fridge.

Constant properties, one film, air of one temperature, even at the start. Exposure is diffusivity x time [m2] and fractions are of the
way from the start to the air, as in ``series.film_surface``, which gives the curves. Asked often, in one process:
``film_compiled``.
"""

from __future__ import annotations

import math

import numpy as np

from ingle.ground.errors import OutOfRange
from ingle.physics.rootfind import find_root
from ingle.physics.series_held import STILL, film
from ingle.physics.series_roots import film_roots
from ingle.physics.shapes import Shape
from ingle.physics.special import Floats

WHAT = ("mean", "core", "surface")


def film_exposure_to(shape: Shape, fraction: float, conductance: float, *, what: str = "core") -> float:
    """Exposure at which a body behind a film has made a fraction of its way. [m2]

    Parameters
    ----------
    shape : Slab, Cylinder, Sphere or Box
    fraction : float
        (wanted - start)/(outside - start): 0 at once, from 1 on never. [1]
    conductance : float
        h/k. [1/m]
    what : {"core", "mean", "surface"}
        The slowest place, the whole, or the middle of the wet face nearest to it.

    Returns
    -------
    float
        0 for a fraction of 0 or less, infinite from 1 on or where nothing passes.

    Raises
    ------
    OutOfRange
        A conductance below zero or a fraction that is no number; an unknown ``what``.
    """
    f, h = wanted(fraction, conductance, what)
    if f <= 0.0:
        return 0.0
    if f >= 1.0 or h == 0.0:
        return math.inf
    slowest = sum(float(film_roots(kind, h * path, 1)[0] / path) ** 2 for kind, path in shape.factors)
    shortest = min(path for _, path in shape.factors)
    low = np.array([math.sqrt(STILL) * shortest if what == "core" else 0.0])
    high = np.array([math.sqrt((6.0 - math.log1p(-f)) / slowest)])
    root = find_root(lambda u: _reached(shape, u * u, h, what) - f, low, np.maximum(high, 2.0 * low), tolerance=1e-12)
    return float(root[0]) ** 2


def wanted(fraction: float, conductance: float, what: str) -> tuple[float, float]:
    """Fraction and conductance, checked."""
    if what not in WHAT:
        raise OutOfRange(
            f"what {what!r} is not one of {', '.join(WHAT)}.", field="what", value=what, limit=WHAT, remedy="Choose one of these."
        )
    if not conductance >= 0.0:
        raise OutOfRange(
            f"conductance {conductance:g} per m is below zero or not a number.", field="conductance", value=conductance,
            limit="0 and more", remedy="Give the film coefficient over the conductivity, h/k.",
        )  # fmt: skip
    if math.isnan(fraction):
        raise OutOfRange(
            "the fraction is not a number.", field="fraction", value=fraction, limit="0 to 1",
            remedy="Give (wanted - start)/(outside - start).",
        )  # fmt: skip
    return float(fraction), float(conductance)


def _reached(shape: Shape, exposure: Floats, conductance: float, what: str) -> Floats:
    """Fraction made at an exposure (N,), as in ``series.film_surface``."""
    left = np.ones_like(exposure)
    nearest = min(path for _, path in shape.factors)
    waiting = what == "surface"
    for kind, path in shape.factors:
        mean, core, surface = film(kind, exposure / path**2, conductance * path)
        if what == "mean":
            made = mean
        elif waiting and path == nearest:
            made, waiting = surface, False
        else:
            made = core
        left = left * (1.0 - made)
    return np.asarray(1.0 - left)
