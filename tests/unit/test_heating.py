"""The march of heated bodies: closed forms, order, conservation, members, melting.

Numbers it is compared with are closed forms of ``series`` (themselves judged by published tables) or other runs of the march;
general solvers judge it in ``tests/peers/test_peer_heating.py``.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx

from ingle.ground.errors import OutOfRange
from ingle.physics import heating, series
from ingle.physics.shapes import Box, Cylinder, Slab, Sphere

K, C, H, COLD, HOT = 0.45, 1070.0 * 3500.0, 25.0, 277.15, 383.15
MEAT = heating.constant(K, C)
BODIES = {
    "slab": (heating.slab(0.08), Slab(0.08)),
    "round": (heating.cylinder(0.10, cells=(16, 3)), Cylinder(0.05)),
    "ball": (heating.sphere(0.09), Sphere(0.045)),
    "roast": (heating.cylinder(0.10, 0.20), Cylinder(0.05, 0.20)),
    "box": (heating.box(0.16, 0.11, 0.07), Box(0.16, 0.11, 0.07)),
}


def cooked(body, matter=MEAT, outside=None, seconds=7200.0, start=COLD, **more):
    return heating.run(body, matter, heating.begin(body, matter, start), outside or heating.film(H, HOT), seconds, **more)


@pytest.mark.parametrize("name", BODIES)
def test_core_mean_and_surface_are_those_of_the_closed_form(name):
    body, shape = BODIES[name]
    course = cooked(body)
    exact = series.film_surface(shape, course.times * K / C, H / K, outside=HOT, start=COLD)
    late = course.times > 1200.0  # before, a film's first minutes lie within one cell
    for what, tolerance in (("core", 2e-3), ("mean", 3e-3), ("surface", 5e-3)):  # of the whole change, on a dozen cells
        assert getattr(course, what)[late, 0] == approx(getattr(exact, what)[late], abs=tolerance * (HOT - COLD)), what


def test_the_roast_of_the_closed_form_is_done_at_its_second():
    body = heating.cylinder(0.10, 0.20, cells=(16, 12))
    course = cooked(body, until=341.15, seconds=30000.0)
    assert course.reached == approx(8381.336, rel=1e-3)  # 30 x 30 modes by SciPy, see test_film_compiled
    assert course.core[-1, 0] == approx(341.15, abs=1e-6)
    assert course.steps < 60


def test_halving_the_cells_quarters_the_error_and_halving_steps_leaves_it():
    exact = 8381.33607696

    def error(cells, fineness=4.0):
        return cooked(heating.cylinder(0.10, 0.20, cells=cells), until=341.15, seconds=30000.0, fineness=fineness).reached - exact

    coarse, fine = error((8, 6)), error((16, 12))
    assert math.log2(coarse / fine) == approx(2.0, abs=0.25)
    steps = [cooked(heating.slab(0.08), until=341.15, seconds=9e4, fineness=f).reached for f in (1.0, 2.0, 4.0)]
    assert abs(steps[1] - steps[2]) < 0.45 * abs(steps[0] - steps[1])  # at least second order by the length of steps


def soft(members=1):
    """Properties that climb and a melting peak, on a table."""
    t = np.arange(240.0, 400.1, 0.5)
    ice = 2.2e8 * np.clip((t - 262.0) / (272.0 - 262.0), 0.0, 1.0) ** 3
    return heating.tabled(t, np.tile(0.45 + 1.5e-3 * (t - 273.0) + 0.8 * (t < 271.0), (members, 1)),
                          np.tile(3.5e6 * (t - 240.0) + 400.0 * (t - 240.0) ** 2 + ice, (members, 1)))  # fmt: skip


def steaming(face, surface, time, lost):  # noqa: ARG001
    """A film with vapour that grows as it does in nature."""
    vapour = 2e-5 * np.exp(0.05 * (surface - 290.0)) / (1.0 + lost)
    return heating.Flux(30.0 * (433.0 - surface) - 2.3e6 * vapour, 30.0 + 0.05 * 2.3e6 * vapour, vapour, 0.05 * vapour)


@pytest.mark.parametrize("start", [COLD, 255.15])
@pytest.mark.parametrize("name", BODIES)
def test_what_the_faces_give_is_what_the_body_holds(name, start):
    course = cooked(BODIES[name][0], soft(), steaming, 5400.0, start)
    assert course.heat == approx(course.stored, rel=1e-9, abs=1e-6 * course.stored[-1, 0])
    assert (np.diff(course.lost[:, 0]) > 0).all()


def test_vapour_takes_its_heat_from_the_face():
    """Over a long time the face rests where film and vapour are even, whatever the inside does."""
    course = cooked(heating.slab(0.02), soft(), lambda f, s, t, w: steaming(f, s, t, 0.0 * w), 60000.0)
    rest = course.surface[-1, 0]
    flux = steaming("", np.array(rest), 0.0, 0.0)
    assert abs(float(flux.heat)) < 1.0 and course.core[-1, 0] == approx(rest, abs=0.05)


def test_each_member_is_cooked_as_if_alone():
    thick, films = np.array([0.06, 0.07, 0.09]), np.array([15.0, 25.0, 40.0])
    many = cooked(heating.box(0.16 * np.ones(3), 0.12 * np.ones(3), thick), soft(3), heating.film(films, HOT), fineness=3.0)
    for i in range(3):
        one = cooked(heating.box(0.16, 0.12, thick[i]), soft(), heating.film(films[i], HOT), fineness=3.0)
        assert many.core[-1, i] == approx(one.core[-1, 0], abs=0.02)  # other steps, same answer
        assert many.heat[-1, i] == approx(one.heat[-1, 0], rel=2e-4)


def test_a_march_that_is_parted_goes_on_where_it_stopped():
    whole = cooked(BODIES["roast"][0], soft(), steaming, 6000.0, breaks=(2500.0,))
    first = cooked(BODIES["roast"][0], soft(), steaming, 2500.0)
    second = heating.run(BODIES["roast"][0], soft(), first.state, steaming, 6000.0)
    both = heating.join(first, second)
    assert both.core[-1, 0] == approx(whole.core[-1, 0], abs=0.02)  # first steps after the stop differ in length
    assert both.heat[-1, 0] == approx(whole.heat[-1, 0], rel=1e-3)
    assert both.lost[-1, 0] == approx(whole.lost[-1, 0], rel=1e-3)
    assert both.heat == approx(both.stored, rel=1e-9, abs=1e-6 * both.stored[-1, 0])


def test_one_sealed_side_is_half_of_a_piece_twice_as_thick():
    half, whole = heating.one_sided(0.04, cells=16), heating.slab(0.08, cells=16)
    assert cooked(half, soft(), steaming).core[-1, 0] == approx(cooked(whole, soft(), steaming).core[-1, 0], abs=1e-9)


def test_two_like_faces_by_name_are_the_symmetric_piece():
    named = heating.slab(0.08, cells=40, sides=("bottom", "top"))
    a = cooked(named, place=0.5).core[-1, 0]
    assert a == approx(cooked(heating.slab(0.08, cells=20)).core[-1, 0], abs=0.05)
    assert heating.lagging_place(named, cooked(named).state.temperature) == approx(0.5, abs=0.01)


def test_a_colder_underside_moves_the_slowest_place_down():
    body = heating.slab(0.08, cells=40, sides=("bottom", "top"))

    def tray(face, surface, time, lost):  # noqa: ARG001
        h = np.full(surface.shape, 8.0 if face == "bottom" else 30.0)
        return heating.Flux(h * (HOT - surface), h)

    assert heating.lagging_place(body, cooked(body, outside=tray).state.temperature) < 0.4


def test_warmer_air_is_never_slower_and_thicker_never_faster():
    air = np.array([360.0, 380.0, 400.0])
    course = cooked(heating.slab(0.07 * np.ones(3)), outside=heating.film(H, air))
    assert (np.diff(course.core[1:], axis=1) >= -1e-9).all()
    thick = cooked(heating.slab(np.array([0.05, 0.06, 0.08])))
    assert (np.diff(thick.core[1:], axis=1) <= 1e-9).all()


def test_a_start_above_the_air_cools_and_never_overshoots():
    body = BODIES["box"][0]
    course = cooked(body, soft(), heating.film(300.0, 274.15), 4 * 3600.0, 345.15, until=278.15)
    assert course.reached is not None
    assert (np.diff(course.core[:, 0]) <= 1e-6).all() and course.state.temperature.min() > 274.15 - 1e-6


def test_frozen_meat_thaws_later_by_its_ice():
    t = np.arange(240.0, 400.1, 0.5)
    plain = heating.tabled(t, 0.45 + 0.0 * t, 3.5e6 * (t - 240.0))
    ice = heating.tabled(t, 0.45 + 0.0 * t, 3.5e6 * (t - 240.0) + 2.2e8 * np.clip((t - 262.0) / 10.0, 0.0, 1.0) ** 3)
    without, thawed, finer = (
        cooked(heating.slab(0.05), m, start=255.15, until=283.15, seconds=9e4, fineness=f) for m, f in ((plain, 1.0), (ice, 1.0), (ice, 4.0))
    )
    assert thawed.reached > 1.5 * without.reached
    assert thawed.heat[-1] == approx(thawed.stored[-1], rel=1e-9)
    assert thawed.reached == approx(finer.reached, rel=0.01)  # the front jumps from cell to cell and is met by whole steps


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: heating.slab(-0.05), "thickness"),
        (lambda: heating.box(0.2, np.ones(2), np.ones(3)), "width"),
        (lambda: heating.constant(0.0, C), "conductivity"),
        (lambda: heating.tabled([270.0, 280.0, 300.0], [1, 1, 1], [1, 2, 3]), "temperature"),
        (lambda: heating.begin(heating.slab(0.05), MEAT, -5.0), "start"),
        (lambda: cooked(heating.slab(0.05), seconds=0.0), "end"),
        (lambda: cooked(heating.slab(0.05), soft(), heating.film(H, 500.0), 90000.0), "temperature"),
        (lambda: cooked(heating.Body((heating.slab(0.05, sides=("", "")).axes), 1.0)), "faces"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(call, field):
    with pytest.raises(OutOfRange) as why:
        call()
    assert why.value.field == field


def freezing():
    """A meat that freezes between 272 and 265 K: 250 MJ/m3 of ice over seven kelvin, 3.6 MJ/m3K above, 2 below (invented, of the usual size)."""
    t = np.arange(233.0, 300.0, 0.5)
    above, below = 3.6e6 * np.maximum(t - 272.0, 0.0), 2.0e6 * np.minimum(t - 265.0, 0.0)
    return heating.tabled(t, np.where(t < 268.0, 1.2, 0.45), above + below + 2.5e8 / 7.0 * np.clip(t - 265.0, 0.0, 7.0))


@pytest.mark.parametrize("air", [255.0, 263.0])
def test_what_freezes_is_never_colder_than_its_air_and_gives_all_its_heat(air):
    told = cooked(heating.slab(0.04), freezing(), heating.film(12.0, air), 40 * 3600.0, 278.0)
    assert min(float(f.min()) for f in (told.core, told.surface, told.mean)) >= air - 0.1  # to what a step must agree with its heat
    assert (np.diff(told.core[:, 0]) <= 0.1).all()
    assert told.core[-1, 0] < 265.0
    assert told.heat[-1] == approx(told.stored[-1], rel=1e-9)
    met = [cooked(heating.slab(0.04), freezing(), heating.film(12.0, air), 40 * 3600.0, 278.0, until=266.0, fineness=f).reached for f in (1.0, 4.0)]
    assert met[0] == approx(met[1], rel=0.05)  # the front jumps from cell to cell and is met by whole steps
