"""Growth or no growth: factors and their interaction in the one family that was fitted whole (Mejlholm and Dalgaard)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.ground.tables import toml_table
from ingle.physics import growth_factors as factors
from ingle.safety.conditions import Conditions

Floats = NDArray[np.float64]
FITTED = ("listeria", "lab")  # no other germ here has a whole set of this family
BOUNDARY = (0.9, 1.1)  # psi between these: at the boundary, whatever the rate says
_REFERENCE_C = 25.0


@dataclass(frozen=True)
class Interface:
    """Product of the factors, their joint distance psi and its factor xi; arrays of one shape."""

    gamma: Floats
    psi: Floats
    xi: Floats


def law(germ: str) -> dict[str, Any]:
    """Parameters of a germ in ``data/laws/growth.toml``."""
    return dict(toml_table("laws", "growth.toml")[germ])


def interface(germ: str, celsius: Floats, c: Conditions) -> Interface:
    """Factors and psi; ``celsius`` broadcasts against the arrays of ``c``. [C -> 1]

    Acids other than lactic and carbon dioxide in the pack are left out: each of them would slow growth.
    """
    p = law(germ)
    acid = toml_table("laws", "growth.toml")["acids"]
    held = factors.undissociated(c.lactate / acid["lactic_g_mol"], c.ph, acid["lactic_pka"]) / p["lactic_mic_mm"]
    temperature = factors.square_root(celsius, 1.0 / (_REFERENCE_C - p["t_min"]), p["t_min"])
    single = (
        factors.straight(c.aw, p["aw_min"], 1.0),
        np.clip(1.0 - 10.0 ** (p["ph_min"] - c.ph), 0.0, 1.0),
        factors.straight(p["phenol_max_mg_kg"] - c.phenol, 0.0, p["phenol_max_mg_kg"]),
        factors.straight(p["nitrite_max_mg_kg"] - c.nitrite, 0.0, p["nitrite_max_mg_kg"]) ** 2,
    )
    acids = np.clip(1.0 - held, 0.0, 1.0)
    gamma = temperature * acids
    for one in single:
        gamma = gamma * one
    distances = [factors.distance(temperature), *(factors.distance(one) for one in single), np.clip(held, 0.0, 1.0)]
    psi = factors.together(distances)
    return Interface(gamma, psi, factors.interaction(psi))


def told(psi: float) -> str:
    """Where a psi stands: ``growth``, ``at the boundary``, ``no growth in that model``."""
    return "growth" if psi < BOUNDARY[0] else "at the boundary" if psi < BOUNDARY[1] else "no growth in that model"
