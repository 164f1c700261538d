"""The march of heated bodies against two other methods: the transport engine, and finite elements with SciPy's BDF.

Both solve the same equations with properties that change along temperature; scikit-fem also with radiation and vapour at the
face. Their own errors are measured by halving their cells.
"""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
import skfem
from pytest import approx
from scipy.integrate import solve_ivp

from ingle.physics import heating, transport

K, C, H, COLD, HOT = 0.45, 3.745e6, 25.0, 277.15, 383.15
T = np.arange(250.0, 460.1, 0.5)


def climbing_k(t):
    return 1.0 + 2e-3 * (t - COLD)


def climbing_c(t):
    return 1.0 + 1e-3 * (t - COLD)


MATTER = heating.tabled(T, K * climbing_k(T), C * ((T - 250.0) + 0.5e-3 * ((T - COLD) ** 2 - (250.0 - COLD) ** 2)))


def by_transport(grid, sides, times):
    field = transport.Field(
        storage=C, conductance=K, start=COLD, conductance_law=climbing_k, storage_law=climbing_c, law_range=(250.0, 460.0)
    )
    faces = {side: transport.film(H, HOT) for side in sides}
    watch = [transport.at_point(grid, tuple(0.0 for _ in grid.shape))]
    told = transport.run(grid, field, faces, times, watch=watch, keep=False, tol=2e-5)
    return told.watched[:, 0], told.body - told.body[0]


def test_a_short_cylinder_is_that_of_the_transport_engine():
    times = np.array([0.0, 2400.0, 5000.0, 8000.0])
    grid = transport.short_cylinder_grid(0.05, 0.10, (32, 24), wet=("side", "top"))
    core, stored = by_transport(grid, ("side", "top"), times)
    body = heating.cylinder(0.10, 0.20, cells=(32, 24))
    course = heating.run(body, MATTER, heating.begin(body, MATTER, COLD), heating.film(H, HOT), 8000.0, breaks=tuple(times[1:-1]), fineness=2.0)
    at = np.searchsorted(course.times, times - 1e-6)
    assert course.core[at[1:], 0] == approx(core[1:], abs=0.08)  # K, of 106: both have cells of 2 mm
    assert course.stored[at[1:], 0] == approx(2.0 * stored[1:], rel=1e-3)  # the grid is half of the cylinder


def test_a_box_is_that_of_the_transport_engine():
    times = np.array([0.0, 1500.0, 4000.0])
    grid = transport.box_grid((0.035, 0.055, 0.08), (12, 12, 10), wet=("right", "back", "top"))
    core, stored = by_transport(grid, ("right", "back", "top"), times)
    body = heating.box(0.16, 0.11, 0.07, cells=(12, 12, 10))
    course = heating.run(body, MATTER, heating.begin(body, MATTER, COLD), heating.film(H, HOT), 4000.0, breaks=(1500.0,), fineness=2.0)
    at = np.searchsorted(course.times, times - 1e-6)
    assert course.core[at[1:], 0] == approx(core[1:], abs=0.25)  # K: cells of 3 to 8 mm in both, at unlike places
    assert course.stored[at[1:], 0] == approx(8.0 * stored[1:], rel=3e-3)


def flux(t):
    """Film, radiation and a vapour that takes heat away, and the slope."""
    sigma = 0.9 * 5.67e-8
    steam = 60.0 * np.exp(0.05 * (t - 300.0))
    return 15.0 * (433.0 - t) + sigma * (433.0**4 - t**4) - steam, 15.0 + 4.0 * sigma * t**3 + 0.05 * steam


def by_elements(n, end):
    """Middle and face of a cylinder by quadratic elements along the radius. [K]"""
    mesh = skfem.MeshLine(np.linspace(0.0, 0.05, n + 1))
    basis = skfem.Basis(mesh, skfem.ElementLineP2(), intorder=6)
    r = basis.doflocs[0]
    outer, inner = int(np.argmax(r)), int(np.argmin(r))

    @skfem.BilinearForm
    def stiff(u, v, w):
        return w.x[0] * K * climbing_k(w.t) * u.grad[0] * v.grad[0]

    @skfem.BilinearForm
    def mass(u, v, w):
        return w.x[0] * C * climbing_c(w.t) * u * v

    def rate(_, y):
        t = basis.interpolate(y)
        load = -(stiff.assemble(basis, t=t) @ y)
        load[outer] += 0.05 * float(flux(y[outer])[0])
        return sp.linalg.spsolve(mass.assemble(basis, t=t).tocsc(), load)

    told = solve_ivp(rate, (0.0, end), np.full(r.size, COLD), "BDF", rtol=1e-6, atol=1e-5)
    return told.y[inner, -1], told.y[outer, -1]


def test_radiation_and_vapour_at_the_face_are_those_of_finite_elements():
    coarse, fine = by_elements(6, 4000.0), by_elements(12, 4000.0)
    own = np.abs(np.subtract(coarse, fine)).max()
    assert own < 0.02

    def outside(face, surface, time, lost):  # noqa: ARG001
        return heating.Flux(*flux(surface))

    body = heating.cylinder(0.10, cells=(40, 3))
    course = heating.run(body, MATTER, heating.begin(body, MATTER, COLD), outside, 4000.0, fineness=3.0)
    assert course.core[-1, 0] == approx(fine[0], abs=0.05)
    assert course.surface[-1, 0] == approx(fine[1], abs=0.05)
