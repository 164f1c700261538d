"""The march by modes: the same finite volumes as the general march, so both must tell the same.

The general march is judged by closed forms, SciPy and scikit-fem elsewhere; here it is the judge at a tight target.
One check stands by itself against SciPy's matrix exponential.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx
from scipy.linalg import expm

from ingle.physics import transport_modes
from ingle.physics.transport import (
    Bath,
    Field,
    Held,
    Rates,
    Record,
    box_grid,
    film,
    plane_grid,
    resume,
    run,
    short_cylinder_grid,
)

TIMES = np.array([0.0, 0.01, 0.05, 0.2, 0.5])
WET = ("right", "back", "top")
TIGHT = 1e-6


def box(cells=(9, 8, 7)):
    return box_grid((1.0, 1.3, 0.7), cells, wet=WET, grade=5.0)


def start(grid, seed=5):
    return np.random.default_rng(seed).uniform(0.0, 0.4, grid.shape)


OUTSIDES = {
    "a bath": lambda: Bath(0.12, 1.0),
    "a bath behind a skin": lambda: Bath(0.12, 1.0, transfer=2.0),
    "a bath that never fills": lambda: Bath(0.3, 0.8, saturated=1.0),
    "a held face": lambda: Held(1.0),
    "a film": lambda: film(3.0, 0.6),
    "a record with a jump": lambda: Held(Record([0.0, 0.1, 0.1, 0.3], [0.2, 0.6, 1.0, 0.9])),
}


@pytest.fixture
def by_modes(monkeypatch):
    """Fails a run that was marched."""
    def refuse(*_, **__):
        raise AssertionError("marched")

    def told(*given, **more):
        with monkeypatch.context() as here:
            here.setattr("ingle.physics.transport_march.march", refuse)
            return run(*given, **more)

    return told


def same(one, other):
    """Both answers: at the end to what the judge's target of 1e-6 a step sums up to; between its steps the judge draws
    a parabola, which misses sharp starts by more."""
    for name in ("values", "mean", "body", "given", "watched"):
        assert getattr(one, name) == approx(getattr(other, name), abs=3e-4), name
    assert one.bath == approx(other.bath, abs=3e-4, nan_ok=True)
    assert one.state.values == approx(other.state.values, abs=3e-5)
    assert one.state.contents == approx(other.state.contents, abs=3e-5)


@pytest.mark.parametrize("outside", OUTSIDES)
def test_a_box_is_told_as_the_general_march_tells_it(outside, by_modes):
    grid = box()
    faces = dict.fromkeys(WET, OUTSIDES[outside]())
    field = Field(storage=1.5, conductance=0.8, start=start(grid))
    watch = [{0: 1.0}, {3: 0.5, 11: 0.5}]
    same(by_modes(grid, field, faces, TIMES, tol=TIGHT, watch=watch),
         run(grid, field, faces, TIMES, tol=TIGHT, watch=watch, method="march"))


@pytest.mark.parametrize("make", [
    lambda: (short_cylinder_grid(1.0, 1.4, (10, 9), wet=("side", "top"), grade=6.0), ("side", "top")),
    lambda: (plane_grid((1.0, 0.6), (12, 9), wet=("front", "back", "top"), grade=4.0), ("front", "back", "top")),
    lambda: (box_grid((1.0, 1.0, 1.0), (6, 6, 6)), ("left", "right", "front", "back", "bottom", "top")),
])  # fmt: skip
def test_other_bodies_are_told_as_the_general_march_tells_them(make, by_modes):
    grid, sides = make()
    faces = dict.fromkeys(sides, Bath(0.4, 1.0))
    field = Field(start=start(grid))
    same(by_modes(grid, field, faces, TIMES, tol=TIGHT), run(grid, field, faces, TIMES, tol=TIGHT, method="march"))


def test_a_temperature_record_quickens_it_alike(by_modes):
    grid, rates = box(), Rates([0.0, 0.1, 0.1, 0.5], conductance=[1.0, 2.0, 0.3, 0.6])
    faces = dict.fromkeys(WET, Bath(0.2, 1.0))
    same(by_modes(grid, Field(), faces, TIMES, tol=TIGHT, rates=rates),
         run(grid, Field(), faces, TIMES, tol=TIGHT, rates=rates, method="march"))


def test_a_held_face_meets_the_matrix_exponential():
    """SciPy's expm of the same finite volumes, assembled here cell by cell; no step, so equal to rounding."""
    grid = plane_grid((1.0, 0.6), (5, 4), wet=("front",), grade=3.0)
    x, y = np.diff(grid.edges[1]), np.diff(grid.edges[2])
    n, m = np.zeros((20, 20)), np.zeros(20)
    for i in range(5):
        for j in range(4):
            here = 4 * i + j
            if i < 4:
                g = y[j] / ((x[i] + x[i + 1]) / 2)
                n[here, here] -= g
                n[here, here + 4] += g
                n[here + 4, here + 4] -= g
                n[here + 4, here] += g
            if j < 3:
                g = x[i] / ((y[j] + y[j + 1]) / 2)
                n[here, here] -= g
                n[here, here + 1] += g
                n[here + 1, here + 1] -= g
                n[here + 1, here] += g
            if i == 0:
                n[here, here] -= y[j] / (x[0] / 2)
            m[here] = x[i] * y[j]
    lack = expm(n / m[:, None] * 0.07) @ np.full(20, -1.0)
    told = run(grid, Field(), {"front": Held(1.0)}, [0.0, 0.07])
    assert told.values[-1].ravel() == approx(1.0 + lack, abs=1e-12)
    assert told.steps.taken == 1


def test_halving_the_step_quarters_the_error_of_a_bath():
    grid, faces = box(), dict.fromkeys(WET, Bath(0.12, 1.0))
    field = Field(start=start(grid))

    def mean(steps):
        return run(grid, field, faces, [0.0, 0.3], steps=0.3 * (np.arange(1, steps + 1) / steps) ** 2).mean[-1]

    true = mean(1600)
    assert np.log2(abs(mean(25) - true) / abs(mean(50) - true)) == approx(2.0, abs=0.15)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6), water=st.floats(1e-4, 10.0))
def test_nothing_is_lost_and_no_value_leaves_its_range(seed, water):
    grid = box((6, 5, 4))
    field = Field(storage=2.0, start=start(grid, seed))
    told = run(grid, field, dict.fromkeys(WET, Bath(water, 1.0)), TIMES)
    every = told.body + water * told.bath[:, 0]
    assert every == approx(every[0], rel=1e-11)
    assert 2.0 * (grid.volume * told.values).sum((1, 2, 3)) == approx(told.body, rel=1e-9)
    assert told.values.min() >= -1e-10
    assert told.values.max() <= 1.0 + 1e-10


def test_a_split_stage_and_a_stage_marched_after_it_go_on_where_it_ended():
    grid, faces = box(), dict.fromkeys(WET, Bath(0.12, 1.0))
    field = Field(start=start(grid))
    whole = run(grid, field, faces, TIMES, tol=1e-5)
    half = run(grid, field, faces, TIMES[:3], tol=1e-5)
    for method in ("auto", "march"):
        rest = run(grid, field, resume(faces, half.state), TIMES[2:], state=half.state, tol=1e-5, method=method)
        assert rest.state.values == approx(whole.state.values, abs=1e-4)
        assert rest.bath[-1] == approx(whole.bath[-1], abs=1e-4)


def test_what_is_not_even_is_marched():
    """Each of these must not be taken by modes: the answer would be another."""
    grid, even = box(), Field()
    wild = np.ones(grid.shape)
    wild[4:] = 2.0
    others = [replace(even, conductance=wild), replace(even, storage=wild), replace(even, loss=0.1), replace(even, source=0.1),
              replace(even, conductance_law=lambda c: 1.0 + c), replace(even, storage_law=lambda c: 1.0 + c)]  # fmt: skip
    faces = dict.fromkeys(WET, Held(1.0))
    plain = run(grid, even, faces, TIMES, tol=1e-4)
    for field in others:
        told = run(grid, field, faces, TIMES, tol=1e-4)
        assert told.steps.turns > 0
        assert abs(told.body[2] - plain.body[2]) > 1e-4
    full = Bath(0.12, 1.0, dry=0.1, saturated=1.0)
    assert run(grid, even, dict.fromkeys(WET, full), TIMES).steps.turns > 0
    assert run(grid, even, {"right": Held(1.0), "top": Held(0.0)}, TIMES).steps.turns > 0
    assert run(grid, even, faces, TIMES, method="march").steps.turns > 0


def test_a_hole_in_a_drawing_is_marched():
    inside = np.ones((6, 6), bool)
    inside[0, 0] = False
    told = run(plane_grid((1.0, 1.0), (6, 6), inside=inside), Field(), {"rim": Held(1.0)}, [0.0, 0.1])
    assert told.steps.turns > 0


def test_the_step_count_does_not_grow_with_the_cells():
    counts = [run(box(n), Field(), dict.fromkeys(WET, Bath(0.12, 1.0)), TIMES, keep=False).steps.taken for n in ((8,) * 3, (32,) * 3)]
    assert counts[1] < 1.6 * counts[0]


def test_a_row_wider_than_the_modes_allow_is_marched():
    grid = plane_grid((1.0, 1.0), (transport_modes.WIDEST + 1, 2))
    assert run(grid, Field(), {"front": Held(1.0)}, [0.0, 0.01]).steps.turns > 0
