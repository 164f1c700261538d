"""Pieces behind a film: compiled and array forms are one, and both are what an independent root finder and series say."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros

from ingle.ground.errors import OutOfRange
from ingle.physics import film_compiled, series, series_film
from ingle.physics.shapes import Box, Cylinder, Slab, Sphere

ROAST = Cylinder(0.05, 0.2)
ALPHA, CONDUCTANCE = 0.45 / (1070 * 3500.0), 25 / 0.45
BODIES = {"slab": Slab(0.05), "rind": Slab(0.05, 1), "long": Cylinder(0.05), "roast": ROAST, "ball": Sphere(0.06), "box": Box(0.2, 0.12, 0.05)}


def by_scipy(fraction):
    """The roast by roots of SciPy's Bessel functions, 30 x 30 modes. [s]"""
    bs, bc, n = CONDUCTANCE * 0.10, CONDUCTANCE * 0.05, 30
    s = np.array([brentq(lambda x: x * math.sin(x) - bs * math.cos(x), i * math.pi + 1e-12, (i + 0.5) * math.pi) for i in range(n)])
    ends = np.concatenate([[1e-9], jn_zeros(1, n)])
    c = np.array([brentq(lambda x: x * j1(x) - bc * j0(x), a, b) for a, b in zip(ends, jn_zeros(0, n), strict=False)])
    a, b = 4 * np.sin(s) / (2 * s + np.sin(2 * s)), 2 * j1(c) / (c * (j0(c) ** 2 + j1(c) ** 2))

    def left(t):
        return (a * np.exp(-s * s * ALPHA * t / 0.01)).sum() * (b * np.exp(-c * c * ALPHA * t / 0.0025)).sum()

    return brentq(lambda t: left(t) - 1 + fraction, 1.0, 1e6, xtol=1e-7)


@pytest.mark.parametrize("fraction", [0.05, 0.3, 64 / 106, 0.95, 0.9999])
def test_time_to_core_is_that_of_an_independent_series(fraction):
    right = by_scipy(fraction)
    assert series_film.film_exposure_to(ROAST, fraction, CONDUCTANCE) / ALPHA == approx(right, rel=1e-9)
    assert film_compiled.film_exposure_to(ROAST, fraction, CONDUCTANCE) / ALPHA == approx(right, rel=1e-9)


@pytest.mark.parametrize("conductance", [1e-3, 2.0, CONDUCTANCE, 3000.0, 1e6])
@pytest.mark.parametrize("name", BODIES)
def test_compiled_and_array_forms_are_one(name, conductance):
    body = BODIES[name]
    for fraction in (1e-6, 0.01, 0.5, 0.99, 1 - 1e-9):
        when = film_compiled.film_exposure_to(body, fraction, conductance)
        assert when == approx(series_film.film_exposure_to(body, fraction, conductance), rel=1e-8)
        exposure = when * np.arange(1, 101) / 100
        ours = film_compiled.film_surface(body, exposure, conductance, outside=110.0, start=4.0)
        true = series.film_surface(body, exposure, conductance, outside=110.0, start=4.0)
        for part in ("mean", "core", "surface"):
            assert getattr(ours, part) == approx(getattr(true, part), abs=1e-9)  # K, of 106
        assert float((ours.core[-1] - 4.0) / 106.0) == approx(fraction, abs=1e-10)


@pytest.mark.parametrize("what", ["mean", "surface", "core"])
def test_mean_core_and_face_come_to_what_was_asked(what):
    for body in BODIES.values():
        when = series_film.film_exposure_to(body, 0.6, CONDUCTANCE, what=what)
        assert float(getattr(series.film_surface(body, [when], CONDUCTANCE), what)[0]) == approx(0.6, abs=1e-9)


def test_ends():
    assert series_film.film_exposure_to(ROAST, 0.0, 10.0) == film_compiled.film_exposure_to(ROAST, -0.2, 10.0) == 0.0
    assert series_film.film_exposure_to(ROAST, 1.0, 10.0) == film_compiled.film_exposure_to(ROAST, 1.2, 10.0) == math.inf
    assert film_compiled.film_exposure_to(ROAST, 0.5, 0.0) == math.inf
    held = series_film.film_exposure_to(ROAST, 0.5, math.inf)
    assert film_compiled.film_exposure_to(ROAST, 0.5, math.inf) == held < series_film.film_exposure_to(ROAST, 0.5, 100.0)
    times = film_compiled.film_surface(ROAST, [0.0, 1e-12, 1e-4], CONDUCTANCE)
    assert times.mean == approx(series.film_surface(ROAST, [0.0, 1e-12, 1e-4], CONDUCTANCE).mean, abs=1e-12)


@pytest.mark.parametrize("change", [{"conductance": -1.0}, {"conductance": math.nan}, {"fraction": math.nan}, {"what": "rim"}])
def test_refused(change):
    given = {"fraction": 0.5, "conductance": 10.0, "what": "core", **change}
    with pytest.raises(OutOfRange) as caught:
        series_film.film_exposure_to(ROAST, given["fraction"], given["conductance"], what=given["what"])
    assert caught.value.field == next(iter(change))
    if "what" not in change:
        with pytest.raises(OutOfRange):
            film_compiled.film_exposure_to(ROAST, given["fraction"], given["conductance"])


def test_without_numba_every_call_goes_to_its_namesake(monkeypatch):
    with_it = film_compiled.film_exposure_to(ROAST, 0.6, CONDUCTANCE)
    monkeypatch.setattr(film_compiled.film_kernels, "COMPILED", False)
    assert film_compiled.film_exposure_to(ROAST, 0.6, CONDUCTANCE) == approx(with_it, rel=1e-10)
