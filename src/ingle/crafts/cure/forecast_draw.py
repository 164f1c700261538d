"""Members of the prior for a closed-form cure: one value each of everything that is not known exactly."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from ingle.crafts import _draws
from ingle.ground import tables, units
from ingle.ground.errors import OutOfRange
from ingle.ground.things import Piece
from ingle.physics.diffusivity import GAS_CONSTANT

MEMBERS = 512
KIND: dict[str, Literal["slab", "cylinder", "sphere"]] = {
    "slab": "slab",
    "box": "slab",
    "cylinder": "cylinder",
    "sphere": "sphere",
}


@dataclass(frozen=True)
class Ensemble:
    """Members of the prior: one value each of everything that is not known exactly. Arrays of shape (members,)."""

    diffusivity: NDArray[np.float64]  # [m2/s]
    path: NDArray[np.float64]  # [m]
    alpha: NDArray[np.float64]  # brine water / (K x meat water)
    water: NDArray[np.float64]  # water left in the meat, per green weight
    brine: NDArray[np.float64]  # liquid water in the box, per green weight
    taken: NDArray[np.float64]
    partition: NDArray[np.float64]


def law() -> dict[str, Any]:
    """The prior and constants of the forecast, with their sources."""
    return tables.toml_table("laws", "cure.toml")


@cache


@cache
def normal(count: int, dims: int) -> NDArray[np.float64]:
    """The same points as standard normal values."""
    inverse = NormalDist().inv_cdf
    return np.vectorize(inverse)(np.clip(_draws.uniform(count, dims), 1e-6, 1 - 1e-6))


def require_measured(piece: Piece) -> float:
    """The thickness [mm], or a refusal that says how to measure it."""
    if piece.thickness_mm is None:
        raise OutOfRange(
            "Thickness is missing: the forecast needs it.",
            field="thickness",
            value="not measured",
            limit="in mm",
            remedy="Push a skewer through the thickest place and measure that, in mm.",
        )
    return piece.thickness_mm


def ensemble(
    piece: Piece,
    temperature_c: float,
    *,
    temperature_sd_c: float | None = None,
    diffusivity: float | None = None,
    members: int = MEMBERS,
    pickle_water: float | None = None,
) -> Ensemble:
    """Draw the members for one piece.

    ``diffusivity`` [m2/s] fixes D and switches the ensemble off: one member, everything at its middle.
    ``pickle_water`` [1] is the water of an immersion per green weight; it stands in for the liquid of a dry cure.
    """
    prior = law()
    salt = prior["salt"]["lean"]
    low_c, high_c = salt["valid_c"]
    if not low_c <= temperature_c <= high_c:
        raise OutOfRange(
            f"temperature is {temperature_c:g} C; the forecast holds from {low_c:g} to {high_c:g} C"
            + (" and for no frozen piece." if temperature_c < low_c else "."),
            field="temperature",
            value=f"{temperature_c:g} C",
            limit=f"{low_c:g} to {high_c:g} C",
            remedy="Cure in a fridge at 1 to 4 C." if temperature_c > high_c else "Thaw the piece first.",
        )
    thickness = require_measured(piece)
    if not 3 <= thickness <= 400:
        raise OutOfRange(
            f"thickness is {thickness:g} mm; the forecast holds from 3 to 400 mm.",
            field="thickness",
            value=f"{thickness:g} mm",
            limit="3 to 400 mm",
            remedy="Push a skewer through the thickest place and measure that, in mm.",
        )
    half = KIND[piece.shape] != "slab" or piece.skin == "none"
    path = units.metres(thickness) / (2 if half else 1)
    if diffusivity is not None:
        z, u = np.zeros((1, 4)), np.full((1, 4), 0.5)
    else:
        z, u = normal(members, 7)[:, :4], _draws.uniform(members, 7)[:, 4:]
    sd = prior["temperature"]["value"] if temperature_sd_c is None else temperature_sd_c
    kelvin = np.clip(temperature_c + sd * z[:, 2], low_c, high_c) + units.ZERO_CELSIUS_K
    e_a = np.maximum(salt["e_a_j_mol"] + salt["e_a_sd_j_mol"] * z[:, 3], 0.0)
    d_ref = salt["d_ref_m2_s"] * np.exp(math.log(salt["spread_gsd"]) * z[:, 0])
    warmth = np.exp(-e_a / GAS_CONSTANT * (1 / kelvin - 1 / units.kelvin(salt["t_ref_c"])))
    brine, taken, partition = (
        prior[name]["low"] + (prior[name]["high"] - prior[name]["low"]) * u[:, column]
        for column, name in enumerate(("brine", "taken", "partition"))
    )
    water = prior["water"]["lean"]["value"] - brine
    if pickle_water is not None:
        brine, taken, water = (
            np.full_like(brine, pickle_water),
            np.ones_like(brine),
            np.full_like(brine, prior["water"]["lean"]["value"]),
        )
    return Ensemble(
        diffusivity=d_ref * warmth if diffusivity is None else np.array([diffusivity]),
        path=path * np.maximum(1 + prior["thickness"]["value"] * z[:, 1], 0.6),
        alpha=brine / (partition * water),
        water=water,
        brine=brine,
        taken=taken,
        partition=partition,
    )


def require_dose(dose: float, pickle_water: float | None = None) -> None:
    """A dose that can be: above nothing, and less than would lie dry for ever."""
    most = law()["salt"]["saturated"]["value"] * (law()["water"]["lean"]["value"] + (pickle_water or 0.0))
    if not dose > 0:
        raise OutOfRange(
            "No salt is given: there is nothing to forecast.",
            field="salt",
            value=f"{units.per_hundred(dose):g} %",
            limit="above 0 %",
            remedy="Give the salt: --add salt=50g.",
        )
    if dose > most:
        raise OutOfRange(
            f"salt is {units.show_fraction(dose, 1)} of the green weight, more than all water of the piece can dissolve.",
            field="salt",
            value=units.show_fraction(dose, 1),
            limit=units.show_fraction(most, 1),
            remedy="Check the weight of salt and of the piece.",
        )
