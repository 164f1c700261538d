"""The transport engine against scikit-fem: one uneven cross-section by finite elements, another method altogether.

Bilinear elements, lumped mass, tissue by element, the bath as one more unknown; time by scipy's BDF. Both meshes
are fine; what is left between them is the elements' own error, which the test measures by halving them.
"""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
import skfem
from pytest import approx
from scipy.integrate import solve_ivp

from ingle.physics.transport import Bath, Field, plane_grid, run

WIDE, HIGH, WATER, END = 0.06, 0.03, 0.25, 2.0e5


def tissue(x, y):
    """Water, conductance and loss at a place: a wavy band of fat in lean, weaker towards one end. [SI]"""
    fat = (y > 0.012) & (y < 0.020)
    water = np.where(fat, 100.0, 750.0 - 4000.0 * x)
    return water, np.where(fat, 0.2, 1.0) * water * 3e-10, np.where(fat, 0.0, 6e-7)


def by_elements(nx, ny):
    """Bath potential at the end: bath on the left and the top, the rest sealed."""
    mesh = skfem.MeshQuad.init_tensor(np.linspace(0, WIDE, nx + 1), np.linspace(0, HIGH, ny + 1))
    basis = skfem.Basis(mesh, skfem.ElementQuad1())
    middle = mesh.p[:, mesh.t].mean(axis=1)
    water, k, loss = (v[:, None] * np.ones(basis.X.shape[-1]) for v in tissue(*middle))
    stiff = skfem.BilinearForm(lambda u, v, w: w.k * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1])).assemble(
        basis, k=k)
    mass = skfem.BilinearForm(lambda u, v, w: w.s * u * v).assemble(basis, s=water)
    decay = skfem.BilinearForm(lambda u, v, w: w.s * u * v).assemble(basis, s=water * loss)
    wet = (mesh.p[0] < 1e-9) | (mesh.p[1] > HIGH - 1e-9)
    rest, n = np.flatnonzero(~wet), mesh.p.shape[1]
    onto = sp.lil_matrix((n, rest.size + 1))
    onto[rest, np.arange(rest.size)] = 1.0
    onto[wet, rest.size] = 1.0
    onto = onto.tocsr()
    held = np.asarray((onto.T @ mass @ onto).sum(axis=1)).ravel()
    held[-1] += WATER
    lost = np.asarray((onto.T @ decay @ onto).sum(axis=1)).ravel()
    matrix = (sp.diags(1.0 / held) @ (-(onto.T @ stiff @ onto) - sp.diags(lost))).tocsc()
    start = np.zeros(rest.size + 1)
    start[-1] = 0.3 * WATER / held[-1]
    return solve_ivp(lambda _, y: matrix @ y, (0, END), start, "BDF", jac=matrix, rtol=1e-6, atol=1e-9).y[-1, -1]


def by_cells(nx, ny):
    grid = plane_grid((WIDE, HIGH), (nx, ny))
    x, y = grid.centres
    water, k, loss = tissue(x[:, None], y[None, :])
    loss = np.broadcast_to(loss, water.shape)
    bath = Bath(WATER, 0.3)
    return run(grid, Field(water, k, loss), {"front": bath, "top": bath}, [0.0, END]).bath[-1, 0]


def test_an_uneven_section_agrees_with_finite_elements():
    coarse, fine = by_elements(60, 60), by_elements(120, 120)
    cells = by_cells(120, 120)
    left = abs(fine - coarse)  # second order: about three times the error of the finer elements
    assert left < 1.5e-3
    assert cells == approx(fine, abs=max(left, 2e-4))
