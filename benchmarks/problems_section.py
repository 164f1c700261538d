"""A drawn belly through six stages, and one solute of it beside FiPy on the same cells. Nothing here is advice."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure import section_body, section_history, section_map
from ingle.crafts.cure.history_stage import Stage
from ingle.crafts.cure.mix import mix
from ingle.crafts.cure.section import RIND
from ingle.crafts.cure.section_history import SectionTold
from ingle.jobs.section import drawing
from ingle.physics import transport

Floats = NDArray[np.float64]
ACROSS, DOWN = 96, 48
SIX = (  # 14 days
    Stage("rub", 7 * 24.0, add=mix({"salt": "24g", "curing-salt@6.25%": "1.9g", "saltpetre": "0.2g", "sugar": "10g"})),
    Stage("rinse", 5 / 60, 8.0), Stage("soak", 1.0, 8.0), Stage("rest", 48.0), Stage("smoke", 8.0, 15.0),
    Stage("dry", 14 * 24.0 - 7 * 24.0 - 5 / 60 - 57.0, 12.0, humidity=0.8),
)  # fmt: skip
DAYS, BRINE, D = 14.0, 0.0638, 3.0e-10  # brine of 6 %: salt per water
WIDE_OPEN = 1e6  # of the brine's cells over lean, where brine is drawn as cells


def belly_history() -> SectionTold:
    """Four solutes and water, conductances that follow the water: 1 kg of the shipped belly without its rind."""
    return section_history.run(drawing("belly"), 1000.0, SIX, across=ACROSS, down=DOWN)


def belly() -> section_body.Body:
    """The belly on its cells."""
    return section_body.body_of(section_map.tissue_map(drawing("belly"), ACROSS, DOWN))


def salt_alone(body: section_body.Body, tol: float = 1e-3) -> Floats:
    """Salt per water after 14 days in as much 6 % brine as the piece weighs, water at rest, by the engine. Shape (N,)"""
    storage = body.water * body.mass / body.found.cell_m2
    field = transport.Field(storage=body.field(storage, 1.0), conductance=body.field(storage * body.pace * D, 0.0))
    bath = transport.Bath(body.mass * (1 - BRINE / (1 + BRINE)), start=BRINE)
    told = transport.run(body.grid, field, {"wet": bath}, [0.0, DAYS * 86400.0], tol=tol, keep=False)
    return np.asarray(told.state.values, float).ravel()[body.at]


def salt_by_fipy(body: section_body.Body, steps: int = 100) -> Floats:
    """The same by FiPy: implicit Euler on the same cells, the brine drawn as a frame of cells that pass all but at once. Shape (N,)"""
    from fipy import CellVariable, DiffusionTerm, Grid2D, TransientTerm  # a peer that may not be there

    rows, columns = body.found.shape
    height, width = body.found.size_m
    mesh = Grid2D(dx=width / columns, dy=height / rows, nx=columns + 2, ny=rows + 1)
    storage = body.water * body.mass / body.found.cell_m2
    pad = ((1, 0), (1, 1))  # brine above, left and right, but not beside the rind
    brine = np.pad(np.zeros((rows, columns)), pad, constant_values=1.0) > 0
    brine[np.flatnonzero((body.found.tissue == RIND).all(axis=1)) + 1] = False
    lets = np.where(brine, WIDE_OPEN * float(storage.max()) * D, np.pad(body.field(storage * body.pace * D, 0.0), pad))
    bath = body.mass * (1 - BRINE / (1 + BRINE)) / body.found.cell_m2 / brine.sum()
    held = np.where(brine, bath, np.pad(body.field(storage, 1.0), pad, constant_values=1.0))
    salt = CellVariable(mesh=mesh, value=(BRINE * brine).ravel())
    conductance = CellVariable(mesh=mesh, value=np.maximum(lets, 1e-40).ravel())
    equation = TransientTerm(coeff=CellVariable(mesh=mesh, value=held.ravel())) == DiffusionTerm(coeff=conductance.harmonicFaceValue)
    times = DAYS * 86400.0 * np.linspace(0.0, 1.0, steps + 1) ** 2
    for dt in np.diff(times):
        equation.solve(var=salt, dt=float(dt))
    return np.asarray(salt.value).reshape(rows + 1, columns + 2)[1:, 1:-1].ravel()[body.at]
