"""Crank, The Mathematics of Diffusion, 2nd ed. 1975, and the one-term tables of heat conduction.

``data/analytic_checks.csv``: computed_value is an independent computation of the closed forms to 10 digits, so
the tolerance is half a unit of its tenth significant digit. printed_value is what the books' tables show (partly from
memory, then marked so in the file); it is held to half of its last printed digit, except where the file says
that the printed figure itself is off.
"""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import numpy as np
import pytest
from pytest import approx

from ingle.physics import series
from ingle.physics.shapes import Box, Cylinder, Slab, Sphere

DATA = Path(__file__).parent / "data" / "analytic_checks.csv"
ROWS = list(csv.DictReader(DATA.open(encoding="utf-8")))
KIND = {"plane": "slab", "long": "cylinder", "cylinder": "cylinder", "sphere": "sphere"}
UNIT_BODY = {"slab": Slab(2.0), "cylinder": Cylinder(1.0), "sphere": Sphere(1.0)}


def kind_of(row):
    return KIND[row["geometry"].split()[0]]


def numbers(text):
    return [float(found) for found in re.findall(r"=([\d.]+)", text)]


def bath_root(row):
    uptake = float(re.search(r"uptake ([\d.]+)", row["parameters"])[1])
    alpha = math.inf if uptake == 0.0 else 1.0 / uptake - 1.0
    n = int(row["quantity"][1:])
    return series.bath_roots(kind_of(row), alpha, n)[n - 1]


def film_root(row):
    n = int(row["quantity"].removeprefix("lambda"))
    return series.film_roots(kind_of(row), numbers(row["parameters"])[0], n)[n - 1]


def bath_uptake(row):
    alpha, fourier = numbers(row["parameters"])
    return series.bath_mean(kind_of(row), fourier, alpha)


def time_to_fraction(row):
    return series.exposure_to_mean(UNIT_BODY[kind_of(row)], float(row["quantity"].split("=")[1]))


def half_space(row):
    if row["quantity"].startswith("total"):
        return series.half_space_uptake(1.0)
    value = numbers(row["parameters"])[0]
    if row["quantity"].startswith("surface"):
        return series.half_space_film(0.0, 1.0, value)  # X = 1 m2, so h sqrt(X) = h
    return series.half_space(2.0 * value, 1.0)


def equalisation(row):
    if row["quantity"].startswith("Fo for"):
        return math.log(2.0 / 0.10) / series.sealed_roots("slab", 1)[0] ** 2
    far, source = series.thin_layer("slab", numbers(row["parameters"])[0], [0.0, 1.0])
    return far if "far face" in row["quantity"] else source


def newman(row):
    fourier = numbers(row["parameters"])[-1]
    if row["geometry"].startswith("brick"):
        return series.held_surface(Box(8.0, 4.0, 2.0), fourier).mean  # half sides 1, 2, 4 m
    return series.held_surface(Cylinder(1.0, length=2.0), fourier).mean


def loss(row):
    phi = numbers(row["parameters"])[0]
    steady = series.loss_steady_core if "centre" in row["quantity"] else series.loss_steady_mean
    return steady(phi)


CLOSED_FORM = {
    "roots, limited well-stirred bath": bath_root,
    "roots, surface resistance": film_root,
    "one-term coefficient": lambda row: series.one_term(kind_of(row), numbers(row["parameters"])[0])[1],
    "fractional uptake": lambda row: series.held_mean(kind_of(row), numbers(row["parameters"])[0]),
    "fractional uptake, limited bath": bath_uptake,
    "half-time": time_to_fraction,
    "time to fraction": time_to_fraction,
    "centre concentration": lambda row: series.held_core(kind_of(row), numbers(row["parameters"])[0]),
    "semi-infinite": half_space,
    "equalisation": equalisation,
    "Newman product": newman,
    "steady": lambda _: series.membrane_time_lag(1.0, 1.0),
    "diffusion + first-order loss": loss,
    "barrier as surface resistance": lambda row: series.one_term("slab", numbers(row["parameters"])[0])[0] ** 2,
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_closed_form_has_the_ten_digits(row):
    told = float(CLOSED_FORM[row["group"]](row))
    value = float(row["computed_value"])
    half_digit = 0.5 * 10.0 ** (math.floor(math.log10(abs(value))) - 9)
    assert told == approx(value, rel=0.0, abs=1.02 * half_digit)  # 2 %: rounding of the printed half itself


def half_of_last_digit(printed):
    decimals = len(printed.split(".")[1]) if "." in printed else 0
    return 0.5 * 10.0**-decimals


PRINTED = [row for row in ROWS if row["printed_value"]]
PRINTED_OFF = {  # figures remembered a digit too low or rounded twice; their computed values are held above
    "A043",  # 2.3521 for 2.35217
    "A325",  # 0.1968 = 4 x 0.0492, for 0.19673
    "A335",  # 0.0306 for 0.03055
}


@pytest.mark.parametrize("row", [r for r in PRINTED if r["id"] not in PRINTED_OFF], ids=lambda row: row["id"])
def test_closed_form_rounds_to_the_printed_table(row):
    told = float(CLOSED_FORM[row["group"]](row))
    assert told == approx(float(row["printed_value"]), rel=0.0, abs=1.02 * half_of_last_digit(row["printed_value"]))


def test_every_group_of_the_file_is_served():
    assert {row["group"] for row in ROWS} == set(CLOSED_FORM)
    assert len(ROWS) == 285


def test_half_uptake_of_a_slab_comes_at_0_049():
    """Crank (from memory): D t / thickness^2 = 0.049 at half uptake."""
    thickness = 0.040
    half = series.exposure_to_mean(Slab(thickness), 0.5) / thickness**2
    assert half == approx(0.049, abs=0.0005)  # printed digits


def test_flow_through_a_membrane_settles_on_the_time_lag():
    """Crank 4.26: after some lags the amount passed is Fo - 1/6; at Fo = 0.5 the rest is 2/pi^2 exp(-pi^2/2)."""
    early, late = series.membrane_passed(np.array([0.001, 2.0]))
    assert early == 0.0
    assert late == approx(2.0 - 1.0 / 6.0, abs=1e-8)
    rest = series.membrane_passed(0.5) - (0.5 - 1.0 / 6.0)
    assert rest == approx(2.0 / math.pi**2 * math.exp(-math.pi**2 / 2.0), rel=1e-6)
