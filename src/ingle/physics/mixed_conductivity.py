"""Conductivity of a mixture from its components: the bounds of any layering, and a rule between them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ingle.ground.errors import OutOfRange

Floats = NDArray[np.float64]

HOW = ("parallel", "series", "levy")
"""Rules that join the conductivities of components; parallel and series are the bounds of any layering."""


def joined(v: Floats, k: Floats, rule: str) -> Floats:
    """Conductivity of the whole. [W/m/K]

    Parameters
    ----------
    v, k : ndarray, shape (components, ...)
        Shares by volume, adding up to 1, and conductivities [W/m/K]; water and ice are the first two.
    rule : {"parallel", "series", "levy"}

    Raises
    ------
    OutOfRange
        Another rule; the error tells those there are.
    """
    if rule not in HOW:
        raise OutOfRange(
            f"conductivity rule {rule!r} is not one of {', '.join(HOW)}.", field="how", value=rule, limit=HOW,
            remedy="Choose one of these.",
        )  # fmt: skip
    if rule == "parallel":
        return np.asarray((v * k).sum(axis=0))
    if rule == "series":
        return np.asarray(1.0 / (v / k).sum(axis=0))
    wet, dry = v[:2].sum(axis=0), v[2:].sum(axis=0)
    first, second = (v[:2] * k[:2]).sum(axis=0), (v[2:] * k[2:]).sum(axis=0)
    k1 = np.where(wet > 0.0, first / np.where(wet > 0.0, wet, 1.0), second)  # one that is absent counts as the other
    k2 = np.where(dry > 0.0, second / np.where(dry > 0.0, dry, 1.0), first)
    return _levy(k1, k2, wet)


def _levy(k1: Floats, k2: Floats, share: Floats) -> Floats:
    """Two materials of which neither need be the continuous one; ``share`` of the first by volume.

    Levy 1981: Maxwell's form with F such that exchanging the two materials changes nothing.
    """
    sigma = np.maximum((k1 - k2) ** 2 / ((k1 + k2) ** 2 + 0.5 * k1 * k2), 1e-12)
    b = 2.0 / sigma - 1.0 + 2.0 * share
    F = 4.0 * share / sigma / (b + np.sqrt(b * b - 8.0 * share / sigma))  # the smaller root, written without a difference
    return np.asarray(k2 * (2.0 * k2 + k1 - 2.0 * F * (k2 - k1)) / (2.0 * k2 + k1 + F * (k2 - k1)))
