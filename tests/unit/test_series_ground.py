"""What the closed forms stand on: special functions against scipy, roots between their limits, exposure by quadrature, shapes."""

from __future__ import annotations

import itertools
import math
import subprocess
import sys

import numpy as np
import pytest
import scipy.special
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx
from scipy.integrate import quad

from ingle.ground.errors import OutOfRange
from ingle.physics import series, special
from ingle.physics.diffusivity import (
    GAS_CONSTANT,
    ArrheniusLaw,
    diffusivity,
    exposure,
    exposure_at,
    time_of_exposure,
)
from ingle.physics.rootfind import find_root
from ingle.physics.series_product import product_bath
from ingle.physics.shapes import KINDS, Box, Cylinder, Slab, Sphere

RINDED = Box(0.200, 0.120, 0.050, sealed=("one-large-face",))
LEAN = ArrheniusLaw(3.0e-10, 20e3, 278.15, (272.15, 313.15), "project prior at 5 C", "derived")

kinds = st.sampled_from(KINDS)


# --- special functions, oracle scipy.special ---------------------------------------------------------------


def test_bessel_functions_are_those_of_scipy():
    x = np.concatenate([np.linspace(0.0, 30.0, 6001), np.linspace(24.9, 1500.0, 6001)])
    j0, j1 = special.bessel_j0_j1(x)
    assert np.abs(j0 - scipy.special.j0(x)).max() < 1e-13
    assert np.abs(j1 - scipy.special.j1(x)).max() < 1e-13


def test_error_functions_are_those_of_scipy():
    x = np.concatenate([np.linspace(-1.0, 30.0, 3001), np.logspace(1, 8, 50)])
    assert np.abs(special.erfcx(x) / scipy.special.erfcx(x) - 1.0).max() < 1e-13
    assert np.abs(special.erfc(x) - scipy.special.erfc(x)).max() < 1e-15


def test_root_finder_meets_hard_brackets():
    target = np.array([1e-9, 0.3, 0.999999])
    root = find_root(lambda x: x**9 - target, np.zeros(3), np.ones(3))
    assert root == approx(target ** (1 / 9), rel=1e-12)
    assert find_root(lambda x: x - 2.0, np.array([2.0]), np.array([5.0]))[0] == 2.0


# --- roots -------------------------------------------------------------------------------------------------


@given(kind=kinds, alpha=st.floats(1e-6, 1e6))
@settings(max_examples=40, deadline=None)
def test_bath_roots_lie_between_held_and_sealed_ones(kind, alpha):
    q = series.bath_roots(kind, alpha, 60)
    assert (q >= series.held_roots(kind, 60) * (1 - 1e-14)).all()
    assert (q <= series.sealed_roots(kind, 60) * (1 + 1e-14)).all()
    assert (np.diff(q) > 1.0).all()


def test_roots_of_the_limits_are_the_held_and_sealed_ones():
    for kind in KINDS:
        held, sealed = series.held_roots(kind, 9), series.sealed_roots(kind, 9)
        assert series.bath_roots(kind, math.inf, 9) == approx(held, rel=1e-14)
        assert series.bath_roots(kind, 0.0, 9) == approx(sealed, rel=1e-14)
        assert series.film_roots(kind, math.inf, 9) == approx(held, rel=1e-14)
        assert series.film_roots(kind, 0.0, 9)[1:] == approx(sealed[:8], rel=1e-14)


# --- diffusivity -------------------------------------------------------------------------------------------


def test_diffusivity_has_its_reference_and_its_anchor():
    assert diffusivity(278.15, LEAN) == approx(3.0e-10, rel=1e-12)
    assert diffusivity(285.15, LEAN) == approx(3.71e-10, abs=0.005e-10)
    assert approx(8.314462618, abs=5e-10) == GAS_CONSTANT  # CODATA 2018, printed digits


def test_exposure_of_a_ramp_is_that_of_quadrature():
    t, T = np.array([0.0, 5.0, 30.0]) * 3600.0, np.array([275.15, 305.15, 278.15])
    exact = sum(
        quad(lambda s: float(diffusivity(np.interp(s, t, T), LEAN)), a, b, epsrel=1e-13)[0]
        for a, b in itertools.pairwise(t)
    )
    assert exposure(t, T, LEAN)[-1] == approx(exact, rel=1e-11)
    steps = exposure(t, T, LEAN, between="step")
    assert steps[-1] == approx(float(diffusivity(T[0], LEAN) * t[1] + diffusivity(T[1], LEAN) * (t[2] - t[1])))


def test_exposure_and_its_inverse_agree():
    t, T = np.array([0.0, 20.0, 30.0, 90.0]) * 3600.0, np.array([275.15, 288.15, 277.15, 277.15])
    at = np.array([0.0, 1e4, 7.3e4, 9e4, 3e5, 5e5])
    X = exposure_at(at, t, T, LEAN)
    assert time_of_exposure(X, t, T, LEAN) == approx(at, rel=1e-9, abs=1e-3)
    assert time_of_exposure(np.inf, t, T, LEAN) == np.inf
    beyond = X[-1] - exposure(t, T, LEAN)[-1]
    assert beyond == approx(float(diffusivity(277.15, LEAN)) * (5e5 - t[-1]), rel=1e-12)


def test_law_refuses_outside_its_range_and_keeps_the_mask():
    with pytest.raises(OutOfRange) as caught:
        diffusivity([278.15, 330.0, math.nan], LEAN)
    assert caught.value.mask.tolist() == [False, True, True]
    assert caught.value.limit == LEAN.valid and LEAN.source in caught.value.text and "330 K" in caught.value.text
    for times in ([0.0, -1.0], [0.0]):
        with pytest.raises(OutOfRange):
            exposure(times, [278.15, 279.15], LEAN)


# --- shapes ------------------------------------------------------------------------------------------------


def test_shapes_know_volume_wet_area_and_path():
    assert RINDED.path == approx(0.050) and RINDED.volume == approx(0.0012) and RINDED.wet_area == approx(0.056)
    assert Box(0.2, 0.12, 0.05).path == approx(0.025)
    assert Box(0.2, 0.12, 0.05).wet_area == approx(2 * (0.2 * 0.12 + 0.2 * 0.05 + 0.12 * 0.05))
    assert Slab(0.05).path == approx(0.025) and Slab(0.05, faces=1).path == approx(0.05)
    assert Cylinder(0.04).path == approx(0.04) and Cylinder(0.04, 0.05).path == approx(0.025)
    assert Cylinder(0.04, 0.05, ends_sealed=True).path == approx(0.04)
    short = Cylinder(0.04, 0.1)
    assert short.volume == approx(math.pi * 0.04**2 * 0.1)
    assert short.wet_area == approx(2 * math.pi * 0.04 * 0.1 + 2 * math.pi * 0.04**2)
    ball = Sphere(0.03)
    assert ball.wet_area / ball.volume == approx(3 / 0.03)


def test_a_box_sealed_but_for_its_large_faces_is_a_slab():
    box = Box(0.2, 0.12, 0.05, sealed=("both-sides", "both-ends"))
    assert box.factors == Slab(0.05).factors
    assert Box(0.2, 0.12, 0.05, ("one-large-face", "both-large-faces", "both-ends")).factors == (("slab", 0.06),)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Slab(0.0), "thickness"),
        (lambda: Slab(0.05, faces=3), "faces"),
        (lambda: Sphere(-0.01), "radius"),
        (lambda: Cylinder(0.04, math.nan), "length"),
        (lambda: Box(0.2, 0.12, 0.34), "thickness"),
        (lambda: Box(0.1, 0.12, 0.05), "width"),
        (lambda: Box(0.2, 0.12, 0.05, ("rind",)), "sealed"),
        (lambda: Box(0.2, 0.12, 0.05, ("both-large-faces", "both-sides", "both-ends")), "sealed"),
        (lambda: series.finite_bath(Slab(0.05), -1e-6, 0.1), "exposure"),
        (lambda: series.bath("slab", 0.1, 0.0), "alpha"),
        (lambda: series.bath("cube", 0.1, 0.1), "kind"),
        (lambda: series.thin_layer("slab", 0.0, [0.0]), "fourier"),
        (lambda: series.rest_profile("slab", 0.1, [0.0], [0.1, 1.0], [1.0, 1.0]), "places"),
        (lambda: product_bath(RINDED.factors, np.array([1e-4]), 1e-5), "alpha"),
        (lambda: series.ready_exposure("slab", 0.02, 0.1, criterion="soon"), "criterion"),
        (lambda: series.excess_then_bath(Slab(0.05), 0.0, 0.1, dose=0.1, saturated=0.2, start=0.3), "saturated"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field_and_remedy(make, field):
    with pytest.raises(OutOfRange) as caught:
        make()
    assert caught.value.field == field
    assert caught.value.remedy


def test_a_single_cure_loads_no_large_library():
    told = subprocess.run(
        [sys.executable, "-c", "import sys, ingle.physics.series; print([m for m in sys.modules if m in "
         "('scipy', 'numba', 'pint', 'sqlalchemy', 'ortools')])"],
        capture_output=True, text=True, check=True, env={"PYTHONPATH": ":".join(sys.path)},
    )
    assert told.stdout.strip() == "[]"
