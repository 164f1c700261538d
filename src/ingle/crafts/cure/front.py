"""Salt across a piece at one hour, with its band: the front as it moves in. The same members and closed forms as the forecast.

Profiles depend on the Fourier number, the bath and (while dry salt lasts) its reach alone, not on thickness, warmth or
days: they are worked out once at a few nodes of those, kept, and read between them, so that a slider can be dragged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure.forecast_curves import other_ways, per_100g
from ingle.crafts.cure.forecast_draw import KIND, Ensemble, ensemble, law, require_dose
from ingle.ground import units
from ingle.ground.spread import median, quantiles
from ingle.ground.things import Piece
from ingle.physics.series_bath import bath_profile
from ingle.physics.series_excess import excess_profile
from ingle.physics.series_table import chebyshev_nodes, lagrange
from ingle.physics.shapes import Kind

PLACES = 25  # from the middle to the face
FRONT_MEMBERS = 128
NUMBERS = 72  # Fourier numbers of a table, even in their root
ALPHAS, REACHES = 4, 4
FOURIER_END = 3.6  # all is even to 2e-4 by then, in the largest bath too (slab; rounder bodies sooner)
SPAN = 1.1

Array = NDArray[np.float64]

_FOURIER = FOURIER_END * np.linspace(0, 1, NUMBERS) ** 2
_AT = np.linspace(0.0, 1.0, PLACES)  # middle to face


@dataclass(frozen=True)
class Front:
    """Salt at depths across the piece, from the first face to the last. [mm], [g per 100 g of tissue]"""

    hours: float
    depth_mm: Array
    low: Array
    likely: Array
    high: Array
    even: float  # where it will end, likely
    rind: bool  # the last face is a rind: nothing comes in there


def front(piece: Piece, dose: float, temperature_c: float, hours: float, *, members: int = FRONT_MEMBERS) -> Front | None:
    """Salt across a slab, cylinder or sphere after some hours of a dry cure.

    Parameters
    ----------
    dose : float
        All salt put on, per green weight without skin [1].
    hours : float
        From the start of the cure. [h]

    Returns
    -------
    Front or None
        None for a body whose sides are measured: no single line across it tells it.

    Notes
    -----
    Core and face are those of `forecast.curves` to 3 % of the final salt (tested); bands of 128 members.
    """
    require_dose(dose)
    if other_ways(piece):
        return None
    kind = KIND[piece.shape]
    drawn = ensemble(piece, temperature_c, members=members)
    final, top, reach = _ends(drawn, dose)
    held = _read(drawn, units.seconds(hours), _table(kind, dose, members)) * np.where(reach > 0, top, final)[:, None]
    marks = quantiles(np.maximum(per_100g(held, drawn.water), 0.0))
    depth, turned = _across(piece, kind, marks)
    rind = kind == "slab" and piece.skin != "none"
    return Front(hours, depth, turned[0], turned[1], turned[2], float(median(per_100g(final, drawn.water))), rind)


def _ends(drawn: Ensemble, dose: float) -> tuple[Array, Array, Array]:
    """Even end and saturation [g/g of water], and how far the dry salt reaches; of every member."""
    top = law()["salt"]["saturated"]["value"] * drawn.partition
    per_water = dose * drawn.taken / drawn.water
    return per_water / (1 + drawn.alpha), top, per_water / top - drawn.alpha


@lru_cache(maxsize=48)
def _table(kind: Kind, dose: float, members: int) -> Array:
    """Profiles of all members along the root of the Fourier number, shape (members, numbers, places).

    What is known of a member here (bath, water, dose taken) does not hang on the piece: a made-up one draws the same.
    """
    drawn = ensemble(Piece(1000.0, 50.0), 4.0, members=members)
    _, _, reach = _ends(drawn, dose)
    found = np.empty((members, NUMBERS, PLACES))
    dry = reach > 0
    if (~dry).any():
        alphas, told = _wet(kind, members)
        found[~dry] = np.tensordot(lagrange(alphas, drawn.alpha[~dry]), told, axes=1)
    if dry.any():
        alphas, reaches, told = _dry(kind, math.floor(math.log(dose) / math.log(SPAN)), members)
        weights = np.einsum("ma,mr->mar", lagrange(alphas, drawn.alpha[dry]), lagrange(reaches, reach[dry]))
        found[dry] = np.tensordot(weights, told, axes=2)
    return found


@cache
def _wet(kind: Kind, members: int) -> tuple[Array, Array]:
    """Nodes of the bath and the profiles there, for members on which no dry salt lies."""
    drawn = ensemble(Piece(1000.0, 50.0), 4.0, members=members)
    alphas = chebyshev_nodes(float(drawn.alpha.min()), float(drawn.alpha.max()), ALPHAS)
    return alphas, np.stack([bath_profile(kind, _FOURIER, np.array(a), _AT) for a in alphas])


@lru_cache(maxsize=32)
def _dry(kind: Kind, span: int, members: int) -> tuple[Array, Array, Array]:
    """Nodes of bath and reach and the profiles there, for all doses of a span of ten per cent: a slider mostly stays in one."""
    drawn = ensemble(Piece(1000.0, 50.0), 4.0, members=members)
    least, most = (_ends(drawn, SPAN**power)[2] for power in (span, span + 1))
    alphas = chebyshev_nodes(float(drawn.alpha.min()), float(drawn.alpha.max()), ALPHAS)
    reaches = chebyshev_nodes(max(float(least.min()), 0.0), float(most.max()), REACHES)
    return alphas, reaches, np.stack([np.stack([excess_profile(kind, _FOURIER, float(a), float(r), _AT) for r in reaches]) for a in alphas])


def _read(drawn: Ensemble, seconds: float, table: Array) -> Array:
    """Every member's profile at its own Fourier number, shape (members, places)."""
    root = np.sqrt(np.clip(drawn.diffusivity * seconds / drawn.path**2 / FOURIER_END, 0, 1)) * (NUMBERS - 1)
    left = np.minimum(root.astype(int), NUMBERS - 2)
    share = (root - left)[:, None]
    rows = np.arange(len(left))
    return table[rows, left] * (1 - share) + table[rows, left + 1] * share


def _across(piece: Piece, kind: Kind, marks: list[Array]) -> tuple[Array, list[Array]]:
    """From middle-to-face to the whole way across; a rind's face is the middle of a piece twice as thick."""
    at = _AT
    thickness = float(piece.thickness_mm or 0.0)
    if kind == "slab" and piece.skin != "none":
        return thickness * (1 - at[::-1]), [m[::-1] for m in marks]
    half = thickness / 2 * (1 - at[::-1])
    return np.concatenate((half, thickness - half[-2::-1])), [np.concatenate((m[::-1], m[1:])) for m in marks]
