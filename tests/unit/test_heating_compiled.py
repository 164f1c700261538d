"""The compiled march against the one in NumPy: one method, two ways to write it."""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from ingle.ground.errors import OutOfRange
from ingle.physics import heating, heating_compiled

T = np.arange(240.0, 400.1, 1.0)
SOFT = heating.tabled(T, 0.45 * (1.0 + 1e-3 * (T - 313.0)), 3.7e6 * ((T - 240.0) + 2.5e-4 * ((T - 313.0) ** 2 - 73.0**2)))
ICE = heating.tabled(T, 0.45 + 0.8 * (T < 271.0), 3.5e6 * (T - 240.0) + 2.2e8 * np.clip((T - 262.0) / 10.0, 0.0, 1.0) ** 3)


@pytest.mark.parametrize("matter", [SOFT, ICE, heating.constant(0.45, 3.745e6)], ids=["soft", "ice", "constant"])
@pytest.mark.parametrize(("start", "air", "core"), [(277.15, 383.15, 341.15), (255.15, 395.0, 330.0), (345.15, 276.15, 283.15)])
def test_it_takes_the_steps_of_the_march_in_numpy(matter, start, air, core):
    body = heating.cylinder(0.09, 0.15, cells=(9, 7))
    slow = heating.run(body, matter, heating.begin(body, matter, start), heating.film(22.0, air), 2e5, until=core)
    when, times, cores = heating_compiled.time_to_core(body, matter, start, (22.0, 22.0), air, core)
    if matter is ICE and start < 273.0:  # the compiled march takes a step that melts through in one, not in halves
        assert when == approx(slow.reached, rel=1e-3)
        return
    assert when == approx(slow.reached, abs=1e-3)  # round-off grows through the lengths of steps
    assert times[:-1] == approx(slow.times[:-1], abs=1e-2) and cores[:-1] == approx(slow.core[:-1, 0], abs=1e-5)


def test_without_the_compiler_the_answer_is_the_same(monkeypatch):
    body = heating.cylinder(0.09, 0.15, cells=(9, 7))
    fast = heating_compiled.time_to_core(body, SOFT, 277.15, (22.0, 30.0), 383.15, 341.15)[0]
    monkeypatch.setattr(heating_compiled.heating_kernels, "COMPILED", False)
    assert heating_compiled.time_to_core(body, SOFT, 277.15, (22.0, 30.0), 383.15, 341.15)[0] == approx(fast, abs=1e-5)


def test_what_never_comes_is_infinite():
    body = heating.cylinder(0.09, 0.15, cells=(9, 7))
    assert heating_compiled.time_to_core(body, SOFT, 277.15, (22.0, 22.0), 330.0, 341.15)[0] == np.inf


def test_other_bodies_and_unknown_properties_are_refused():
    with pytest.raises(OutOfRange, match="axes"):
        heating_compiled.time_to_core(heating.slab(0.05), SOFT, 277.15, (22.0, 22.0), 383.15, 341.15)
    with pytest.raises(OutOfRange, match="outside"):
        heating_compiled.time_to_core(heating.cylinder(0.09, 0.15), SOFT, 277.15, (22.0, 22.0), 500.0, 341.15)
