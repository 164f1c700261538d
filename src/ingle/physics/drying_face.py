"""The face of a drying body: how wet it is where what comes from inside is what the air takes.

Half a cell lies between the face and where a cell's water is told. What air takes falls as the face dries; taken from the
cell's own water it is too much, by more the longer the step. Drawn as a straight line down to the water at which air takes
no more, it can be solved with the cells, and no step is too long for it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_POINTS, _ROUNDS = 9, 3  # of the search: 8**3 parts, 2e-3 of the way


def air_takes(per_dry: Floats, inside: Floats, drying: Callable[[Floats], Floats]) -> tuple[Floats, Floats, Floats]:
    """A drying face beside its cell.

    Parameters
    ----------
    per_dry : ndarray, shape (F,)
        Water per dry matter in the middle of the cell behind each face. [kg/kg]
    inside : ndarray, shape (F,)
        What passes from there to the face, by unit of water per dry matter.
    drying : callable
        What air takes from a face of given water per dry matter, shape (..., F); in the unit of ``inside`` x kg/kg.

    Returns
    -------
    least, face, flow : ndarray, shape (F,)
        Water per dry matter at which air takes no more, that of the face now, and what leaves.
    """
    least = _turn(np.zeros_like(per_dry), per_dry, lambda x: drying(x) > 0.0)
    face = _turn(least, per_dry, lambda x: drying(x) > inside * (per_dry - x))
    return least, face, np.minimum(drying(face), inside * (per_dry - face))  # the same but for what is left of the search


def as_film(per_dry: Floats, inside: Floats, drying: Callable[[Floats], Floats]) -> tuple[Floats, Floats]:
    """What leaves as rate x (water per dry matter of the cell - least): the rate and the least, shape (F,)."""
    least, _, flow = air_takes(per_dry, inside, drying)
    pull = per_dry - least
    return np.where(pull > 1e-9, flow / np.maximum(pull, 1e-9), 0.0), least


def _turn(low: Floats, high: Floats, over: Callable[[Floats], NDArray[np.bool_]]) -> Floats:
    """Where something not true at ``low`` comes true on the way to ``high``; ``high`` where it does not."""
    share = np.linspace(0.0, 1.0, _POINTS)[:, None]
    for _ in range(_ROUNDS):  # many points at once, for the law costs by the call and not by the point
        told = over(low + (high - low) * share)
        told[0], told[-1] = False, True
        first = told.argmax(axis=0)
        low, high = low + (high - low) * share[first - 1, 0], low + (high - low) * share[first, 0]
    return (low + high) / 2
