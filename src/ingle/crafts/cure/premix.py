"""Small doses made weighable: curing salt thinned with plain salt beforehand."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ingle.crafts.cure.mix import CuringSalt
from ingle.ground import units

# A step coarser than this share of the dose is not a dose (notes of this project: scale's step under about 5 %).
COARSEST = 0.05
_PARTS = (5, 10, 20)


@dataclass(frozen=True)
class Premix:
    """How to make and use a thinned curing salt."""

    curing_salt_g: float
    salt_g: float
    strength: CuringSalt
    dose_g: float
    plain_salt_g: float
    step_g: float
    label: str
    mixing: str


def too_coarse(dose_g: float, step_g: float) -> bool:
    """True when one step of the scale is more than 5 % of the dose."""
    return dose_g > 0 and step_g > COARSEST * dose_g + 1e-12


def premix(dose_g: float, packet: CuringSalt, total_salt_g: float, step_g: float) -> Premix | None:
    """A premix that a scale of this step can dose, or None when no thinning serves.

    Parameters
    ----------
    dose_g : float
        Curing salt that the piece needs, unrounded [g].
    total_salt_g : float
        All salt the piece is to get [g]: the premix may not bring more.
    step_g : float
        Step of the scale [g].
    """
    for parts in _PARTS:
        strength = CuringSalt(packet.nitrite / parts, packet.nitrate / parts, packet.nitrite_as, packet.nitrate_as)
        exact = dose_g * parts
        use = math.floor(exact / step_g + 1e-9) * step_g
        if too_coarse(exact, step_g) or use * strength.salt > total_salt_g:
            continue
        batch = math.ceil(max(20 * step_g, 1.5 * dose_g, 10) / step_g - 1e-9) * step_g
        plain = math.ceil((total_salt_g - use * strength.salt) / step_g - 1e-9) * step_g
        made = batch * (parts - 1)
        return Premix(
            curing_salt_g=batch,
            salt_g=made,
            strength=strength,
            dose_g=use,
            plain_salt_g=max(plain, 0.0),
            step_g=step_g,
            label=(
                f"NITRITE PREMIX, {units.show_fraction(strength.nitrite, 3)} sodium nitrite. Poison if used as table salt. "
                "Keep locked, out of reach of children. Date: ______"
            ),
            mixing=(
                f"Mix {units.show_mass(batch, step_g)} curing salt with {units.show_mass(made, step_g)} fine salt of the same grain: "
                "close the jar, turn it over for three minutes, and again before each use, since grains part on standing."
            ),
        )
    return None
