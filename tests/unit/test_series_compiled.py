"""The compiled closed forms and the table: the numbers of the array forms, whose own truth is tested in `test_series`."""

import subprocess
import sys

import numpy as np
import pytest

from ingle.ground.errors import OutOfRange
from ingle.physics import series, series_compiled, series_kernels, series_table
from ingle.physics.series_product import product_bath
from ingle.physics.shapes import Box, Cylinder, Slab

BODY = Box(0.20, 0.12, 0.05, ("one-large-face",))
ALPHA, DIFFUSIVITY = 0.06, 2.5e-10
TIMES = 7 * 86400.0 * np.arange(1, 101) / 100
EXPOSURE = DIFFUSIVITY * TIMES
ROUNDING = 1e-12  # of the salt there is


def apart(told, true):
    """Worst difference of mean, core and bath, over the larger of the value and the final one."""
    return [float(np.max(np.abs(a - b) / np.maximum(b, 1.0))) for a, b in zip(told, true, strict=True)]


def apart_in_salt(told, true, alpha):
    """Worst difference of mean, core and of what the bath holds: a small bath begins at many times its end."""
    return [float(np.max(np.abs(a - b) * c)) for a, b, c in zip(told, true, (1.0, 1.0, alpha), strict=True)]


def members(count, seed=20261203):
    """Diffusivities spread log-normally by 0.25, thickness by 10 %: exposures (count, times), paths (count,)."""
    rng = np.random.default_rng(seed)
    d = DIFFUSIVITY * np.exp(0.25 * rng.standard_normal((count, 1)))
    return d * TIMES, BODY.thickness * np.exp(0.10 * rng.standard_normal(count))


@pytest.mark.parametrize("alpha", [0.02, ALPHA, 0.5, 40.0])
@pytest.mark.parametrize("body", [BODY, Box(0.2, 0.12, 0.05), Cylinder(0.04, 0.15)], ids=["rind", "open", "cylinder"])
def test_compiled_and_array_forms_are_one(body, alpha):
    exposure = np.concatenate([[0.0, 1e-9], EXPOSURE, [5e-3]])  # from nothing to long after all is even
    ours = series_compiled.product_bath(body.factors, exposure, alpha)
    assert max(apart_in_salt(ours, product_bath(body.factors, exposure, alpha), alpha)) < ROUNDING


@pytest.mark.parametrize("kind", ["slab", "cylinder", "sphere"])
def test_one_way_comes_to_its_own_roots(kind):
    # 1e-5 is ten times what the choice of terms aims at: alpha 0.06 is small
    fourier = np.array([0.002, 0.01, 0.05, 0.2, 0.6, 1.5])
    assert max(apart(series_compiled.product_bath([(kind, 1.0)], fourier, ALPHA), series.bath(kind, fourier, ALPHA))) < 1e-5


@pytest.mark.parametrize(("terms", "most"), [(24, 1e-4), (None, 1e-6)])
def test_a_box_misses_the_form_with_240_terms_by_less_than_promised(terms, most):
    first = (1 + ALPHA) / ALPHA
    told = series_compiled.finite_bath(BODY, EXPOSURE, ALPHA, bath=first, nodes=terms)
    true = product_bath(BODY.factors, EXPOSURE, ALPHA, nodes=240)
    assert max(apart((told.mean, told.core, told.surface), true)) < most


def test_members_together_are_members_alone():
    exposure, paths = members(5)
    alpha = np.array([0.05, 0.06, 0.1, 0.3, 2.0])[:, None]
    factors = (("slab", paths[:, None]), *BODY.factors[1:])
    together = series_compiled.product_bath(factors, exposure, alpha, nodes=64)
    for m in range(5):
        alone = product_bath((("slab", float(paths[m])), *BODY.factors[1:]), exposure[m], float(alpha[m, 0]), nodes=64)
        assert max(apart([part[m] for part in together], alone)) < ROUNDING


def test_any_arrangement_of_members_is_served():
    exposure = EXPOSURE * np.ones((2, 3, 1))
    alpha = np.array([0.06, 0.2, 1.0])[:, None]
    ours, theirs = (form(BODY.factors, exposure, alpha, nodes=48) for form in (series_compiled.product_bath, product_bath))
    assert ours[0].shape == (2, 3, 100)
    assert max(apart(ours, theirs)) < ROUNDING


def test_concentrations_begin_and_end_as_in_the_array_form():
    given = {"bath": 535.0, "start": 1.5}
    for shape, alpha in ((BODY, ALPHA), (BODY, np.inf), (Slab(0.05), ALPHA)):
        ours, theirs = (form.finite_bath(shape, EXPOSURE, alpha, **given) for form in (series_compiled, series))
        for part in ("mean", "core", "surface"):
            assert getattr(ours, part) == pytest.approx(getattr(theirs, part), rel=ROUNDING, abs=535 * ROUNDING)


def test_without_numba_the_array_form_answers(monkeypatch):
    exposure, paths = members(20)
    table = series_table.bath_table(BODY.factors, float(exposure.max()), ALPHA, low=paths.min(), high=paths.max())
    compiled = series_compiled.product_bath(BODY.factors, EXPOSURE, ALPHA), series_compiled.read(table, exposure, paths)
    monkeypatch.setattr(series_kernels, "COMPILED", False)
    monkeypatch.setattr(series_kernels, "bath_of_members", None)
    monkeypatch.setattr(series_kernels, "read_members", None)
    assert max(apart(series_compiled.product_bath(BODY.factors, EXPOSURE, ALPHA), compiled[0])) < ROUNDING
    assert max(apart(series_compiled.read(table, exposure, paths), compiled[1])) < ROUNDING


@pytest.mark.parametrize("reader", [series_table, series_compiled], ids=["arrays", "compiled"])
def test_a_table_of_seven_thicknesses_serves_a_thousand_members_to_a_thousandth(reader):
    exposure, paths = members(1000)
    table = series_table.bath_table(BODY.factors, float(exposure.max()), ALPHA, low=paths.min(), high=paths.max())
    told = reader.read(table, exposure, paths)
    some = slice(None, None, 10)
    true = product_bath((("slab", paths[some, None]), *BODY.factors[1:]), exposure[some], ALPHA, nodes=96)
    assert max(apart([part[some] for part in told], true)) < 1e-3
    assert max(table.missed) < 1e-3
    assert told[0] + ALPHA * told[2] == pytest.approx(1 + ALPHA, abs=1e-12)  # salt given is salt held


def test_a_table_tells_its_own_miss_and_finer_ones_miss_less():
    tables = [
        series_table.bath_table(BODY.factors, EXPOSURE[-1], ALPHA, low=0.03, high=0.07, nodes=n, numbers=k, most_missed=1.0)
        for n, k in ((3, 32), (5, 64), (9, 128))
    ]
    worst = [max(t.missed) for t in tables]
    assert worst[0] > 4 * worst[1] > 16 * worst[2]  # steps halve: a cubic through four neighbours gains sixteen at best
    with pytest.raises(OutOfRange, match="misses the closed form") as caught:
        series_table.bath_table(BODY.factors, EXPOSURE[-1], ALPHA, low=0.03, high=0.07, nodes=3, numbers=32)
    assert caught.value.value == pytest.approx(worst[0])


def test_one_path_makes_a_table_too():
    table = series_table.bath_table(BODY.factors, EXPOSURE[-1], ALPHA, low=0.05, high=0.05)
    told = series_table.read(table, EXPOSURE[None], [0.05])
    assert max(apart([part[0] for part in told], product_bath(BODY.factors, EXPOSURE, ALPHA))) < 1e-3


@pytest.mark.parametrize("reader", [series_table, series_compiled], ids=["arrays", "compiled"])
@pytest.mark.parametrize(
    ("exposure", "path", "field"),
    [
        ([[1e-5, 3e-4]], [0.05], "exposure"),
        ([[1e-5, -1e-6]], [0.05], "exposure"),
        ([[np.nan, 1e-6]], [0.05], "exposure"),
        ([[1e-5]], [0.071], "path"),
        ([[1e-5]], [0.029], "path"),
        ([[1e-5]], [np.nan], "path"),
        ([1e-5], [0.05], "path"),
        ([[1e-5]], [0.05, 0.06], "path"),
    ],
)
def test_a_table_is_not_left(reader, exposure, path, field):
    table = series_table.bath_table(BODY.factors, EXPOSURE[-1], ALPHA, low=0.03, high=0.07)
    with pytest.raises(OutOfRange) as caught:
        reader.read(table, exposure, path)
    assert caught.value.field == field
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"exposure": 0.0}, "exposure"), ({"exposure": np.inf}, "exposure"), ({"low": -0.01}, "low"),
        ({"high": 0.02}, "high"), ({"nodes": 0}, "nodes"), ({"numbers": 3}, "numbers"), ({"alpha": 1e-5}, "alpha"),
    ],
    ids=str,
)  # fmt: skip
def test_a_table_of_nothing_is_refused(changed, field):
    given = {"exposure": EXPOSURE[-1], "alpha": ALPHA, "low": 0.03, "high": 0.07} | changed
    with pytest.raises(OutOfRange) as caught:
        series_table.bath_table(BODY.factors, **given)
    assert caught.value.field == field


def test_too_small_a_bath_is_refused_as_in_the_array_form():
    with pytest.raises(OutOfRange) as caught:
        series_compiled.product_bath(BODY.factors, EXPOSURE, 1e-5)
    assert caught.value.field == "alpha"
    with pytest.raises(OutOfRange) as caught:
        series_compiled.finite_bath(BODY, -EXPOSURE, ALPHA)
    assert caught.value.field == "exposure"


def test_neither_a_table_nor_a_forecast_loads_the_compiler():
    code = "import sys, ingle.physics.series_table, ingle.crafts.cure.forecast; print('numba' in sys.modules)"
    told = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env={"PYTHONPATH": ":".join(sys.path)}
    )
    assert told.stdout.strip() == "False"
