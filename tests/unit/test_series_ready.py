"""When a cure is ready, by closed forms: the time told is the time at which it is so."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from ingle.physics import series
from ingle.physics.shapes import KINDS, Cylinder, Slab, Sphere

kinds = st.sampled_from(KINDS)
alphas = st.floats(0.01, 20.0)


# --- when --------------------------------------------------------------------------------------------------


@given(kind=kinds, alpha=alphas, at=st.floats(0.2, 0.98))
@settings(max_examples=30, deadline=None)
def test_the_time_told_is_the_time_at_which_it_is_so(kind, alpha, at):
    even = float(series.ready_exposure(kind, 1.0, alpha, criterion="even", at=at))
    core = float(series.ready_exposure(kind, 1.0, alpha, criterion="core", at=at))
    mean_then, core_then, _ = series.bath(kind, np.array([even, core]), alpha)
    assert core_then[0] / mean_then[0] == approx(at, abs=1e-8)
    assert core_then[1] == approx(at, abs=1e-8)
    body = {"slab": Slab(2.0), "cylinder": Cylinder(1.0), "sphere": Sphere(1.0)}[kind]
    assert series.exposure_to_even(body, at, alpha) == approx(even, rel=1e-8)
    assert series.exposure_to_core(body, at, alpha) == approx(core, rel=1e-8)
    assert series.bath_mean(kind, series.exposure_to_mean(body, at, alpha), alpha) == approx(at, abs=1e-9)


def test_native_salt_shortens_and_an_ensemble_goes_as_one_by_one():
    native = np.array([0.0, 0.2, 0.5, 0.99])
    X = series.ready_exposure("slab", 0.025, 0.05, native=native)
    assert (np.diff(X) < 0.0).all() and X[-1] == 0.0
    assert np.isinf(series.ready_exposure("slab", 0.025, 0.05, criterion="core", at=1.0))
    path, alpha = np.array([0.02, 0.03]), np.array([0.04, 0.3])
    together = series.ready_time("cylinder", path, 3e-10, alpha)
    alone = [float(series.ready_time("cylinder", p, 3e-10, a)) for p, a in zip(path, alpha, strict=True)]
    assert together == approx(alone, rel=1e-10)


def test_evenness_lost_again_is_waited_for():
    """With 60 % inside at first the piece starts even, is uneven while salt is on its way, and evens out again."""
    native = 0.6
    X = float(series.ready_exposure("slab", 1.0, math.inf, native=native))
    fo = np.array([0.01, 0.999 * X, 1.001 * X, 3.0 * X])
    mean, core = (native + (1.0 - native) * part for part in series.bath("slab", fo, math.inf)[:2])
    assert (core / mean >= 0.9).tolist() == [True, False, True, True]


@given(kind=kinds, alpha=st.floats(0.02, 0.5), reach=st.floats(0.05, 0.9), wish=st.floats(0.02, 0.98))
@settings(max_examples=30, deadline=None)
def test_excess_cure_is_pulled_when_mean_or_core_is_there(kind, alpha, reach, wish):
    wanted = wish * (reach + alpha) / (1.0 + alpha)
    for place, what in enumerate(("mean", "core")):
        X = float(series.excess_exposure_to(kind, 0.03, alpha, reach, wanted, what=what))
        assert series.excess(kind, X / 0.03**2, alpha, reach)[place] == approx(wanted, abs=1e-6)
    assert np.isinf(series.excess_exposure_to(kind, 0.03, alpha, reach, (reach + alpha) / (1.0 + alpha) + 1e-9))


def test_four_thousand_members_cost_few_kernel_evaluations():
    """Guard by counts, not seconds: exponentials per member in the ensemble helper."""
    count = 0
    real = np.exp

    def counted(x, *rest, **more):
        nonlocal count
        count += np.size(x)
        return real(x, *rest, **more)

    rng = np.random.default_rng(7)
    alpha = 0.05 * real(0.3 * rng.standard_normal(4096))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(np, "exp", counted)
        series.ready_exposure("slab", 0.025, alpha)
    assert count / 4096 < 600
