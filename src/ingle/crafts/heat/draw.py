"""What is not known of a cook's piece and kitchen, drawn once for every member of an ensemble."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts import _draws

Floats = NDArray[np.float64]

MEMBERS = 256
KNOWN = ("film", "offset", "air", "size", "aspect", "conductivity", "water", "crust", "support", "start", "rounding", "pace")
"""What can be pinned to its middle."""


@dataclass(frozen=True)
class Draws:
    """One value for each member; all (M,). ``u`` values are chances between 0 and 1, ``z`` values standard normal."""

    film: Floats  # u
    offset: Floats  # z
    air: Floats  # u
    size: Floats  # z
    aspect: Floats  # u
    conductivity: Floats  # z
    water: Floats  # z
    crust: Floats  # u
    support: Floats  # u
    start: Floats  # z
    rounding: Floats  # u
    pace: Floats  # z

    @property
    def members(self) -> int:
        """How many."""
        return self.film.size


_NORMAL = ("offset", "size", "conductivity", "water", "start", "pace")


def middle() -> Draws:
    """One member with everything at its middle."""
    return Draws(**{name: np.array([0.0 if name in _NORMAL else 0.5]) for name in KNOWN})


def ensemble(known: frozenset[str] = frozenset(), members: int = MEMBERS) -> Draws:
    """Members that differ in everything but what is ``known``: those lie at their middle."""
    # pace lies in even strata by an order of its own: one more axis would move all others, and it has nothing to do with them
    pace = (np.random.default_rng(members).permutation(members) + 0.5) / members
    chances = np.column_stack([_draws.uniform(members, len(KNOWN) - 1), pace])
    told = middle()
    for i, name in enumerate(KNOWN):
        pinned = np.full(members, getattr(told, name)[0])
        u = chances[:, i]
        told = replace(told, **{name: pinned if name in known else _draws.normal(u) if name in _NORMAL else u})
    return told
