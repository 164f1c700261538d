"""Air that leaves its cold and comes back, and how a piece follows it by its own size."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.crafts.heat import laws
from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.flesh import lean_density
from ingle.ground.tables import toml_table
from ingle.ground.things import Piece
from ingle.physics import matter
from ingle.physics.following import follow
from ingle.physics.shapes import Box, Cylinder, Shape, Slab, Sphere

Floats = NDArray[np.float64]
_SHORTEST_H = 0.1  # a fridge that is a box without walls


@dataclass(frozen=True)
class Pace:
    """How fast air moves: time constants towards the room and back to the cold. [h]"""

    fails_h: float
    returns_h: float


def paces(hours: float, cold_c: float, room_c: float, found_c: float | None = None) -> tuple[Pace, Pace]:
    """The slow (colder) and the fast (warmer) end of a fridge that fails for some hours.

    Parameters
    ----------
    found_c : float, optional
        What a thermometer in the fridge read on return: the time constant that leads there, with the error of the reading. [C]

    Raises
    ------
    OutOfRange
        A room that is not warmer than the fridge; a reading that is not between the two.
    """
    said = toml_table("laws", "outage.toml")
    slow_back, fast_back = float(said["returns"]["high"]), float(said["returns"]["low"])
    if not room_c > cold_c:
        raise OutOfRange(
            f"The room, {room_c:g} C, is not warmer than the fridge, {cold_c:g} C.", field="room", value=f"{room_c:g} C",
            limit=f"above {cold_c:g} C", remedy="Check both; a fridge at 39 is most likely in F: write 39F.",
        )  # fmt: skip
    if found_c is None:
        return Pace(float(said["fails"]["high"]), fast_back), Pace(float(said["fails"]["low"]), slow_back)
    error = float(said["reading"]["value"])
    if not cold_c - error <= found_c <= room_c + error:
        raise OutOfRange(
            f"The fridge was found at {found_c:g} C, and stands between {cold_c:g} and {room_c:g} C.", field="found",
            value=f"{found_c:g} C", limit=f"{cold_c:g} to {room_c:g} C", remedy="Check the room, the fridge and the reading; F is written 57F.",
        )  # fmt: skip

    def constant(read: float) -> float:
        left = (room_c - read) / (room_c - cold_c)
        if left >= 1.0:
            return math.inf
        return max(hours / -math.log(left), _SHORTEST_H) if left > 0.0 else _SHORTEST_H

    return Pace(constant(found_c - error), fast_back), Pace(constant(found_c + error), slow_back)


def failing(hours: Floats, lasts_h: float, cold_c: Floats, room_c: float, pace: Pace) -> Floats:
    """Air of a fridge at hours since it failed; after ``lasts_h`` it runs again. Shape as ``hours``. [C]"""
    up = _share(np.clip(hours, 0.0, lasts_h), pace.fails_h)
    down = np.exp(-np.maximum(hours - lasts_h, 0.0) / pace.returns_h)
    return np.asarray(np.where(hours <= 0.0, cold_c, cold_c + (room_c - cold_c) * up * down))


def _share(hours: Floats, constant: float) -> Floats:
    return np.zeros_like(hours) if math.isinf(constant) else 1.0 - np.exp(-hours / constant)


def film_of(situation: str, end: str) -> float:
    """Film of a situation at its "low" or "high" end. [W/m2K]"""
    return float(getattr(laws.film(situation), end))


def shape_of(piece: Piece) -> tuple[Shape, str]:
    """The body heat sees, all faces open (a rind lets heat through), and what was assumed. A flat piece of a known weight has edges."""
    if piece.thickness_mm is None:
        raise OutOfRange(
            "Thickness is missing: how fast a piece warms hangs on it.", field="thickness", value="missing", limit="like 52mm",
            remedy="Push a skewer through the thickest place and measure that, in mm.",
        )  # fmt: skip
    t = units.metres(piece.thickness_mm)
    width, length = (None if s is None else units.metres(s) for s in (piece.width_mm, piece.length_mm))
    if piece.shape == "sphere":
        return Sphere(t / 2.0), ""
    if piece.shape == "cylinder":
        return Cylinder(t / 2.0, length), "" if length else "its ends are left out: no length was given"
    if width and length:
        return Box(max(width, length), min(width, length), t), ""
    side = math.sqrt(units.kilograms(piece.weight_g) / lean_density() / t)
    if side < t:
        return Slab(t), "its edges are left out: weight and thickness make no flat piece"
    return Box(side, side, t), f"{units.millimetres(side):.0f} x {units.millimetres(side):.0f} mm the other ways, from the weight"


def depths_of(piece: Piece, depths: ArrayLike) -> Floats:
    """Places of heat (0 middle, 1 face) of the places of salt (0 core, 1 wet face); under a rind salt goes the whole way."""
    r = np.asarray(depths, float)
    return np.abs(2.0 * r - 1.0) if piece.skin == "one-face" and piece.shape in ("slab", "box") else r


def temperatures(
    piece: Piece, step_s: float, air_c: Floats, depths: ArrayLike, film: float, start_c: float, part: str = "lean-pork",
) -> Floats:  # fmt: skip
    """Temperature at depths of a piece (0 core, 1 wet face) along air that moves, shape (depths, n). [C]

    Properties of lean pork at 10 C, unfrozen; vapour that cools the face is left out, which errs to warm.
    """
    law, comp = laws.matter(), laws.composition(part)
    k = float(matter.conductivity(comp, law, 10.0))
    diffusivity = k / (float(matter.density(comp, law, 10.0)) * float(matter.specific_heat(comp, law, 10.0)))
    return follow(
        shape_of(piece)[0], step_s, air_c, diffusivity=diffusivity, conductance=film / k, start=start_c, places=depths_of(piece, depths),
    )  # fmt: skip
