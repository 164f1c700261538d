"""Closed forms against independent finite volumes, and against the laws they must keep."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx
from scipy import sparse
from scipy.integrate import solve_ivp

from ingle.physics import series
from ingle.physics.diffusivity import ArrheniusLaw, exposure
from ingle.physics.shapes import KINDS, Box, Cylinder, Slab, Sphere

RINDED = Box(0.200, 0.120, 0.050, sealed=("one-large-face",))
LEAN = ArrheniusLaw(3.0e-10, 20e3, 278.15, (272.15, 313.15), "project prior at 5 C", "derived")

kinds = st.sampled_from(KINDS)
alphas = st.floats(0.01, 20.0)
fouriers = st.floats(1e-4, 3.0)


# --- independent finite volumes in one direction -----------------------------------------------------------


def one_direction(kind, alpha, times, cells=300, reach=None):
    """Mean, core, bath of a body (radius 1, D = 1) by finite volumes graded to the face and scipy's BDF.

    With ``reach`` the bath is held at 1 until the mean is there; else it starts at (1 + alpha)/alpha.
    """
    m = KINDS.index(kind)
    edge = 1.0 - (1.0 - np.linspace(0.0, 1.0, cells + 1)) ** 1.6
    centre = 0.5 * (edge[1:] + edge[:-1])
    volume, area = np.diff(edge ** (m + 1)), (m + 1) * edge**m
    inner, wall = area[1:-1] / np.diff(centre), area[-1] / (edge[-1] - centre[-1])
    A = sparse.lil_matrix((cells + 1, cells + 1))
    for i in range(cells - 1):
        for here, there in ((i, i + 1), (i + 1, i)):
            A[here, here] -= inner[i] / volume[here]
            A[here, there] += inner[i] / volume[here]
    A[cells - 1, cells - 1] -= wall / volume[-1]
    A[cells - 1, cells] += wall / volume[-1]
    held = A.tocsc()
    A[cells, cells] -= wall / alpha
    A[cells, cells - 1] += wall / alpha
    mixed = A.tocsc()

    def run(matrix, y, span, at, stop=None):
        return solve_ivp(lambda _, u: matrix @ u, span, y, method="BDF", jac=matrix, t_eval=at, events=stop,
                         rtol=1e-7, atol=1e-9)

    y, begin = np.zeros(cells + 1), 0.0
    y[-1] = 1.0 if reach is not None else (1.0 + alpha) / alpha
    if reach is not None:
        def gone(_, u):
            return volume @ u[:-1] - reach
        gone.terminal = True
        first = run(held, y, (0.0, 20.0), None, gone)
        y, begin = first.y[:, -1], first.t[-1]
    told = run(mixed, y, (begin, times[-1]), times).y
    w = centre[1] ** 2 / (centre[1] ** 2 - centre[0] ** 2)  # even function through two cells
    return volume @ told[:-1], w * told[0] + (1 - w) * told[1], told[-1], begin


@pytest.mark.parametrize("kind", KINDS)
def test_finite_bath_is_that_of_finite_volumes(kind):
    times, alpha = np.array([0.01, 0.05, 0.2, 0.6]), 0.08
    mean, core, surface, _ = one_direction(kind, alpha, times)
    told = series.bath(kind, times, alpha)
    # second order with 300 graded cells: first cell 1e-4, largest 5e-3, error about (5e-3)^2
    assert told[0] == approx(mean, abs=1e-4)
    assert told[1] == approx(core, abs=1e-4)
    assert told[2] == approx(surface, abs=1e-4 / alpha)


@pytest.mark.parametrize("kind", KINDS)
def test_excess_cure_is_that_of_finite_volumes(kind):
    times, alpha, reach = np.array([0.2, 0.3, 0.6]), 0.08, 0.45
    mean, core, surface, switch = one_direction(kind, alpha, times, reach=reach)
    told = series.excess(kind, times, alpha, reach)
    assert float(series.switch_fourier(kind, reach)) == approx(switch, abs=2e-5)
    assert told[0] == approx(mean, abs=5e-5)
    assert told[1] == approx(core, abs=5e-5)
    assert told[2] == approx(surface, abs=5e-5 / alpha)


def test_loss_in_a_slab_is_that_of_finite_volumes():
    cells, phi, times = 200, 1.3, np.array([0.05, 0.3, 1.5])
    x = (np.arange(cells) + 0.5) / cells
    A = sparse.diags([1.0, -2.0, 1.0], [-1, 0, 1], shape=(cells, cells)).tolil() * cells**2
    A[0, 0], A[-1, -1] = -(cells**2), -3.0 * cells**2
    feed = np.zeros(cells)
    feed[-1] = 2.0 * cells**2
    A = (A - phi**2 * sparse.identity(cells)).tocsc()
    run = solve_ivp(lambda _, u: A @ u + feed, (0, 1.5), np.full(cells, 0.2), method="BDF", jac=A, t_eval=times,
                    rtol=1e-8, atol=1e-10)
    assert series.loss_profile(times, phi, x, start=0.2) == approx(run.y.T, abs=1e-4)
    assert series.loss_mean(times, phi, start=0.2) == approx(run.y.mean(axis=0), abs=1e-4)


# --- laws --------------------------------------------------------------------------------------------------


@given(kind=kinds, alpha=alphas, fourier=fouriers, bath=st.floats(0.1, 500.0), start=st.floats(0.0, 20.0))
@settings(max_examples=60, deadline=None)
def test_what_the_body_gains_the_bath_loses(kind, alpha, fourier, bath, start):
    body = {"slab": Slab(2.0), "cylinder": Cylinder(1.0), "sphere": Sphere(1.0)}[kind]
    told = series.finite_bath(body, fourier, alpha, bath=bath, start=start)
    given_in = start + alpha * bath
    assert abs(told.mean + alpha * told.surface - given_in) <= 1e-9 * given_in
    # the same mean from the profile alone, integrated over the body by Gauss points
    node, weight = np.polynomial.legendre.leggauss(120)
    r, m = (node + 1.0) / 2.0, KINDS.index(kind)
    profile = series.bath_profile(kind, fourier, alpha, r)
    final = series.final_value(alpha, bath, start)
    mean = start + (final - start) * ((m + 1) * r**m * weight / 2.0) @ profile
    assert abs(mean - told.mean) <= 1e-9 * max(bath, start)


@given(kind=kinds, alpha=alphas, fourier=fouriers, more=st.floats(1.01, 3.0))
@settings(max_examples=60, deadline=None)
def test_time_only_fills_and_the_order_core_mean_surface_stays(kind, alpha, fourier, more):
    mean, core, surface = series.bath(kind, np.array([fourier, more * fourier]), alpha)
    assert core[0] <= core[1] + 1e-10 and mean[0] <= mean[1] + 1e-12 and surface[0] >= surface[1] - 1e-12
    assert (core <= mean + 1e-10).all() and (mean <= surface + 1e-10).all()
    assert (core >= -1e-10).all()
    inside = series.bath_profile(kind, fourier, alpha, np.linspace(0.0, 1.0, 21))
    assert (np.diff(inside) >= -1e-8).all()


@given(days=st.floats(0.2, 40.0), cold=st.floats(273.15, 285.0), warmer=st.floats(0.0, 10.0))
@settings(max_examples=30, deadline=None)
def test_warmer_is_never_slower(days, cold, warmer):
    times = np.array([0.0, days * 86400.0])
    X = [exposure(times, np.full(2, T), LEAN)[-1] for T in (cold, cold + warmer)]
    core = [series.finite_bath(Slab(0.05), x, 0.05).core for x in X]
    assert core[1] >= core[0] - 1e-12


@given(kind=kinds, first=st.floats(0.002, 0.5), second=st.floats(0.002, 0.5))
@settings(max_examples=25, deadline=None)
def test_splitting_a_rest_changes_nothing(kind, first, second):
    places = np.linspace(0.0, 1.0, 401)
    values = np.where(places > 0.6, 3.0, 1.0)
    half_way = series.rest_profile(kind, first, places, places, values)
    in_two = series.rest_profile(kind, second, places, places, half_way)
    at_once = series.rest_profile(kind, first + second, places, places, values)
    # straight lines between 401 places miss a curve by h^2/8 times its second derivative (about 1/first)
    assert np.abs(in_two - at_once).max() < (1 / 400) ** 2 / first + 1e-6
    assert series.profile_mean(kind, places, at_once) == approx(series.profile_mean(kind, places, values), abs=1e-4)


@given(hours=st.floats(1.0, 99.0))
@settings(max_examples=25, deadline=None)
def test_splitting_a_temperature_record_changes_nothing(hours):
    t, T = np.array([0.0, 100.0, 160.0]) * 3600.0, np.array([275.15, 283.15, 277.15])
    whole = exposure(t, T, LEAN)[-1]
    cut = hours * 3600.0
    t2, T2 = np.insert(t, 1, cut), np.insert(T, 1, np.interp(cut, t, T))
    assert exposure(t2, T2, LEAN)[-1] == approx(whole, rel=1e-12)


def test_a_stage_of_held_surface_and_its_rest_keep_the_salt():
    for kind in KINDS:
        places = np.linspace(0.0, 1.0, 801)
        profile = series.held_profile(kind, 0.1, places)
        taken = float(series.held_mean(kind, 0.1))
        rested = series.rest_profile(kind, [0.01, 5.0], [0.0, 1.0], places, profile)
        assert series.profile_mean(kind, places, profile) == approx(taken, abs=2e-6)
        assert rested[1] == approx([taken, taken], abs=2e-6)
        assert taken > rested[0, 0]


@given(kind=kinds, alpha=st.floats(0.02, 2.0), reach=st.floats(0.05, 0.95))
@settings(max_examples=40, deadline=None)
def test_nothing_jumps_when_the_dry_salt_is_gone(kind, alpha, reach):
    when = float(series.switch_fourier(kind, reach))
    mean, core, surface = series.excess(kind, when * (1.0 + np.array([-1e-9, 1e-9])), alpha, reach)
    assert mean == approx([reach, reach], abs=1e-8)
    assert core[1] == approx(core[0], abs=1e-7)
    assert surface == approx([1.0, 1.0], abs=1e-6)
    last = series.excess(kind, when + 8.0, alpha, reach)
    assert [float(v) for v in last] == approx([(reach + alpha) / (1.0 + alpha)] * 3, abs=1e-9)


def test_excess_cure_by_shape_keeps_the_dose_and_knows_its_borders():
    X = np.linspace(0.0, 3e-4, 50)
    told = series.excess_then_bath(Slab(0.05), X, 0.05, dose=0.12, saturated=0.36, start=0.01)
    late = told.switch < X
    assert told.switch > 0.0 and late.any() and not late.all()
    assert (told.mean + 0.05 * told.surface)[late] == approx(0.13, rel=1e-9)
    assert told.surface[~late] == approx(0.36)
    never = series.excess_then_bath(Slab(0.05), X, 0.05, dose=0.6, saturated=0.36)
    assert never.switch == math.inf
    assert never.core == approx(series.held_surface(Slab(0.05), X, surface=0.36).core)
    weak = series.excess_then_bath(Slab(0.05), X, 0.5, dose=0.12, saturated=0.36)
    assert weak.switch == 0.0
    assert weak.core == approx(series.finite_bath(Slab(0.05), X, 0.5, bath=0.24).core)
    box = series.excess_then_bath(RINDED, X, 0.05, dose=0.12, saturated=0.36)
    after = box.switch < X
    assert (box.mean + 0.05 * box.surface)[after] == approx(0.12, rel=1e-9)


def test_film_of_no_resistance_is_a_held_face_and_one_of_much_keeps_the_body_even():
    fo = np.array([0.0, 1e-6, 1e-3, 0.05, 0.4])
    for kind in KINDS:
        assert series.film(kind, fo, math.inf)[0] == approx(series.held_mean(kind, fo), abs=3e-6)  # 3 Fo at 1e-6
        mean, core, surface = series.film(kind, fo, 1e-4)
        m = KINDS.index(kind)
        assert mean == approx(-np.expm1(-(m + 1) * 1e-4 * fo), rel=1e-4, abs=1e-12)
        assert (core <= mean + 1e-12).all() and (mean <= surface + 1e-12).all()


def test_heated_short_cylinder_takes_the_product_and_the_face_nearest_its_core():
    """h = 25 W/m2K, k = 0.45, rho 1070, cp 3500: exact double sum of 30 x 30 modes gives 68 C after 8381.34 s."""
    log = Cylinder(0.05, length=0.2)
    told = series.film_surface(log, 0.45 / (1070.0 * 3500.0) * 8381.34, 25.0 / 0.45, outside=110.0, start=4.0)
    assert told.core == approx(68.0, abs=1e-3)  # 0.005 s, half of the last digit, is 3e-5 K at this rate
    assert told.core < told.mean < told.surface
    X = 1e-3
    surface = series.film_surface(log, X, 20.0).surface
    round_face = 1.0 - series.film("cylinder", X / 0.05**2, 1.0)[2]
    half_length = 1.0 - series.film("slab", X / 0.1**2, 2.0)[1]
    assert surface == approx(1.0 - round_face * half_length, rel=1e-12)
