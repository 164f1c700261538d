"""Rates of single papers by machine transcription, rows computed from their equations; each named beside its check."""

import math

import numpy as np
import pytest
from tests.published.growth_rows import ROWS, VALUE, half_digit, number, numbers

from ingle.ground.tables import toml_table
from ingle.physics import growth_factors, water_activity
from ingle.safety import growth_rate, hurdles
from ingle.safety.conditions import aw_of_salt, conditions

HOUR = 3600.0
LAWS = toml_table("laws", "growth.toml")


@pytest.mark.parametrize(("key", "celsius"), [("SL-08", 7), ("SL-09", 10), ("SL-10", 15), ("SL-11", 20)])
def test_moller_2013_salmonella_in_fresh_pork(key, celsius):
    """At the pH and water activity of the pork the composite is the paper's law."""
    mu = growth_rate.rate("salmonella", np.array([float(celsius)]), conditions(aw=0.995, ph=5.7))[0] * HOUR
    assert mu == pytest.approx(number(key), abs=half_digit(key))


@pytest.mark.parametrize(("key", "celsius"), [("SA-10", 22), ("SA-11", 25)])
def test_valik_2018_staphylococcus_in_milk(key, celsius):
    p = LAWS["staphylococcus_milk"]
    mu = float(growth_factors.square_root(celsius, p["slope"], p["t_min"]))
    for at, gain in enumerate((3, 4)):
        assert gain * math.log(10) / mu == pytest.approx(numbers(key)[at], abs=half_digit(key, at))


def test_the_model_used_for_staphylococcus_is_no_slower_than_milk_in_its_range():
    p, best = LAWS["staphylococcus_milk"], conditions(aw=0.995, ph=6.81)
    for celsius in np.arange(12.0, 30.1, 1.0):
        milk = float(growth_factors.square_root(celsius, p["slope"], p["t_min"]))
        assert growth_rate.rate("staphylococcus", np.array([celsius]), best)[0] * HOUR >= milk


@pytest.mark.parametrize(("at", "celsius"), [(0, 7), (1, 22), (2, 37)])
def test_efsa_2014_yersinia(at, celsius):
    mu = growth_rate.rate("yersinia", np.array([float(celsius)]), conditions(aw=0.997, ph=7.0))[0] * HOUR
    assert math.log(2) / mu == pytest.approx(numbers("YE-06")[at], abs=half_digit("YE-06", at))


def test_huang_2018_botulinum_in_cooked_beef():
    p = LAWS["botulinum_lag_proteolytic"]
    mu = p["best"] * float(growth_factors.cardinal_temperature(36.4, *p["t"]))
    said = numbers("CB-39")
    assert mu == pytest.approx(said[0], abs=half_digit("CB-39", 0))
    assert math.exp(p["lag_one"]) * mu ** p["lag_power"] == pytest.approx(said[1], abs=half_digit("CB-39", 1))


@pytest.mark.parametrize(("key", "percent"), [("AW-01", 2), ("AW-02", 3), ("AW-03", 3.5), ("AW-04", 4), ("AW-06", 6), ("AW-07", 8)])
def test_resnik_chirife_salt_to_water_activity(key, percent):
    """The rows' polynomial as printed; the solution used here stands below it by no more than 0.0007."""
    said = toml_table("laws", "water_activity.toml")["phase_salt_polynomial"]
    law = water_activity.PhaseSaltPolynomial(said["first"], said["second"], said["valid_g_per_100g"] / 100, said["source"], said["sure"])
    printed = number(key)
    assert float(water_activity.by_polynomial(percent / 100, law)) == pytest.approx(printed, abs=half_digit(key))
    assert -0.0007 < float(aw_of_salt(np.array(percent))) - printed < half_digit(key)


def test_aw_09_salted_butter():
    wps, aw = numbers("AW-09")
    assert pytest.approx(wps, abs=0.05) == 100 * 2 / 18
    assert float(aw_of_salt(np.array(100 * 2 / 18))) == pytest.approx(aw, abs=0.0015)


def test_fe_09_salvado_2011_cardinal_temperatures():
    said = numbers("FE-09", between=" ")
    told = growth_factors.cardinal_temperature([4, 10, 20, 24, 26, 30, 35, 40], 2.5, 32.3, 45.4)
    assert told == pytest.approx(said, abs=0.00051)


@pytest.mark.parametrize(
    ("ph", "aw", "met"), [(4.4, 0.99, True), (6.0, 0.92, True), (5.0, 0.94, True), (5.05, 0.94, False), (5.0, 0.945, False), (4.45, 0.96, False)]
)
def test_rg_01_regulation_2073_2005_listeria(ph, aw, met):
    assert "pH<=4.4" in ROWS["RG-01"][VALUE]
    assert (hurdles.met_everywhere("listeria", conditions(ph=ph, aw=aw), errors=False) is not None) is met


def test_bo_03_garlic_in_oil():
    said = toml_table("limits", "hurdles.toml")["in-fat-days"]
    assert ROWS["BO-03"][VALUE] == "2-4 ; 2-3"
    assert (said["limit"]["max"], said["likely"]) == (4.0, 2.0)
