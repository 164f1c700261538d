"""The ensemble's engine against exact series and an independent solver, and what may never break."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ingle.ground.errors import OutOfRange
from ingle.physics import histories, series
from ingle.physics.histories import Surface

D = 3e-10 / 0.025**2  # 1/s: 3e-10 m2/s over a path of 25 mm
DAY = 86400.0
NO_LOSS = lambda k, m: lambda _s: np.zeros((k, m))  # noqa: E731


def steady(k, m, rate=D):
    return lambda _s: np.full((k, m), rate)


def in_bath(kind, alpha, salt, days, cells=40, steps=80, saturated=None, first=0.006):
    grid = histories.depth(kind, cells, first)
    p = histories.fresh(grid, np.array([0.74]), 1)
    p = histories.add(p, np.array([alpha * 0.74]), np.array([[salt]]))
    surface = Surface() if saturated is None else Surface(saturated=np.array([saturated]))
    return histories.march(grid, p, histories.steps_of(days * DAY, steps), steady(1, 1), NO_LOSS(1, 1), surface)


@pytest.mark.parametrize("kind", ["slab", "cylinder", "sphere"])
@pytest.mark.parametrize("alpha", [0.05, 0.3, 1.5])
def test_finite_bath_meets_the_exact_series(kind, alpha):
    """Crank 1975, finite bath by its own roots: mean, core and bath within 2e-3 of the final value on 40 cells, 80 steps."""
    days = 6.0 if kind == "slab" else 2.0
    p = in_bath(kind, alpha, 0.02, days)
    final = 0.02 / 0.74 / (1 + alpha)
    mean, core, bath = series.bath(kind, D * days * DAY, alpha)
    assert p.solute.sum() / 0.74 / final == pytest.approx(float(mean), abs=2e-3)
    assert p.strength[0, 0, 0] / final == pytest.approx(float(core), abs=3e-3)
    assert p.dissolved[0, 0] / p.brine[0] / final == pytest.approx(float(bath), abs=2e-3)


def test_saturated_until_the_dry_salt_is_gone_meets_the_exact_series():
    """The eigenfunctions continued from the switch: within 3e-3 of the final value."""
    alpha, dose, top = 0.05, 0.05, 0.358
    p = in_bath("slab", alpha, dose, 6.0, steps=160, saturated=top)
    reach = dose / 0.74 / top - alpha
    mean, core, _ = series.excess("slab", D * 6 * DAY, alpha, reach)
    final = dose / 0.74 / (1 + alpha)
    assert p.solute.sum() / 0.74 / final == pytest.approx(float(mean) * top / final, abs=3e-3)
    assert p.strength[0, 0, 0] / final == pytest.approx(float(core) * top / final, abs=5e-3)


def test_error_falls_with_the_square_of_cells_and_of_steps():
    """Order 2 in space; at least 1.6 in time on steps that are even in the square root of time."""

    def off(cells, steps):
        p = in_bath("slab", 0.3, 0.02, 5.0, cells=cells, steps=steps, first=0.32 / cells)
        final = 0.02 / 0.74 / 1.3
        return abs(p.strength[0, 0, 0] / final - float(series.bath("slab", D * 5 * DAY, 0.3)[1]))

    assert np.log2(off(16, 800) / off(32, 800)) == pytest.approx(2.0, abs=0.5)
    fine = in_bath("slab", 0.3, 0.02, 5.0, cells=24, steps=1600).strength[0, 0, 0]
    coarse, half = (abs(in_bath("slab", 0.3, 0.02, 5.0, cells=24, steps=n).strength[0, 0, 0] - fine) for n in (20, 40))
    assert np.log2(coarse / half) > 1.6


def test_water_and_loss_that_vary_in_space_against_an_independent_solver():
    """SciPy's BDF on equations assembled here by hand: uneven water, first-order loss, finite bath; 1e-3 of the largest."""
    grid = histories.depth("slab", 30, first=0.02)
    share, edges, n = grid.share, grid.edges, 30
    water = share * (0.3 + 0.5 * grid.middle)
    start = 0.05 * np.exp(-5 * grid.middle)
    loss, brine, salt = 3e-6, 0.06, 0.02
    p = histories.fresh(grid, np.array([0.74]), 1)
    p = histories.replace(p, water=water[:, None], solute=(start * water)[:, None, None])
    p = histories.add(p, np.array([brine]), np.array([[salt]]))
    told = histories.march(
        grid, p, histories.steps_of(3 * DAY, 200), steady(1, 1), lambda _s: np.full((1, 1), loss), Surface()
    )
    solid = 0.26 * share / 1.3  # Mackie and Meares: ((1 - f)/(1 + f))**2, f the volume share of what is not water
    f, f0 = solid / (solid + water), 0.2 / 0.94
    wide, thick = np.diff(edges), water / share * ((1 - f) / (1 + f)) ** 2 / ((1 - f0) / (1 + f0)) ** 2

    def rate(_t, y):
        c, bath = y[:-1] / water, y[-1] / brine
        between = D * (c[1:] - c[:-1]) / (wide[:-1] / 2 / thick[:-1] + wide[1:] / 2 / thick[1:])
        into = D * (bath - c[-1]) * thick[-1] / (wide[-1] / 2)
        flow = np.zeros(n)
        flow[:-1] += between
        flow[1:] -= between
        flow[-1] += into
        return np.append(flow - loss * y[:-1], -into)

    y = solve_ivp(rate, (0, 3 * DAY), np.append(start * water, salt), method="BDF", rtol=1e-8, atol=1e-12).y[:, -1]
    assert told.solute[:, 0, 0] == pytest.approx(y[:-1], abs=1e-3 * y[:-1].max())
    assert told.dissolved[0, 0] == pytest.approx(y[-1], abs=1e-3 * salt)


@given(
    st.lists(st.sampled_from(["rub", "pour", "rinse", "rest", "dry", "top-up", "soak"]), min_size=1, max_size=6),
    st.floats(0.01, 0.08), st.sampled_from(["slab", "cylinder", "sphere"]), st.floats(0, 1e-5),
)  # fmt: skip
def test_every_account_closes_and_nothing_leaves_its_range(kinds, dose, kind, loss):
    grid = histories.depth(kind, 20)
    m = 3
    p = histories.fresh(grid, np.full(m, 0.74), 2)
    given_so_far = np.zeros((2, m))
    water_in = np.full(m, 0.74)
    top = np.array([0.358, np.inf])
    pace = lambda _s: np.outer([1.0, 0.5], [D, 3 * D, 0.3 * D])  # noqa: E731
    rate = lambda _s: np.array([[0.0] * m, [loss] * m])  # noqa: E731
    tends = lambda c: 0.74 + np.where(c < 0.17, 0.08 * (1 - c / 0.17), -0.04)  # noqa: E731
    for what in kinds:
        surface, wet = Surface(open=False), None
        if what in ("rub", "top-up", "soak"):
            put = np.full((2, m), dose) if what != "soak" else np.zeros((2, m))
            water = np.full(m, 0.003 if what != "soak" else 2.0)
            p, given_so_far, water_in = histories.add(p, water, put), given_so_far + put, water_in + water
            surface = Surface(saturated=top, exchange=tends, exchange_s=np.full(m, 1e5))
        elif what == "pour":
            p = histories.pour(p)
        elif what == "rinse":
            p = histories.pour(p)
            surface = Surface(endless=True)
        elif what == "dry":
            surface, wet = Surface(open=False, drying=lambda _c, x: 1e-7 * x), lambda _s: np.full(m, 0.2 * D)
        p = histories.march(grid, p, histories.steps_of(2 * DAY, 16), pace, rate, surface, water_pace=wet)
        assert p.total() == pytest.approx(given_so_far, rel=1e-9, abs=1e-12)
        assert p.water.sum(0) + p.brine + p.poured_water + p.evaporated == pytest.approx(water_in, rel=1e-9)
        assert (p.solute >= -1e-12).all()
        assert (p.dissolved >= -1e-12).all()
        assert (p.water > 0).all()


def test_splitting_a_stage_changes_little_and_warmer_is_never_slower():
    grid = histories.depth("slab", 30)
    p = histories.add(histories.fresh(grid, np.array([0.74, 0.74]), 1), np.full(2, 0.04), np.full((1, 2), 0.02))
    pace = lambda _s: np.array([[D, 1.3 * D]])  # noqa: E731
    whole = histories.march(grid, p, histories.steps_of(4 * DAY, 60), pace, NO_LOSS(1, 2), Surface())
    half = histories.march(grid, p, histories.steps_of(2 * DAY, 60), pace, NO_LOSS(1, 2), Surface())
    both = histories.march(grid, half, histories.steps_of(2 * DAY, 60), pace, NO_LOSS(1, 2), Surface())
    assert both.strength == pytest.approx(whole.strength, abs=2e-3 * whole.strength.max())
    assert whole.strength[0, 0, 1] > whole.strength[0, 0, 0]


def test_rest_evens_out_to_the_mean_and_keeps_all():
    grid = histories.depth("slab", 30)
    p = histories.add(histories.fresh(grid, np.array([0.74]), 1), np.array([0.04]), np.array([[0.02]]))
    p = histories.march(grid, p, histories.steps_of(DAY, 40), steady(1, 1), NO_LOSS(1, 1), Surface())
    p = histories.pour(p)
    held = p.solute.sum()
    p = histories.march(grid, p, histories.steps_of(60 * DAY, 60), steady(1, 1), NO_LOSS(1, 1), Surface(open=False))
    assert p.solute.sum() == pytest.approx(held, rel=1e-12)
    assert p.strength[:, 0, 0] == pytest.approx(np.full(30, held / 0.74), rel=1e-4)


def test_unknown_shape_is_refused():
    with pytest.raises(OutOfRange) as caught:
        histories.depth("blob")
    assert caught.value.field == "kind"
