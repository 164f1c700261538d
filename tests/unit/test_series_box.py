"""The box in a finite bath: against independent finite volumes, and by superposition of its own steps."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx
from scipy import sparse
from scipy.integrate import solve_ivp

from ingle.physics import series
from ingle.physics.series_product import product_bath, product_excess
from ingle.physics.shapes import KINDS, Box

# --- the box with a bath -----------------------------------------------------------------------------------

RINDED = Box(0.200, 0.120, 0.050, sealed=("one-large-face",))
D, WEEK, ALPHA = 2.5e-10, 7 * 86400.0, 0.06


def graded(length, cells):
    """Cell sizes from the sealed side on, finer to the wet face; twice the cells halve every one."""
    return np.diff(length * (1.0 - (1.0 - np.linspace(0.0, 1.0, cells + 1)) ** 2.2))


def to_core(h):
    """Weights of the first cells for the value at the plane of symmetry, for an even function."""
    near, next_one = h[0] / 2.0, h[0] + h[1] / 2.0
    w = np.zeros(h.size)
    w[:2] = np.array([next_one**2, -(near**2)]) / (next_one**2 - near**2)
    return w


def three_directions(cells, times):
    """Quarter of the rinded box by finite volumes in x, y, z with one bath, scipy's BDF and sparse LU."""
    sizes = [graded(L, cells) for _, L in RINDED.factors]
    operators, feeds = [], []
    for h in sizes:
        g = 1.0 / (0.5 * (h[1:] + h[:-1]))
        main = np.zeros(h.size)
        main[:-1] -= g
        main[1:] -= g
        main[-1] -= 2.0 / h[-1]
        operators.append(sparse.diags([g / h[1:], main / h, g / h[:-1]], [-1, 0, 1]))
        feed = np.zeros(h.size)
        feed[-1] = 2.0 / h[-1] ** 2
        feeds.append(feed)
    eye, ones = [sparse.identity(h.size) for h in sizes], [np.ones(h.size) for h in sizes]
    A, b = 0.0, 0.0
    for d in range(3):
        parts = [operators[k] if k == d else eye[k] for k in range(3)]
        A = A + D * sparse.kron(sparse.kron(parts[0], parts[1]), parts[2])
        b = b + D * np.einsum("i,j,k", *[feeds[k] if k == d else ones[k] for k in range(3)]).ravel()
    share = np.einsum("i,j,k", *[h / h.sum() for h in sizes]).ravel()
    out = share * b / ALPHA
    J = sparse.bmat([[A, b[:, None]], [out[None, :], np.array([[-out.sum()]])]], format="csc")
    y = np.zeros(share.size + 1)
    y[-1] = (1.0 + ALPHA) / ALPHA
    run = solve_ivp(lambda _, u: J @ u, (0, times[-1]), y, method="BDF", jac=J, t_eval=times, rtol=1e-5, atol=1e-6)
    core = np.einsum("i,j,k", *[to_core(h) for h in sizes]).ravel()
    return share @ run.y[:-1], core @ run.y[:-1], run.y[-1]


def test_box_with_bath_is_that_of_finite_volumes():
    """Five wet faces, one rind, bath 6 % of the piece, day 1 to 7, in units of the even end.

    Second order: halving all cells leaves a third of the change as error of the finer grid, and Richardson's
    extrapolation takes most of that. Defended tolerance for mean and bath: a tenth of that third. The core lies
    where the cells are largest (25 and 12 mm on 100 mm), not yet in that order: there the whole change.
    """
    times = np.linspace(0.0, WEEK, 8)[1:]
    coarse, fine = three_directions(6, times), three_directions(12, times)
    told = series.finite_bath(RINDED, D * times, ALPHA, bath=(1.0 + ALPHA) / ALPHA)
    for ours, rough, smooth in ((told.mean, coarse[0], fine[0]), (told.surface, coarse[2], fine[2])):
        third = (smooth - rough) / 3.0
        assert np.abs(third).max() < 0.01 * smooth.max()
        assert np.abs(ours - (smooth + third)).max() < 0.1 * np.abs(third).max()
    change = np.abs(fine[1] - coarse[1]).max()
    assert change < 0.02
    assert np.abs(told.core - fine[1]).max() < change


def test_core_of_a_box_is_the_superposition_of_its_steps():
    """Duhamel's sum over 4,000 small falls of the bath, with the step series written out here anew."""
    X = np.linspace(0.0, D * WEEK, 4001)
    bath = series.finite_bath(RINDED, X, ALPHA, bath=1.0).surface
    n = np.arange(60)
    k = (n + 0.5) * math.pi
    since = X[-1] - 0.5 * (X[1:] + X[:-1])
    left, first = 1.0, 1.0
    for _, path in RINDED.factors:
        left = left * (np.exp(-np.outer(since / path**2, k**2)) @ (2.0 * (-1.0) ** n / k))
        first = first * (np.exp(-(k**2) * X[-1] / path**2) @ (2.0 * (-1.0) ** n / k))
    by_steps = bath[0] * (1.0 - first) + np.diff(bath) @ (1.0 - left)
    told = series.finite_bath(RINDED, X[-1:], ALPHA, bath=1.0).core[0]
    assert told == approx(by_steps, rel=1e-4)  # midpoint steps; the steep first one is 1/4000 of the week


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("alpha", [0.02, 0.06, 2.0])
def test_volterra_collocation_gives_what_the_roots_give(kind, alpha):
    fourier = np.linspace(0.0, 1.5, 76)[1:]
    for ours, exact in zip(product_bath([(kind, 1.0)], fourier, alpha), series.bath(kind, fourier, alpha), strict=True):
        assert np.abs(ours - exact).max() < 1e-6 * max(1.0, exact.max())
    ours, switch = product_excess([(kind, 1.0)], fourier, alpha, 0.3)
    assert switch == approx(float(series.switch_fourier(kind, 0.3)), rel=1e-10)
    for a, b in zip(ours, series.excess(kind, fourier, alpha, 0.3), strict=True):
        assert np.abs(a - b).max() < 1e-6


def test_box_result_does_not_move_with_more_terms():
    X = D * np.linspace(0.0, WEEK, 101)[1:]
    few, many = (product_bath(RINDED.factors, X, ALPHA, nodes=n) for n in (24, 64))
    assert max(np.abs(a - b).max() for a, b in zip(few, many, strict=True)) < 1e-6
    chosen = product_bath(RINDED.factors, X, ALPHA)
    assert max(np.abs(a - b).max() for a, b in zip(chosen, many, strict=True)) < 1e-10


def test_box_members_go_as_one_by_one():
    paths, alpha = np.array([0.04, 0.05, 0.06]), np.array([0.05, 0.06, 0.08])
    X = np.array([2e-10, 3e-10, 4e-10])[:, None] * np.linspace(1e4, WEEK, 9)
    together = product_bath((("slab", 0.1), ("slab", paths[:, None])), X, alpha[:, None])
    for i in range(3):
        alone = product_bath((("slab", 0.1), ("slab", paths[i])), X[i], alpha[i])
        for a, b in zip(together, alone, strict=True):
            assert a[i] == approx(b, abs=1e-9)


def test_box_is_ready_when_its_curves_say_so():
    X = series.ready_exposure_product(RINDED.factors, ALPHA, criterion="even", at=0.9)[0]
    told = series.finite_bath(RINDED, X, ALPHA)
    assert told.core / told.mean == approx(0.9, abs=2e-4)
    assert series.exposure_to_even(RINDED, 0.9, ALPHA) == approx(X, rel=2e-4)
