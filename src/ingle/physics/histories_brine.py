"""Between meat and brine: water that moves as a whole, and what hands do (add, pump, pour). Masses per kg of green weight."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ingle.physics.histories_things import Pieces, Surface

Floats = NDArray[np.float64]


def exchange(p: Pieces, dt: float, surface: Surface, faces: Floats | None = None) -> Pieces:
    """Water between meat and brine: out as water alone, in with what is dissolved in it.

    What comes in dissolved enters by ``faces``, the part of each cell in it, shape (N,); by the outermost cell when left out.
    """
    assert surface.exchange is not None and surface.exchange_s is not None
    brine = np.maximum(p.brine, surface.film)
    strength = p.dissolved[0] / brine
    if surface.saturated is not None:
        strength = np.minimum(strength, surface.saturated[0])
    now = p.water.sum(0)
    moved = (surface.exchange(strength) - now) * -np.expm1(-dt / surface.exchange_s)
    moved = np.clip(moved, -0.5 * now, np.maximum(p.brine - surface.film, 0.0))
    carried = np.where(moved > 0, moved / brine, 0.0)[None] * np.minimum(p.dissolved, _liquid(p, surface, brine))
    solute = p.solute.copy()
    if faces is None:
        solute[-1] += carried
    else:
        solute += faces[:, None, None] * carried[None]
    return replace(
        p,
        water=p.water * (1 + moved / now)[None],
        brine=p.brine - moved,
        solute=solute,
        dissolved=p.dissolved - carried,
    )


def _liquid(p: Pieces, surface: Surface, brine: Floats) -> Floats:
    """Solutes that are dissolved and not still dry, shape (K, M)."""
    if surface.saturated is None:
        return p.dissolved
    return np.minimum(p.dissolved, surface.saturated[:, None] * brine)


def pour(p: Pieces, saturated: Floats | None = None) -> Pieces:
    """Pour the brine away with what is in it; given the saturated strength of each solute (K,), what is still dry stays on."""
    liquid = p.dissolved
    if saturated is not None:
        bound = np.isfinite(saturated)  # only these can lie dry
        liquid = liquid.copy()
        liquid[bound] = np.minimum(liquid[bound], saturated[bound, None] * p.brine)
    return replace(
        p,
        brine=np.zeros_like(p.brine),
        dissolved=p.dissolved - liquid,
        poured=p.poured + liquid,
        poured_water=p.poured_water + p.brine,
    )


def add(p: Pieces, water: Floats, solutes: Floats) -> Pieces:
    """Put water and solutes beside the meat. [kg/kg], shapes (M,) and (K, M)"""
    return replace(p, brine=p.brine + water, dissolved=p.dissolved + solutes)


def pump(share: Floats, p: Pieces, water: Floats, solutes: Floats) -> Pieces:
    """Inject water and solutes into the meat, ``share`` of them into each cell (N,). [kg/kg], shapes (M,) and (K, M)"""
    return replace(
        p,
        water=p.water + share[:, None] * water[None],
        solute=p.solute + share[:, None, None] * solutes[None],
    )
