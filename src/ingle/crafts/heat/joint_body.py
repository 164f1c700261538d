"""A piece as the march takes it: bodies and properties for all members of an ensemble."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.heat import laws
from ingle.crafts.heat.draw import Draws
from ingle.crafts.heat.joint import Joint, Sizes, aspect, density
from ingle.ground import units
from ingle.ground.tables import toml_table
from ingle.physics import heating, matter
from ingle.physics.heating import Body, Matter
from ingle.physics.matter_laws import Composition

Floats = NDArray[np.float64]

_GRID = np.arange(-40.0, 151.0, 2.0)  # [degC] of the tables
_HOTTER = np.arange(152.0, 301.0, 2.0)  # crusts: properties of 150 degC go on
_WATERS = np.array([-2.5, -1.25, 0.0, 1.25, 2.5])  # standard deviations of the water at which tables are made


def body_of(told: Sizes, draws: Draws, *, fine: bool, tray: bool) -> Body:
    """Bodies for all members; with ``tray`` the under side of a slab or box is a face of its own, "bottom"."""
    sd = float(toml_table("laws", "cooking.toml")["size"]["sd"])
    grow = np.maximum(1.0 + sd * draws.size, 0.7)
    if told.aspect_open:
        grow = grow * rounding(draws)
    t = told.thickness * grow
    if told.shape == "sphere":
        return heating.sphere(t, cells=24 if fine else 14)
    if told.shape == "cylinder":
        if told.length is None:
            return heating.cylinder(t, cells=(24 if fine else 14, 3))
        return heating.cylinder(t, told.length * np.ones_like(t), cells=(18, 14) if fine else (9, 6))
    sides = ("bottom", "top") if tray else ("", "face")
    if told.shape == "slab":
        return heating.slab(t, cells=(36 if tray else 24) if fine else (20 if tray else 14), sides=sides)
    assert told.width is not None and told.length is not None
    if told.aspect_open:  # the weight holds the volume: what the thickness takes, width and length give
        ratio = np.array([aspect(u) for u in draws.aspect])
        area = told.width * told.length / grow
        width = np.sqrt(area / ratio)
        length = area / width
    else:
        width, length = told.width * np.ones_like(t), told.length * np.ones_like(t)
    cells = (20 if tray else 12, 9, 8) if fine else (12 if tray else 7, 5, 4)
    return heating.box(length, width, t, cells=cells, sides=sides)


def rounding(draws: Draws) -> Floats:
    """Thickness to heat, of the thickest place, of a joint as it grew. [1]"""
    said = toml_table("laws", "cooking.toml")["rounding"]
    return np.asarray(said["low"] + (said["high"] - said["low"]) * draws.rounding)


def matter_of(joint: Joint, draws: Draws) -> Matter:
    """Properties for all members: by the numbers given, else from the part with the spread of its water and of the law.

    The pace of a member, what measured joints differ by beyond all that, stretches its whole course: it has as much more heat to give.
    """
    if joint.given:
        one = np.ones(draws.members)
        return heating.constant(one * (joint.conductivity or 0.0), one * (joint.density or 0.0) * (joint.specific_heat or 0.0))
    law = laws.matter()
    base = laws.composition(joint.part)
    sd = float(toml_table("laws", "cooking.toml")["water"]["sd"])
    rows = [matter.table(_wetter(base, sd * z), law, _GRID) for z in (_WATERS if draws.members > 1 else (0.0,))]
    k: Floats = np.array([r.conductivity for r in rows])
    h: Floats = np.array([r.enthalpy for r in rows])
    scatter = rows[0].scatter
    if draws.members > 1:
        at = np.clip((draws.water - _WATERS[0]) / (_WATERS[1] - _WATERS[0]), 0.0, _WATERS.size - 1.001)
        n = at.astype(int)
        part = (at - n)[:, None]
        h = (1.0 - part) * h[n] + part * h[n + 1]
        k = ((1.0 - part) * k[n] + part * k[n + 1]) * np.exp(scatter * draws.conductivity[:, None])
    if joint.conductivity is not None:
        k = np.full_like(k, joint.conductivity)
    if joint.density is not None:
        h = h * (joint.density / rows[0].mass_per_volume)
    if joint.specific_heat is not None:
        h = np.broadcast_to(density(joint) * joint.specific_heat * (_GRID - _GRID[0]), h.shape)
    if draws.pace.any():
        h = h * np.exp(float(toml_table("laws", "cooking.toml")["pace"]["sd"]) * draws.pace)[:, None]
    slope = (h[:, -1:] - h[:, -2:-1]) / (_GRID[-1] - _GRID[-2])
    h = np.concatenate([h, h[:, -1:] + slope * (_HOTTER - _GRID[-1])], axis=1)
    k = np.concatenate([k, np.repeat(k[:, -1:], _HOTTER.size, axis=1)], axis=1)
    return heating.tabled(np.concatenate([_GRID, _HOTTER]) + units.ZERO_CELSIUS_K, k, h)


def _wetter(base: Composition, more: float) -> Composition:
    """The same cut with more water and less fat, protein with the water; where there is no fat left to give, less protein."""
    water = float(np.clip(base.water + more, 0.05, 0.95))
    rest = 1.0 - base.carbohydrate - base.fibre - base.ash - base.salt
    protein = base.protein * water / base.water
    fat = rest - water - protein
    if fat < 0.0:
        protein, fat = max(rest - water, 0.0), 0.0
    return replace(base, water=water, protein=protein, fat=fat, freezing_c=None)
