"""The transport engine: order, conservation, bounds, histories. No published value here; see test_crank_engine.

Where a number is compared with another computation, that is a closed form of ``series`` or an independent
matrix integrated by scipy (``solve_ivp``, BDF), assembled in this file.
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
from ingle.physics.shapes import Slab
from ingle.physics.transport import Bath, Field, Held, Rates, Record, film, resume, run, slab_grid

MASS = 1e-9  # share of the total that may be missing: the promise of the engine


def total(result, water=()):
    """All content: body, baths with their dry stuff, what was lost, less what was made."""
    baths = sum(w * result.bath[:, p] + result.dry[:, p] for p, w in enumerate(water))
    return result.body + baths + result.lost - result.made


def uneven(seed=3, cells=24):
    """A slab whose storage, conductance, loss and start all change from cell to cell."""
    dice = np.random.default_rng(seed)
    return slab_grid(0.03, cells, grade=4.0), Field(
        storage=dice.uniform(80.0, 800.0, cells), conductance=dice.uniform(0.2e-7, 3e-7, cells),
        loss=dice.uniform(0.0, 1e-6, cells), start=dice.uniform(0.0, 0.1, cells),
    )


# --- order -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["slab", "cylinder", "sphere"])
def test_halving_the_cells_quarters_the_error_in_space(kind):
    def error(cells):
        grid = {
            "slab": lambda: slab_grid(1.0, cells, wet=("right",), grade=10.0),
            "cylinder": lambda: transport.cylinder_grid(1.0, cells, grade=10.0),
            "sphere": lambda: transport.sphere_grid(1.0, cells, grade=10.0),
        }[kind]()
        side = "right" if kind == "slab" else "surface"
        result = run(grid, Field(), {side: Held(1.0)}, [0.0, 0.1], tol=1e-7)
        return abs(result.mean[-1] - series.held_mean(kind, 0.1))

    assert np.log2(error(20) / error(40)) == approx(2.0, abs=0.1)


def test_halving_the_step_quarters_the_error_in_time():
    grid = slab_grid(1.0, 30)
    field = Field(start=np.sin(np.pi * grid.centres[0]), loss=0.7)
    faces = {"left": Held(0.0), "right": Bath(0.1)}

    def last(steps):
        return run(grid, field, faces, [0.0, 0.2], steps=np.linspace(0.0, 0.2, steps + 1)[1:]).state.values

    fine = last(1280)
    errors = [np.abs(last(n) - fine).max() for n in (40, 80, 160)]
    assert np.log2(errors[0] / errors[1]) == approx(2.0, abs=0.1)
    assert np.log2(errors[1] / errors[2]) == approx(2.0, abs=0.1)


def test_halving_the_step_quarters_the_error_with_properties_that_follow_the_state():
    grid = slab_grid(1.0, 30)
    field = Field(start=np.sin(np.pi * grid.centres[0]) ** 2, conductance_law=lambda c: 1.0 + 2.0 * c,
                  storage_law=lambda c: 1.0 + c)

    def last(steps):
        told = run(grid, field, {"right": film(2.0, 0.5)}, [0.0, 0.2], steps=np.linspace(0.0, 0.2, steps + 1)[1:])
        return told.state.values

    fine = last(3200)
    errors = [np.abs(last(n) - fine).max() for n in (200, 400)]
    assert np.log2(errors[0] / errors[1]) == approx(2.0, abs=0.1)


def test_a_tighter_target_brings_a_smaller_error():
    grid = slab_grid(1.0, 40, grade=10.0)
    fine = run(grid, Field(), {"left": Bath(0.2, 1.0)}, [0.0, 0.3], tol=1e-8).state.values
    loose, tight = (
        np.abs(run(grid, Field(), {"left": Bath(0.2, 1.0)}, [0.0, 0.3], tol=tol).state.values - fine).max()
        for tol in (1e-3, 1e-5)
    )
    assert loose < 1e-3
    assert tight < 1e-5


# --- against an independent solver -----------------------------------------------------------------------


def ode(grid, field, water, span, times):
    """The same body as ordinary differential equations, assembled here from resistances in a row (scipy BDF)."""
    dx, (s, k, loss, c0) = np.diff(grid.edges[2]), (np.broadcast_to(v, grid.shape) for v in (
        field.storage, field.conductance, field.loss, field.start))
    n = dx.size
    inner = 1.0 / (0.5 * dx[:-1] / k[:-1] + 0.5 * dx[1:] / k[1:])
    face = k[0] / (0.5 * dx[0])
    m = np.zeros((n + 1, n + 1))
    for i, g in enumerate(inner):
        m[i, i] -= g
        m[i, i + 1] += g
        m[i + 1, i + 1] -= g
        m[i + 1, i] += g
    m[0, 0] -= face
    m[0, n] += face
    m[n, 0] += face
    m[n, n] -= face
    m[np.arange(n), np.arange(n)] -= loss * s * dx
    m /= np.append(s * dx, water)[:, None]
    told = solve_ivp(lambda _t, y: m @ y, span, np.append(c0, 0.3), "BDF", jac=m, t_eval=times, rtol=1e-9, atol=1e-12)
    return told.y[:-1].T, told.y[-1]


def test_uneven_storage_conductance_and_loss_agree_with_scipy():
    grid, field = uneven()
    times = np.linspace(0.0, 6e5, 7)
    inside, outside = ode(grid, field, 1.2, (0.0, 6e5), times)
    result = run(grid, field, {"left": Bath(1.2, 0.3)}, times, tol=1e-4)
    assert result.values == approx(inside, abs=3e-5)  # error target x the start's widest difference, 0.3
    assert result.bath[:, 0] == approx(outside, abs=3e-5)
    assert total(result, [1.2]) == approx(total(result, [1.2])[0], rel=MASS)


def test_layers_in_a_row_let_through_what_their_resistances_say():
    """Steady flow through lean, fat, lean: 1 / sum of thickness / conductance."""
    k = np.repeat([3.0, 0.2, 3.0], 20)
    grid = slab_grid(0.6, 60)
    result = run(grid, Field(conductance=k), {"left": Held(1.0), "right": Held(0.0)}, [0.0, 20.0, 21.0])
    through = result.given[2, 0] - result.given[1, 0]
    assert through == approx(1.0 / (0.2 / 3.0 + 0.2 / 0.2 + 0.2 / 3.0), rel=1e-6)


def test_salt_evens_out_per_water_not_per_meat():
    """A dry rim and a wet core: the potential becomes even, the content does not."""
    storage = np.repeat([500.0, 750.0], 10)
    grid = slab_grid(0.02, 20)
    result = run(grid, Field(storage=storage, conductance=storage * 3e-10, start=np.repeat([0.1, 0.0], 10)),
                 {}, [0.0, 60 * 86400.0])
    assert np.ptp(result.state.values) < 1e-6
    assert result.state.values[0] == approx(0.1 * 500.0 / 1250.0, rel=1e-5)


def test_the_film_and_the_skin_of_a_bath_meet_their_closed_form():
    grid = slab_grid(1.0, 80, wet=("right",), grade=10.0)
    result = run(grid, Field(), {"right": film(2.0, 1.0)}, [0.0, 0.1, 0.3, 1.0])
    assert result.mean[1:] == approx(series.film("slab", np.array([0.1, 0.3, 1.0]), 2.0)[0], abs=1e-4)


def test_a_bath_on_two_faces_is_one_bath():
    whole = run(slab_grid(2.0, 80, grade=10.0), Field(), dict.fromkeys(("left", "right"), Bath(0.4, 1.0)), [0.0, 0.1])
    half = run(slab_grid(1.0, 40, wet=("right",), grade=10.0), Field(), {"right": Bath(0.2, 1.0)}, [0.0, 0.1])
    assert whole.bath.shape == (2, 1)
    assert whole.mean[-1] == approx(half.mean[-1], abs=1e-5)
    assert whole.mean[-1] == approx(series.bath_mean("slab", 0.1, 0.2) / 6.0, abs=1e-4)


def test_excess_then_bath_meets_its_closed_form():
    """Dry salt until it is used up, then a weakening bath; the hand-over makes and loses nothing."""
    alpha, dose = 0.05, 0.4
    shape = Slab(1.0, faces=1)
    times = np.array([0.0, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0])
    told = series.excess_then_bath(shape, times, alpha, dose=dose, saturated=1.0)
    bath = Bath(alpha, 1.0, dry=dose - alpha, saturated=1.0)
    result = run(slab_grid(1.0, 120, wet=("right",), grade=20.0), Field(), {"right": bath}, times)
    assert result.mean[1:] == approx(told.mean[1:], abs=1e-4)
    assert result.bath[1:, 0] == approx(told.surface[1:], abs=3e-4)
    assert (result.dry[:, 0] > 0).tolist() == (times < told.switch).tolist()
    assert total(result, [alpha]) == approx(dose, rel=MASS)


def test_two_baths_on_two_faces_exchange_through_the_slab():
    grid = slab_grid(0.1, 20)
    result = run(grid, Field(), {"left": Bath(0.3, 1.0, name="strong"), "right": Bath(0.5, 0.0)}, [0.0, 0.05, 20.0])
    assert result.bath[-1] == approx(np.full(2, 0.3 / 0.9), abs=1e-6)
    assert total(result, [0.3, 0.5]) == approx(0.3, rel=MASS)


def test_a_source_that_a_held_face_carries_away_leaves_a_parabola():
    grid = slab_grid(1.0, 50, wet=("right",))
    result = run(grid, Field(source=2.0), {"right": Held(0.0)}, [0.0, 10.0])
    assert result.state.values == approx(1.0 - grid.centres[0] ** 2, abs=2e-4)  # cell width squared / 2
    assert total(result)[-1] - result.given[-1, 0] == approx(0.0, abs=1e-9)
    assert result.made[-1] == approx(20.0, rel=1e-12)


def test_a_store_that_grows_with_potential_keeps_its_heat():
    """Storage 1 + 3 c between two insulated halves: heat stays, potentials meet where the heat says."""
    grid = slab_grid(1.0, 20)
    start = np.repeat([1.0, 0.0], 10)
    result = run(grid, Field(start=start, storage_law=lambda c: 1.0 + 3.0 * c), {}, [0.0, 5.0])
    assert result.body[-1] == approx(result.body[0], rel=MASS)
    end = (-1.0 + np.sqrt(1.0 + 6.0 * result.body[0])) / 3.0  # c + 1.5 c2 = heat
    assert result.state.values == approx(np.full(20, end), abs=1e-4)


def test_diffusion_that_grows_with_strength_meets_a_steady_wall():
    """D = 1 + c between 1 and 0: (1 + c)^2 falls straight from 4 to 1 (Kirchhoff's transformation)."""
    grid = slab_grid(1.0, 100)
    result = run(grid, Field(conductance_law=lambda c: 1.0 + c), {"left": Held(1.0), "right": Held(0.0)}, [0.0, 5.0])
    assert result.state.values == approx(np.sqrt(4.0 - 3.0 * grid.centres[0]) - 1.0, abs=1e-4)


# --- more axes -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", ["auto", "march"])
def test_a_box_is_the_product_of_three_slabs(method):
    """Newman's product for held faces; one eighth by symmetry."""
    grid = transport.box_grid((1.0, 1.2, 0.8), (32, 32, 32), wet=("right", "back", "top"), grade=4.0)
    result = run(grid, Field(), dict.fromkeys(("right", "back", "top"), Held(1.0)), [0.0, 0.05, 0.2], keep=False,
                 method=method, tol=1e-3, watch=[transport.at_point(grid, (0, 0, 0), sealed=("left", "front", "bottom"))])
    fo = [np.array([0.05, 0.2]) / length**2 for length in (1.0, 1.2, 0.8)]
    assert result.mean[1:] == approx(1.0 - np.prod([1.0 - series.held_mean("slab", f) for f in fo], axis=0), abs=1e-3)
    core = 1.0 - np.prod([1.0 - series.held_core("slab", f) for f in fo], axis=0)
    assert result.watched[1:, 0] == approx(core, abs=1e-3)


@pytest.mark.parametrize("method", ["auto", "march"])
def test_a_short_cylinder_is_the_product_of_cylinder_and_slab(method):
    grid = transport.short_cylinder_grid(1.0, 1.5, (24, 24), wet=("side", "top"), grade=10.0)
    result = run(grid, Field(), dict.fromkeys(("side", "top"), Held(1.0)), [0.0, 0.1], tol=1e-3, method=method)
    rest = (1.0 - series.held_mean("cylinder", 0.1)) * (1.0 - series.held_mean("slab", 0.1 / 1.5**2))
    assert result.mean[-1] == approx(1.0 - rest, abs=1e-3)


def drawn():
    """A disc drawn on squares, fat over lean, with a rind of small conductance below."""
    n = 24
    x, y = np.meshgrid(np.arange(n) + 0.5, np.arange(n) + 0.5, indexing="ij")
    inside = np.hypot(x - n / 2, y - n / 2) < n / 2
    grid = transport.plane_grid((0.06, 0.06), (n, n), inside=inside)
    water = np.where(y > 0.7 * n, 100.0, 750.0)
    k = np.where(y > 0.7 * n, 0.02, 1.0) * 2.5e-7 * np.where(y < 3, 1e-3, 1.0)
    return grid, Field(storage=water, conductance=k, loss=np.where(y > 0.7 * n, 0.0, 5e-7)), inside


def test_a_drawn_section_keeps_every_grain_and_its_bounds():
    grid, field, inside = drawn()
    result = run(grid, field, {"rim": Bath(0.15, 0.3)}, [0.0, 8e4, 4e5], tol=1e-3)
    assert total(result, [0.15]) == approx(0.15 * 0.3, rel=MASS)
    assert result.values[:, inside].min() >= -3e-4
    assert result.values[:, inside].max() <= 0.3 + 3e-4
    assert (result.values[:, ~inside] == 0.0).all()


def test_a_drawn_section_agrees_with_scipy():
    """Independent assembly: every face between two cells inside, half cells in a row; scipy BDF."""
    grid, field, inside = drawn()
    number = np.full(inside.shape, -1)
    number[inside] = np.arange(inside.sum())
    n, w = int(inside.sum()), 0.06 / 24
    m, k, s = np.zeros((n + 1, n + 1)), np.asarray(field.conductance), np.asarray(field.storage)

    def link(a, b, g):
        m[a, a] -= g
        m[b, b] -= g
        m[a, b] += g
        m[b, a] += g

    for i, j in np.argwhere(inside):
        for u, v in ((i + 1, j), (i, j + 1), (i - 1, j), (i, j - 1)):
            within = 0 <= u < 24 and 0 <= v < 24
            if within and inside[u, v] and (u, v) > (i, j):
                link(number[i, j], number[u, v], 2.0 / (1.0 / k[i, j] + 1.0 / k[u, v]))
            elif within and not inside[u, v]:
                link(number[i, j], n, 2.0 * k[i, j])
    m[np.arange(n), np.arange(n)] -= np.asarray(field.loss)[inside] * s[inside] * w * w
    m /= np.append(s[inside] * w * w, 0.15)[:, None]
    told = solve_ivp(lambda _t, y: m @ y, (0, 4e5), np.append(np.zeros(n), 0.3), "BDF", jac=m, rtol=1e-7, atol=1e-10)
    result = run(grid, field, {"rim": Bath(0.15, 0.3)}, [0.0, 4e5])
    assert result.bath[-1, 0] == approx(told.y[-1, -1], abs=3e-5)
    assert result.state.values[inside] == approx(told.y[:-1, -1], abs=3e-5)


# --- histories -------------------------------------------------------------------------------------------


def test_a_history_of_cure_drain_soak_rest_and_drying_loses_nothing():
    grid, field = uneven()
    field = replace(field, start=0.0, loss=np.asarray(field.loss))
    given_away = 0.0
    cure = run(grid, field, {"left": Bath(0.5, 0.36, dry=0.9, saturated=0.36)}, [0.0, 2e5])
    entered = cure.given[-1, 0]
    lost = cure.lost[-1]
    soak = run(grid, field, {"left": Bath(5.0)}, [2e5, 2.02e5], state=cure.state)
    given_away -= soak.given[-1, 0]
    rest = run(grid, field, {}, [2.02e5, 6e5], state=soak.state)
    dry = run(grid, field, {"left": film(1e-6, 0.0)}, [6e5, 7e5], state=rest.state)
    given_away -= dry.given[-1, 0]
    lost += soak.lost[-1] + rest.lost[-1] + dry.lost[-1]
    assert dry.body[-1] == approx(entered - given_away - lost, rel=MASS)
    assert np.ptp(rest.state.values) < np.ptp(soak.state.values)


@settings(max_examples=12)
@given(cut=st.floats(0.02, 0.98), dry=st.sampled_from([0.0, 0.3]), seed=st.integers(0, 50))
def test_splitting_a_stage_changes_nothing(cut, dry, seed):
    grid, field = uneven(seed)
    faces = {"left": Bath(0.4, 0.36, dry=dry, saturated=0.36)}
    end = 3e5
    whole = run(grid, field, faces, [0.0, end])
    first = run(grid, field, faces, [0.0, cut * end])
    second = run(grid, field, resume(faces, first.state), [cut * end, end], state=first.state)
    assert np.abs(second.state.values - whole.state.values).max() < 10 * 1e-4 * 0.36
    assert second.bath[-1, 0] == approx(whole.bath[-1, 0], abs=10 * 1e-4 * 0.36)


def test_outputs_between_steps_do_not_change_the_march():
    grid, field = uneven()
    few = run(grid, field, {"left": Bath(0.4, 0.3)}, [0.0, 3e5])
    many = run(grid, field, {"left": Bath(0.4, 0.3)}, np.linspace(0.0, 3e5, 301))
    assert (few.state.values == many.state.values).all()
    assert total(many, [0.4]) == approx(total(many, [0.4])[0], rel=MASS)


def test_only_the_integral_of_the_rate_counts_for_one_tissue():
    """Any temperature record with the same integral of D dt ends alike (a law of linear diffusion)."""
    grid = slab_grid(1.0, 40, grade=8.0)
    faces = {"left": Bath(0.2, 1.0)}
    even = run(grid, Field(), faces, [0.0, 0.3])
    rough = run(grid, Field(), faces, [0.0, 0.3], rates=Rates([0.0, 0.1, 0.1, 0.2, 0.3], [0.5, 0.5, 2.0, 1.0, 0.0]))
    assert rough.mean[-1] == approx(run(grid, Field(), faces, [0.0, 0.25]).mean[-1], abs=1e-4)
    assert even.mean[-1] > rough.mean[-1]


def test_a_programme_that_jumps_is_met_to_the_second():
    grid = slab_grid(1.0, 20)
    oven = Record([0.0, 0.1, 0.1, 9.0], [1.0, 1.0, 0.0, 0.0])
    whole = run(grid, Field(), {"left": film(5.0, oven)}, [0.0, 0.1, 0.3])
    hot = run(grid, Field(), {"left": film(5.0, 1.0)}, [0.0, 0.1])
    cold = run(grid, Field(), {"left": film(5.0, 0.0)}, [0.1, 0.3], state=hot.state, scale=1.0)
    assert whole.mean[-1] == approx(cold.mean[-1], abs=1e-4)


def test_several_solutes_share_a_grid():
    grid = slab_grid(0.02, 20)
    both = transport.run_each(
        grid, {"salt": Field(conductance=3e-10), "nitrite": Field(conductance=3e-10, loss=6e-7)},
        {"salt": {"left": Bath(0.002, 0.3)}, "nitrite": {"left": Bath(0.002, 0.001)}}, [0.0, 5e5])
    assert both["salt"].lost[-1] == 0.0
    assert both["nitrite"].lost[-1] > 0.05 * 0.002 * 0.001
    alone = run(grid, Field(conductance=3e-10, loss=6e-7), {"left": Bath(0.002, 0.001)}, [0.0, 5e5])
    assert both["nitrite"].mean[-1] == alone.mean[-1]


# --- laws over random pieces -----------------------------------------------------------------------------

seeds = st.integers(0, 10_000)


@given(seed=seeds, water=st.floats(0.02, 50.0), dry=st.floats(0.0, 3.0))
def test_mass_stays_in_any_piece(seed, water, dry):
    grid, field = uneven(seed, cells=12)
    result = run(grid, field, {"left": Bath(water, 0.2, dry=dry, saturated=0.36)}, [0.0, 1e3, 1e5, 1e6], tol=1e-3)
    told = total(result, [water])
    assert told == approx(told[0], rel=MASS)


@given(seed=seeds, water=st.floats(0.02, 50.0))
def test_no_value_leaves_the_range_of_start_and_outside(seed, water):
    grid, field = uneven(seed, cells=12)
    field = replace(field, loss=0.0)
    result = run(grid, field, {"left": Bath(water, 0.3), "right": Held(0.05)}, np.linspace(0.0, 1e6, 9), tol=1e-3)
    low, high = min(np.min(field.start), 0.05), 0.3
    assert result.values.min() >= low - 1e-3 * 0.3
    assert result.values.max() <= high + 1e-3 * 0.3


def test_steps_far_too_long_fall_back_and_stay_in_range():
    """With a target that refuses nothing, only the fall-back to implicit Euler keeps the bounds."""
    grid = slab_grid(1.0, 50)
    start = run(grid, Field(), {}, [0.0, 1e-9]).state
    result = run(grid, Field(), {"left": Held(1.0)}, [0.0, 1e-2, 5e-2], state=replace(start, step=0.05), tol=100.0)
    assert result.steps.euler > 0
    assert result.steps.refused == 0
    assert result.state.values.min() >= -1e-7
    assert result.state.values.max() <= 1.0 + 1e-7


@given(seed=seeds)
def test_uptake_from_a_held_face_never_falls(seed):
    grid, field = uneven(seed, cells=12)
    result = run(grid, replace(field, start=0.0, loss=0.0), {"left": Held(0.3)}, np.linspace(0.0, 1e6, 30), tol=1e-3)
    assert (np.diff(result.body) >= -1e-3 * 1e-2 * result.body.max()).all()


@given(seed=seeds)
def test_a_mirrored_piece_gives_mirrored_values(seed):
    grid, field = uneven(seed, cells=12)
    turned = Field(*(np.asarray(getattr(field, a))[::-1] for a in ("storage", "conductance", "loss")), 0.0,
                   np.asarray(field.start)[::-1])
    one = run(grid, field, {"left": Bath(0.5, 0.3)}, [0.0, 2e5])
    other = run(grid, turned, {"right": Bath(0.5, 0.3)}, [0.0, 2e5])
    assert one.state.values == approx(other.state.values[::-1], rel=1e-6, abs=1e-9)


@given(seed=seeds, warmer=st.floats(1.0, 3.0))
def test_warmer_is_never_slower(seed, warmer):
    grid, field = uneven(seed, cells=12)
    field = replace(field, start=0.0, loss=0.0)
    times = [0.0, 1e4, 1e5, 5e5]
    cold = run(grid, field, {"left": Bath(2.0, 0.3)}, times)
    warm = run(grid, field, {"left": Bath(2.0, 0.3)}, times, rates=Rates([0.0], [warmer]))
    assert (warm.body >= cold.body - 1e-4 * 0.6).all()


# --- refusals --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("act", [
    lambda g: run(g, Field(), {"top": Held(1.0)}, [0.0, 1.0]),
    lambda g: run(g, Field(), {}, [0.0, 0.0]),
    lambda g: run(g, Field(storage=0.0), {}, [0.0, 1.0]),
    lambda g: run(g, Field(conductance=-1.0), {}, [0.0, 1.0]),
    lambda g: run(g, Field(start=[1.0, 2.0]), {}, [0.0, 1.0]),
    lambda g: run(g, Field(start=np.nan), {}, [0.0, 1.0]),
    lambda g: run(g, Field(conductance_law=lambda c: c - 0.5), {}, [0.0, 1.0]),
    lambda g: run(g, Field(), {"left": Held(1.0, transfer=0.0)}, [0.0, 1.0]),
    lambda g: run(g, Field(), {}, [0.0, 1.0], rates=Rates([1.0, 0.0], [1.0, 1.0])),
    lambda _: Bath(0.0, 1.0),
    lambda _: Bath(1.0, 1.0, dry=1.0),
    lambda _: Record([1.0, 0.0], [1.0, 1.0]),
    lambda _: slab_grid(0.0, 10),
    lambda g: transport.at_point(g, (2.0,)),
])
def test_what_cannot_be_is_refused_with_what_to_do(act):
    with pytest.raises(OutOfRange) as caught:
        act(slab_grid(1.0, 5))
    assert caught.value.remedy
    assert caught.value.field


# --- cost ------------------------------------------------------------------------------------------------


def test_counts_do_not_grow_with_the_number_of_cells():
    """One turn a stage in one dimension, and about as many steps on a finer grid: the work grows with the cells."""
    few, many = (run(slab_grid(1.0, n, wet=("left",), grade=20.0), Field(), {"left": Bath(0.1, 1.0)}, [0.0, 1.0]).steps
                 for n in (50, 200))
    assert few.turns == 3 * (few.taken + few.refused)
    assert many.turns == 3 * (many.taken + many.refused)
    assert many.taken < 1.5 * few.taken
