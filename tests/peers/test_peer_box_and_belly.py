"""The engine against scikit-fem on its own cells: a box in a finite bath, and a belly in layers.

Trilinear and bilinear elements with lumped mass on the same cell edges, tissue by element, the bath as one more unknown, time by
a step of second order on the same times (Crank and Nicolson after four implicit steps). Half a per cent is allowed; what is
left between the two methods is their error in space.
"""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sp
import skfem
from pytest import approx
from scipy.sparse.linalg import splu

from ingle.physics import transport
from ingle.physics.transport import Bath, Field, box_grid, plane_grid, run

SIZE, D, BATH, WEEK = (0.10, 0.06, 0.05), 2.5e-10, 0.06, 7 * 86400.0
SHARE = 0.005


def solved(mesh, element, storage, k, wet, water, start, steps):
    """Body content and bath at the end. ``storage`` and ``k`` by element; ``wet`` marks the nodes in the bath."""
    basis = skfem.Basis(mesh, element)
    by = lambda values: np.broadcast_to(np.reshape(values, (-1, 1)), (mesh.nelements, basis.X.shape[-1]))  # noqa: E731
    stiff = skfem.BilinearForm(lambda u, v, w: w.k * sum(a * b for a, b in zip(u.grad, v.grad, strict=True)))
    mass = skfem.BilinearForm(lambda u, v, w: w.s * u * v)
    rest, n = np.flatnonzero(~wet), mesh.p.shape[1]
    onto = sp.lil_matrix((n, rest.size + 1))
    onto[rest, np.arange(rest.size)] = 1.0
    onto[wet, rest.size] = 1.0
    onto = onto.tocsr()
    body = np.asarray((onto.T @ mass.assemble(basis, s=by(storage)) @ onto).sum(axis=1)).ravel()
    held = body.copy()
    held[-1] += water
    flow = (onto.T @ stiff.assemble(basis, k=by(k)) @ onto).tocsc()
    c = np.zeros(rest.size + 1)
    c[-1] = start * water / held[-1]  # the wet nodes' own share is filled at once
    times = WEEK * (np.arange(steps + 1) / steps) ** 2
    for number, dt in enumerate(np.diff(times)):
        weight = 1.0 if number < 4 else 0.5
        right = held * c - (1 - weight) * dt * (flow @ c)
        c = splu((sp.diags(held) + weight * dt * flow).tocsc()).solve(right)
    return float(body @ c), float(c[-1])


@pytest.mark.parametrize("method", ["auto", "march"])
def test_a_box_in_a_finite_bath(method):
    cells = (14, 14, 18)
    grid = box_grid(SIZE, cells, wet=("right", "back", "top"), grade=12.0)
    volume = float(np.prod(SIZE))
    told = run(grid, Field(conductance=D), dict.fromkeys(("right", "back", "top"), Bath(BATH * volume, 1.0)), [0.0, WEEK],
               keep=False, tol=3e-4, method=method)  # fmt: skip
    mesh = skfem.MeshHex.init_tensor(*grid.edges)
    wet = (mesh.p >= np.array(SIZE)[:, None] - 1e-9).any(axis=0)
    body, bath = solved(mesh, skfem.ElementHex1(), 1.0 + np.zeros(mesh.nelements), D + np.zeros(mesh.nelements), wet, BATH * volume, 1.0, 60)
    assert told.body[-1] == approx(body, rel=SHARE)
    assert told.bath[-1, 0] == approx(bath, rel=SHARE)


def test_a_belly_in_layers():
    """Lean, fat, lean, fat, rind from the top down, brine above and at one end; water and D by layer (invented, of the usual size)."""
    layers = ((0.000, 0.010, 750.0, 1.0), (0.010, 0.016, 100.0, 0.2), (0.016, 0.030, 740.0, 1.0), (0.030, 0.037, 90.0, 0.2), (0.037, 0.040, 450.0, 1e-4))
    wide, high = 0.12, 0.040
    y = np.concatenate([np.linspace(a, b, 17)[:-1] for a, b, *_ in layers] + [[high]])
    x = transport.cell_edges(wide, 60, fine=("low",), grade=10.0)

    def at(middle, column):
        return np.select([(middle >= a) & (middle < b) for a, b, *_ in layers], [row[column] for row in layers])

    made = plane_grid((wide, high), (x.size - 1, y.size - 1))
    grid = transport.Grid(made.shape, (made.edges[0], x, y), *_tensor(x, y), made.sides)
    middle = (y[1:] + y[:-1]) / 2
    store, k = at(middle, 2), at(middle, 2) * at(middle, 3) * 3e-10
    bath = Bath(3.0, 0.30)
    told = run(grid, Field(np.broadcast_to(store, grid.shape), np.broadcast_to(k, grid.shape)), {"front": bath, "bottom": bath}, [0.0, WEEK],
               keep=False, tol=3e-4)  # fmt: skip
    mesh = skfem.MeshQuad.init_tensor(x, y)
    down = mesh.p[1, mesh.t].mean(axis=0)
    wet = (mesh.p[0] < 1e-9) | (mesh.p[1] < 1e-9)
    body, left = solved(mesh, skfem.ElementQuad1(), at(down, 2), at(down, 2) * at(down, 3) * 3e-10, wet, 3.0, 0.30, 80)
    assert told.body[-1] == approx(body, rel=SHARE)
    assert told.bath[-1, 0] == approx(left, rel=SHARE)


def _tensor(x, y):
    """Areas and volumes of a rectangle of one metre depth with its own edges."""
    dx, dy = np.diff(x), np.diff(y)
    area = (np.ones((2, dx.size, dy.size)) * dx[:, None] * dy, np.ones((1, x.size, 1)) * dy, dx[:, None] * np.ones((1, 1, y.size)))
    return area, (dx[:, None] * dy)[None]
