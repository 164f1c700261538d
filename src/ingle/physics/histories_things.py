"""Pieces as a march holds them, and what their surface meets. Shapes: members M, cells N, solutes K; masses per kg of green weight."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.physics.depths import Depth

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Pieces:
    """All members at one moment. [kg per kg of green weight]"""

    water: Floats  # (N, M) water of each cell
    solute: Floats  # (N, K, M) solutes of each cell
    dry_matter: Floats  # (N, M) what is neither water nor solute
    brine: Floats  # (M,) water that stands beside the meat
    dissolved: Floats  # (K, M) solutes in it, those still dry counted
    poured: Floats  # (K, M) poured or rinsed away
    poured_water: Floats  # (M,)
    lost: Floats  # (K, M) gone by reaction
    evaporated: Floats  # (M,)

    @property
    def strength(self) -> Floats:
        """Solute per water of every cell, shape (N, K, M)."""
        return self.solute / self.water[:, None, :]

    @property
    def weight(self) -> Floats:
        """Weight of the meat, shape (M,)."""
        return self.water.sum(0) + self.dry_matter.sum(0) + self.solute.sum((0, 1))

    def total(self) -> Floats:
        """Every solute wherever it is, shape (K, M): stays the same."""
        return self.solute.sum(0) + self.dissolved + self.poured + self.lost


def fresh(cells: Depth, water: Floats, solutes: int) -> Pieces:
    """Raw pieces: ``water`` per green weight, shape (M,), even everywhere; no solute."""
    members = len(water)
    share = cells.share[:, None]
    nothing = np.zeros((solutes, members))
    return Pieces(
        water=share * water[None, :],
        solute=np.zeros((len(cells.share), solutes, members)),
        dry_matter=share * (1 - water)[None, :],
        brine=np.zeros(members),
        dissolved=nothing,
        poured=nothing.copy(),
        poured_water=np.zeros(members),
        lost=nothing.copy(),
        evaporated=np.zeros(members),
    )


@dataclass(frozen=True)
class Surface:
    """What the surface meets during a stage.

    ``open``: sealed when False. ``endless``: fresh water without end (a rinse under the tap). ``saturated`` [kg/kg water]: ceiling
    of each solute in the brine, shape (K,); infinite where none. ``exchange``: given brine's salt per water, meat's water and the
    start's, the water that the meat tends to, shape (M,), and ``exchange_s`` its time constant, shape (M,); None: water stays.
    ``drying``: given the water activity of the surface cell, kg water per kg green weight and second, shape (M,); None: none.
    ``film``: brine that always clings [kg/kg].
    """

    open: bool = True
    endless: bool = False
    saturated: Floats | None = None
    exchange: Callable[[Floats], Floats] | None = None
    exchange_s: Floats | None = None
    drying: Callable[[Floats, Floats], Floats] | None = None
    film: float = 0.0005
