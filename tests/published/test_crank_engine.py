"""The transport engine against Crank, The Mathematics of Diffusion, 2nd ed. 1975, by its computed values.

``data/analytic_checks.csv``: uptake, limited bath, centre, equalisation, Newman, loss, time lag. The promise is
1e-4 of the final change on a mesh of some hundred cells; that is the tolerance, not the rounding of the table.
Equalisation near its start divides by a small mean layer: there too 1e-4 of the final value.
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

import numpy as np
import pytest
from pytest import approx

from ingle.physics.transport import (
    Bath,
    Field,
    Held,
    at_point,
    box_grid,
    cylinder_grid,
    run,
    short_cylinder_grid,
    slab_grid,
    sphere_grid,
)

DATA = Path(__file__).parent / "data" / "analytic_checks.csv"
ROWS = list(csv.DictReader(DATA.open(encoding="utf-8")))
PROMISE = 1e-4


def of(*groups):
    rows = [row for row in ROWS if row["group"] in groups]
    return pytest.mark.parametrize("row", rows, ids=[row["id"] for row in rows])


def numbers(text):
    return [float(found) for found in re.findall(r"=([\d.]+)", text)]


def body(row, cells=140, grade=30.0):
    """Unit body, one wet side: grid, its name, its volume."""
    kind = row["geometry"].split()[0]
    if kind in ("plane", "slab"):
        return slab_grid(1.0, cells, wet=("right",), grade=grade), "right"
    if kind == "cylinder":
        return cylinder_grid(1.0, cells, grade=grade), "surface"
    return sphere_grid(1.0, cells, grade=grade), "surface"


def at_core(grid):
    return at_point(grid, (0.0,), sealed=("left",) if "left" in grid.sides else ())


@of("fractional uptake")
def test_uptake_with_the_surface_held(row):
    grid, side = body(row)
    result = run(grid, Field(), {side: Held(1.0)}, [0.0, *numbers(row["parameters"])])
    assert result.mean[-1] == approx(float(row["computed_value"]), abs=PROMISE)


@of("fractional uptake, limited bath")
def test_uptake_from_a_limited_bath(row):
    alpha, fourier = numbers(row["parameters"])
    grid, side = body(row)
    water = alpha * grid.volume.sum()
    result = run(grid, Field(), {side: Bath(water, 1.0)}, [0.0, fourier])
    assert result.mean[-1] * (1.0 + alpha) / alpha == approx(float(row["computed_value"]), abs=PROMISE)
    assert result.body[-1] + water * result.bath[-1, 0] == approx(water, rel=1e-9)


@of("half-time", "time to fraction")
def test_time_to_a_fraction(row):
    """The engine's uptake at the table's time is the fraction."""
    grid, side = body(row)
    fraction = float(row["quantity"].split("=")[1])
    result = run(grid, Field(), {side: Held(1.0)}, [0.0, float(row["computed_value"])])
    assert result.mean[-1] == approx(fraction, abs=PROMISE)


@of("centre concentration")
def test_centre(row):
    grid, side = body(row, grade=3.0)  # the core matters here as much as the surface
    result = run(grid, Field(), {side: Held(1.0)}, [0.0, *numbers(row["parameters"])], watch=[at_core(grid)])
    assert result.watched[-1, 0] == approx(float(row["computed_value"]), abs=PROMISE)


@pytest.mark.parametrize("row", [r for r in ROWS if r["group"] == "equalisation" and "C/Cmean" in r["quantity"]],
                         ids=lambda row: row["id"])
def test_equalisation_of_a_thin_layer(row):
    """All solute in the outermost cell, one thousandth of the path: thin beside sqrt(Fo) from 0.05 on."""
    grid = slab_grid(1.0, 200, wet=("right",), grade=10.0)
    width = grid.volume.ravel()[-1]
    start = np.zeros(200)
    start[-1] = 1.0 / width
    place = 0.0 if "far" in row["quantity"] else 1.0
    result = run(grid, Field(start=start), {}, [0.0, *numbers(row["parameters"])], scale=1.0,
                 watch=[at_point(grid, (place,), sealed=("left", "right"))])
    assert result.watched[-1, 0] == approx(float(row["computed_value"]), abs=PROMISE)
    assert result.mean[-1] == approx(1.0, rel=1e-9)


def test_even_within_a_tenth_at_the_one_term_time():
    row = next(r for r in ROWS if r["id"] == "A447")
    grid = slab_grid(1.0, 200, wet=("right",), grade=10.0)
    start = np.zeros(200)
    start[-1] = 1.0 / grid.volume.ravel()[-1]
    result = run(grid, Field(start=start), {}, [0.0, float(row["computed_value"])], scale=1.0, watch=[at_core(grid)])
    assert result.watched[-1, 0] == approx(0.9, abs=PROMISE)


@of("Newman product")
def test_bodies_of_several_axes(row):
    fourier = numbers(row["parameters"])[-1]
    if row["geometry"].startswith("brick"):
        grid = box_grid((1.0, 2.0, 4.0), (40, 30, 20), wet=("right", "back", "top"), grade=15.0)
        sides = ("right", "back", "top")
    else:
        grid, sides = short_cylinder_grid(1.0, 1.0, (100, 100), wet=("side", "top"), grade=15.0), ("side", "top")
    result = run(grid, Field(), dict.fromkeys(sides, Held(1.0)), [0.0, fourier], keep=False, tol=3e-4)
    # the brick's cells are coarse: second order leaves a few 1e-4, halved cells a quarter of it
    assert result.mean[-1] == approx(float(row["computed_value"]), abs=1e-3 if "brick" in row["geometry"] else PROMISE)


@of("diffusion + first-order loss")
def test_diffusion_with_loss(row):
    phi = numbers(row["parameters"])[0] if row["parameters"] else numbers(row["quantity"])[0]
    grid = slab_grid(1.0, 200, wet=("right",), grade=10.0)
    result = run(grid, Field(loss=phi**2), {"right": Held(1.0)}, [0.0, 12.0], watch=[at_core(grid)])
    told = result.mean[-1] if "mean" in row["quantity"] else result.watched[-1, 0]
    assert told == approx(float(row["computed_value"]), abs=PROMISE)
    assert result.body[-1] + result.lost[-1] == approx(result.given[-1, 0], rel=1e-9)


@of("steady")
def test_time_lag_of_a_membrane(row):
    """What has passed at long times is a straight line that cuts the axis at the lag."""
    grid = slab_grid(1.0, 200, grade=10.0)
    result = run(grid, Field(), {"left": Held(1.0), "right": Held(0.0)}, [0.0, 2.0, 3.0])
    passed = -result.given[1:, 1]
    assert 2.0 - passed[0] / (passed[1] - passed[0]) == approx(float(row["computed_value"]), abs=PROMISE)


def test_every_engine_group_has_rows():
    groups = ("fractional uptake", "fractional uptake, limited bath", "half-time", "time to fraction",
              "centre concentration", "equalisation", "Newman product", "diffusion + first-order loss", "steady")
    assert all(any(row["group"] == group for row in ROWS) for group in groups)
