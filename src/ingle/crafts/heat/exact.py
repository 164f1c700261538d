"""The closed form, where a question is linear: constant numbers, one air that does not change, a plain film all round."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.heat.joint import Joint, Sizes
from ingle.crafts.heat.stage import LIQUID, Stage, fully_known
from ingle.physics import series
from ingle.physics.series_film import film_exposure_to
from ingle.physics.shapes import Box, Cylinder, Shape, Slab, Sphere

Floats = NDArray[np.float64]


def holds(joint: Joint, stages: tuple[Stage, ...]) -> bool:
    """Whether the whole question has a closed form."""
    if not joint.given or len(stages) != 1:
        return False
    (s,) = stages
    dry = fully_known(s) or (s.film is not None and s.kind in LIQUID)
    return dry and s.record is None and s.heat_up_s <= 0.0


def shape_of(told: Sizes) -> Shape:
    """The body by its closed-form name."""
    if told.shape == "slab":
        return Slab(told.thickness)
    if told.shape == "sphere":
        return Sphere(told.thickness / 2.0)
    if told.shape == "cylinder":
        return Cylinder(told.thickness / 2.0, told.length)
    assert told.width is not None and told.length is not None
    return Box(told.length, told.width, told.thickness)


def curves(joint: Joint, told: Sizes, stage: Stage, start_c: float, seconds: Floats) -> tuple[Floats, Floats, Floats]:
    """Core, mean and surface at times [s]. [degC]"""
    k, rho, cp = _numbers(joint)
    found = series.film_surface(
        shape_of(told), np.asarray(seconds, float) * (k / (rho * cp)), (stage.film or 0.0) / k, outside=stage.air_c + (stage.offset_c or 0.0), start=start_c
    )  # fmt: skip
    return found.core, found.mean, found.surface


def time_to_core(joint: Joint, told: Sizes, stage: Stage, start_c: float, core_c: float) -> float:
    """Seconds until the core is at a temperature; infinite where the air is not beyond it."""
    k, rho, cp = _numbers(joint)
    air = stage.air_c + (stage.offset_c or 0.0)
    if air == start_c:
        return math.inf
    return film_exposure_to(shape_of(told), (core_c - start_c) / (air - start_c), (stage.film or 0.0) / k) * rho * cp / k


def probe_curve(joint: Joint, told: Sizes, stage: Stage, start_c: float, seconds: Floats, place: float) -> Floats:
    """Temperature at a place of the thickness or radius (0 middle, 1 face), in the middle of the other ways. [degC]"""
    k, rho, cp = _numbers(joint)
    exposure, film = np.asarray(seconds, float) * (k / (rho * cp)), (stage.film or 0.0) / k
    left = np.ones_like(exposure)
    for i, (kind, path) in enumerate(shape_of(told).factors):
        fo = exposure / path**2
        if i == 0:
            left = left * (1.0 - series.film_profile(kind, fo, film * path, np.array([place]))[..., 0])
        else:
            left = left * (1.0 - series.film(kind, fo, film * path)[1])
    air = stage.air_c + (stage.offset_c or 0.0)
    return np.asarray(air + (start_c - air) * left)


def _numbers(joint: Joint) -> tuple[float, float, float]:
    assert joint.conductivity is not None and joint.density is not None and joint.specific_heat is not None
    return joint.conductivity, joint.density, joint.specific_heat
