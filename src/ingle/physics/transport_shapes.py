"""The bundles of arrays that go between the public face of the engine and its kernels. No behaviour."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]


class Mesh(NamedTuple):
    """Face areas across each axis [m2] and half widths along it [m]."""

    area_x: Floats
    area_y: Floats
    area_z: Floats
    half_x: Floats
    half_y: Floats
    half_z: Floats


class Rim(NamedTuple):
    """Outer faces that are not sealed."""

    cell: Whole
    axis: Whole
    pool: Whole
    area: Floats  # [m2]
    half: Floats  # of the cell behind [m]
    resistance: Floats  # 1 / transfer


class Pools(NamedTuple):
    """Reservoirs: water 0 is a held one, whose value follows its record."""

    water: Floats
    content: Floats
    saturated: Floats
    times: Floats
    values: Floats
    first: Whole


class Tissue(NamedTuple):
    """Cells, three-dimensional arrays; laws by material, equally spaced from low to high."""

    storage: Floats  # storage x volume, 0 outside the body
    conductance: Floats
    loss: Floats  # [1/s]
    source: Floats  # source x volume
    start: Floats
    material: Whole
    conductance_law: Floats  # (materials, points), or (0, 0): none
    content_law: Floats  # integral of the storage law, or (0, 0): none
    low: float
    high: float


class Clock(NamedTuple):
    """Factors on conductance and loss along time, with their integrals from the first point on."""

    times: Floats
    conductance: Floats
    conductance_sum: Floats
    loss: Floats
    loss_sum: Floats


class Watch(NamedTuple):
    """Rows of a sparse matrix: each row is one watched value."""

    first: Whole
    cell: Whole
    weight: Floats


class Plan(NamedTuple):
    """How to march: output times, times that must be met, fixed step ends, targets."""

    times: Floats
    stops: Floats
    fixed: Floats
    target: float  # error allowed in one step, in potential
    slack: float  # by how much the maximum principle may be missed
    exact: float  # residual left by the linear solver, in potential
    first_step: float


class Out(NamedTuple):
    """What is written down at the output times."""

    values: Floats
    baths: Floats
    accounts: Floats  # body, lost, made
    watched: Floats
    tally: Floats  # (8,) running sums, see `transport_march.march`
    counts: Whole  # steps, refusals, fallbacks, turns, assemblies
