"""The march that takes one axis after the other: against closed forms, scipy, the undivided march, and its own laws.

Expected values: ``series`` (closed forms) and an independent matrix assembled here and integrated by scipy (BDF).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx
from scipy.integrate import solve_ivp

from ingle.ground.errors import OutOfRange
from ingle.physics import series, transport
from ingle.physics.shapes import Box
from ingle.physics.transport import Bath, Field, Held, Rates, Record, film, run

SIZE, SHAPE, D, WEEK = (0.10, 0.06, 0.05), (9, 8, 7), 2.5e-10, 7 * 86400.0
VOLUME = float(np.prod(SIZE))
MASS = 1e-9  # share of the total that may be missing: the promise of the engine


def uneven(seed=1, shape=SHAPE):
    """A block whose storage and conductance change from cell to cell as lean, fat and rind do, a seventh by chance."""
    dice = np.random.default_rng(seed)
    kind = dice.integers(0, 3, size=shape)
    lets = np.array([1.0, 0.2, 0.05])[kind] * dice.uniform(0.7, 1.3, shape)
    grid = transport.box_grid(SIZE, shape, wet=("right", "back", "top"), grade=6.0)
    return grid, Field(storage=np.array([0.75, 0.15, 0.5])[kind], conductance=D * lets)


def kept(result, water):
    """Body and baths together, what was lost, less what was made."""
    baths = sum(w * result.bath[:, p] + result.dry[:, p] for p, w in enumerate(water))
    return result.body + baths + result.lost - result.made


def cases():
    """Name, field's changes, faces, rates: every kind of outside and of tissue this march takes."""
    three = ("right", "back", "top")
    jump = Record([0.0, 2e5, 2e5, 4e5], [1.0, 3.0, 0.0, 2.0])
    clock = Rates([0.0, 2e5, 3e5, 6e5], [1.0, 2.0, 0.3, 1.0], [1.0, 1.0, 2.0, 1.0])
    return {
        "one bath": ({}, dict.fromkeys(three, Bath(0.06 * VOLUME, 20.0)), None),
        "two baths, a film, a held face": (
            {"start": 2.0}, {"right": Bath(0.1 * VOLUME, 20.0, transfer=1e-8), "back": Bath(0.02 * VOLUME),
                             "top": film(3e-9, 7.0), "left": Held(4.0)}, None),
        "dry salt": ({}, dict.fromkeys(("right", "top"), Bath(0.05 * VOLUME, 0.36, dry=0.03 * VOLUME, saturated=0.36)), None),
        "loss, source, a jump": (
            {"loss": 2e-6, "source": 1e-6, "start": 1.0}, {"top": Held(jump), "back": Bath(0.1 * VOLUME, 1.0)}, None),
        "conductance that follows the state": (
            {"conductance_law": lambda c: 0.3 + 1.5 * c, "law_range": (0.0, 1.0), "start": 0.1},
            {"right": Held(1.0), "top": Held(0.0)}, None),
        "a record of temperature": ({"loss": 1e-6}, {"right": film(1e-8, 1.0), "back": Held(0.5)}, clock),
    }


@pytest.mark.parametrize("name", cases())
def test_it_agrees_with_the_undivided_march_and_keeps_every_grain(name):
    grid, field = uneven()
    changes, faces, rates = cases()[name]
    field, times = replace(field, **changes), np.linspace(0.0, WEEK, 8)
    right = run(grid, field, faces, times, rates=rates, tol=1e-5, method="march")
    for tol in (1e-3, 1e-4):
        told = run(grid, field, faces, times, rates=rates, tol=tol, method="split")
        span = right.values.max() - right.values.min()
        # a step is held to a third of the target; what several leave behind adds up before it fades
        assert np.abs(told.values - right.values).max() < 2 * tol * span
        assert told.lost == approx(right.lost, abs=2 * tol * right.body.max())
        balance = told.body - told.given.sum(axis=1) + told.lost - told.made
        assert balance == approx(balance[0], abs=MASS * told.body.max())


def test_it_agrees_with_scipy_on_a_matrix_assembled_here():
    """Half cells in a row between neighbours; one bath beside three faces; scipy BDF."""
    grid, field = uneven(4)
    k, s = np.asarray(field.conductance), np.asarray(field.storage)
    width = [np.diff(edge) for edge in grid.edges]
    number, n = np.arange(k.size).reshape(SHAPE), k.size
    m = np.zeros((n + 1, n + 1))

    def link(a, b, g):
        m[a, a] -= g
        m[b, b] -= g
        m[a, b] += g
        m[b, a] += g

    for at in np.ndindex(SHAPE):
        for axis in range(3):
            area = np.prod([width[w][at[w]] for w in range(3) if w != axis])
            here = 0.5 * width[axis][at[axis]] / k[at]
            if at[axis] + 1 < SHAPE[axis]:
                on = tuple(i + (w == axis) for w, i in enumerate(at))
                link(number[at], number[on], area / (here + 0.5 * width[axis][on[axis]] / k[on]))
            else:
                link(number[at], n, area / here)
    size = np.einsum("i,j,k->ijk", *width)
    water = 0.06 * VOLUME
    m /= np.append((s * size).ravel(), water)[:, None]
    told = solve_ivp(lambda _t, y: m @ y, (0.0, WEEK), np.append(np.zeros(n), 20.0), "BDF", jac=m, rtol=1e-7, atol=1e-9)
    result = run(grid, field, dict.fromkeys(("right", "back", "top"), Bath(water, 20.0)), [0.0, WEEK])
    assert result.state.values.ravel() == approx(told.y[:-1, -1], abs=1e-4 * 20.0)  # the error target of the run
    assert result.bath[-1, 0] == approx(told.y[-1, -1], abs=1e-4 * 20.0)


def even(steps, cells=24):
    """A box in its bath by given steps, in blocks of equal ones, and its closed form."""
    grid = transport.box_grid(SIZE, (cells,) * 3, wet=("right", "back", "top"), grade=10.0)
    blocks = np.repeat(1.6 ** np.arange(10), steps // 10)
    wet = dict.fromkeys(("right", "back", "top"), Bath(0.06 * VOLUME, 535.0))
    ends = np.cumsum(blocks) * WEEK / blocks.sum()
    ends[-1] = WEEK
    result = run(grid, Field(conductance=D), wet, [0.0, WEEK], steps=ends, method="split", keep=False)
    return result, series.finite_bath(Box(*(2 * x for x in SIZE)), [D * WEEK], 0.06, bath=535.0)


def test_the_box_in_a_bath_meets_its_closed_form_and_shares_its_factors():
    result, told = even(200)
    assert result.mean[-1] == approx(told.mean[0], rel=1e-3)
    assert result.bath[-1, 0] == approx(told.surface[0], rel=1e-3)
    assert result.steps.assembled == 10  # one matrix for each block of equal steps
    assert result.steps.turns == 200 + 2  # one solve a step, two more for the implicit halves at the start


def test_halving_the_step_quarters_the_error():
    """In time alone: on one grid, against the same march in many steps."""
    grid, field = uneven(2)
    wet = dict.fromkeys(("right", "back", "top"), Bath(0.06 * VOLUME, 20.0))

    def go(n):
        return run(grid, field, wet, [0.0, WEEK], steps=np.linspace(0.0, WEEK, n + 1)[1:], method="split").state.values

    right = run(grid, field, wet, [0.0, WEEK], tol=1e-7, method="march").state.values
    off = [np.abs(go(n) - right).mean() for n in (100, 200, 400)]
    orders = np.log2(np.array(off[:-1]) / off[1:])
    assert (orders > 1.8).all()  # 2, less what the damped start leaves
    assert off[-1] < 1e-4 * 20.0


def test_what_stands_still_stays():
    """A steady flow from one face to another is no error of the parting, however long the steps."""
    grid = transport.box_grid((1.0, 1.0, 1.0), (6, 5, 4))
    result = run(grid, Field(start=np.linspace(1 / 12, 11 / 12, 6)[:, None, None] * np.ones((6, 5, 4))),
                 {"left": Held(0.0), "right": Held(1.0), "top": film(1e-12, 0.5)}, [0.0, 100.0],
                 steps=[25.0, 50.0, 75.0, 100.0], method="split")
    assert result.state.values == approx(np.linspace(1 / 12, 11 / 12, 6)[:, None, None] * np.ones((6, 5, 4)), abs=1e-9)


seeds = st.integers(0, 10_000)


@settings(max_examples=15)
@given(seed=seeds, water=st.floats(0.005, 5.0), dry=st.floats(0.0, 3.0))
def test_mass_stays_and_no_value_leaves_its_range(seed, water, dry):
    grid, field = uneven(seed, (5, 6, 4))
    field = replace(field, start=np.random.default_rng(seed).uniform(0.0, 0.1, (5, 6, 4)))
    bath = Bath(water * VOLUME, 0.2, dry=dry * VOLUME, saturated=0.36)
    result = run(grid, field, {"left": bath, "top": bath, "right": Held(0.05)}, [0.0, 1e3, 1e5, 1e7], tol=1e-3, method="split")
    balance = kept(result, [water * VOLUME]) - result.given[:, 1]
    assert balance == approx(balance[0], rel=MASS)
    assert result.values.min() >= -1e-3 * 0.36
    assert result.values.max() <= 0.36 * (1 + 1e-3)


@pytest.mark.parametrize("steps", [3, 10])
def test_given_steps_far_too_long_stay_in_range_where_tissues_differ_by_ten_thousands(steps):
    dice = np.random.default_rng(5)
    grid, _ = uneven()
    field = Field(storage=10.0 ** dice.uniform(-1, 0, SHAPE), conductance=D * 10.0 ** dice.uniform(-4, 1, SHAPE))
    result = run(grid, field, dict.fromkeys(("right", "back", "top"), Bath(0.01 * VOLUME, 20.0)), [0.0, 50 * WEEK],
                 steps=np.linspace(0.0, 50 * WEEK, steps + 1)[1:], method="split")
    assert result.steps.euler > 0
    assert result.values.min() >= -1e-4 * 20.0
    assert result.values.max() <= 20.0


def test_a_mirrored_piece_gives_mirrored_values():
    grid, field = uneven(7)
    grid = transport.box_grid(SIZE, SHAPE)  # equal cells: the mirror of a grid graded to one side is another grid
    turned = replace(field, **{a: np.asarray(getattr(field, a))[::-1, :, ::-1] for a in ("storage", "conductance")})
    one = run(grid, field, {"left": Bath(0.1 * VOLUME, 0.3), "top": Held(0.1)}, [0.0, 2e5])
    other = run(grid, turned, {"right": Bath(0.1 * VOLUME, 0.3), "bottom": Held(0.1)}, [0.0, 2e5])
    assert one.state.values == approx(other.state.values[::-1, :, ::-1], rel=1e-6, abs=1e-9)


def test_a_stage_cut_in_two_ends_where_the_whole_one_does():
    grid, field = uneven(3)
    faces = {"top": Bath(0.1 * VOLUME, 0.3), "left": Held(0.05)}
    whole = run(grid, field, faces, [0.0, 4e5], tol=1e-5)
    first = run(grid, field, faces, [0.0, 1.3e5], tol=1e-5)
    second = run(grid, field, transport.resume(faces, first.state), [1.3e5, 4e5], state=first.state, tol=1e-5)
    assert second.state.values == approx(whole.state.values, abs=2e-5 * 0.3)
    assert second.bath[-1, 0] == approx(whole.bath[-1, 0], abs=2e-5 * 0.3)


def test_auto_takes_it_for_uneven_blocks_and_only_for_them():
    grid, field = uneven()
    wet = {"top": Held(1.0)}
    auto, split = run(grid, field, wet, [0.0, WEEK]), run(grid, field, wet, [0.0, WEEK], method="split")
    assert auto.steps == split.steps != run(grid, field, wet, [0.0, WEEK], method="march").steps
    given = {"steps": np.linspace(0.0, WEEK, 21)[1:]}
    assert run(grid, field, wet, [0.0, WEEK], **given).steps == run(grid, field, wet, [0.0, WEEK], method="march", **given).steps


@pytest.mark.parametrize(("grid", "field"), [
    (transport.plane_grid((0.1, 0.05), (6, 5)), Field()),
    (transport.box_grid(SIZE, SHAPE), Field(storage_law=lambda c: 1.0 + c, law_range=(0.0, 1.0))),
])
def test_what_it_cannot_march_is_refused(grid, field):
    with pytest.raises(OutOfRange) as caught:
        run(grid, field, {}, [0.0, 1.0], method="split")
    assert caught.value.field == "method"
    assert caught.value.remedy
