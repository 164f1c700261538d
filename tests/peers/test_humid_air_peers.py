"""Moist air beside two general libraries: PsychroLib (the ASHRAE formulas) and CoolProp (real gases, RP-1485).

Against the first, the same physics: tight. Against the second, the ideal gas and constant specific heats cost what the law's ``doubt``
says; the tolerances are those.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from pytest import approx

from ingle.crafts.heat import laws
from ingle.physics import humid_air, surface_heat

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    psychrolib = pytest.importorskip("psychrolib", reason="PsychroLib is not installed")
    CoolProp = pytest.importorskip("CoolProp.CoolProp", reason="CoolProp is not installed")

AIR = laws.moist_air()
P = AIR.pressure
STATES = [(-15.0, 0.7), (-3.0, 0.9), (3.0, 0.3), (4.0, 0.85), (20.0, 0.5), (35.0, 0.1), (60.0, 0.8), (80.0, 0.9), (95.0, 0.4)]
HOT = [(107.0, 0.008), (107.0, 0.2), (121.0, 0.05), (163.0, 0.02), (180.0, 0.1), (190.0, 0.3)]  # ratios


@pytest.fixture(scope="module", autouse=True)
def si():
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize("celsius", [-50.0, -20.0, -1.0, 0.5, 20.0, 60.0, 100.0, 150.0, 190.0])
def test_saturation(celsius):
    ours = float(humid_air.saturation_pressure(celsius, AIR))
    assert ours == approx(psychrolib.GetSatVapPres(celsius), rel=5e-4)  # Hyland and Wexler 1983 against IAPWS
    if celsius > 0:
        assert ours == approx(CoolProp.PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water"), rel=3e-4)


@pytest.mark.parametrize(("celsius", "humidity"), STATES)
def test_against_the_ashrae_formulas(celsius, humidity):
    ratio = float(humid_air.humidity_ratio(celsius, humidity, AIR))
    assert ratio == approx(psychrolib.GetHumRatioFromRelHum(celsius, humidity, P), rel=1e-3)
    assert float(humid_air.dew_point(ratio, AIR)) == approx(psychrolib.GetTDewPointFromHumRatio(celsius, ratio, P), abs=0.01)
    assert float(humid_air.enthalpy(celsius, ratio, AIR)) == approx(psychrolib.GetMoistAirEnthalpy(celsius, ratio), rel=1e-4, abs=20)
    assert float(humid_air.specific_volume(celsius, ratio, AIR)) == approx(psychrolib.GetMoistAirVolume(celsius, ratio, P), rel=2e-3)
    assert float(humid_air.density(celsius, ratio, AIR)) == approx(psychrolib.GetMoistAirDensity(celsius, ratio, P), rel=2e-3)
    wet = float(humid_air.wet_bulb(celsius, ratio, AIR))
    assert wet == approx(psychrolib.GetTWetBulbFromHumRatio(celsius, ratio, P), abs=0.02)
    assert float(humid_air.ratio_at_wet_bulb(celsius, wet, AIR)) == approx(ratio, rel=1e-6, abs=1e-9)
    assert float(humid_air.ratio_at_dew_point(humid_air.dew_point(ratio, AIR), AIR)) == approx(ratio, rel=1e-9)


@pytest.mark.parametrize(("celsius", "humidity"), [s for s in STATES if s[0] > 0])
def test_against_real_gases(celsius, humidity):
    """The enhancement factor of saturated air, 1.004 to 1.006, raises the share x of vapour, and the ratio by 1/(1 - x) more."""
    at = ("T", celsius + 273.15, "P", P, "R", humidity)
    ratio = float(humid_air.humidity_ratio(celsius, humidity, AIR))
    share = float(humid_air.vapour_pressure(ratio, AIR)) / P
    assert ratio == approx(CoolProp.HAPropsSI("W", *at), rel=0.006 / (1 - share))
    assert float(humid_air.dew_point(ratio, AIR)) == approx(CoolProp.HAPropsSI("D", *at) - 273.15, abs=0.1)
    assert float(humid_air.wet_bulb(celsius, ratio, AIR)) == approx(CoolProp.HAPropsSI("B", *at) - 273.15, abs=0.15)


@pytest.mark.parametrize(("celsius", "ratio"), HOT)
def test_ovens_and_smokers_against_real_gases(celsius, ratio):
    """Wet bulb 0.3 K, volume 0.5 %, heat above 20 degC 1.5 %: constant specific heats to 190 degC."""
    at = ("T", celsius + 273.15, "P", P, "W", ratio)
    assert float(humid_air.wet_bulb(celsius, ratio, AIR)) == approx(CoolProp.HAPropsSI("B", *at) - 273.15, abs=0.3)
    assert float(humid_air.specific_volume(celsius, ratio, AIR)) == approx(CoolProp.HAPropsSI("V", *at), rel=0.005)
    assert float(humid_air.dew_point(ratio, AIR)) == approx(CoolProp.HAPropsSI("D", *at) - 273.15, abs=0.15)
    base = ("T", 373.15, "P", P, "W", ratio)
    rise = CoolProp.HAPropsSI("H", *at) - CoolProp.HAPropsSI("H", *base)
    ours = float(humid_air.enthalpy(celsius, ratio, AIR) - humid_air.enthalpy(100.0, ratio, AIR))
    assert ours == approx(rise, rel=0.03)  # vapour near its dew point is heavier to warm than an ideal gas


@pytest.mark.parametrize(("celsius", "most"), [(0.5, 0.006), (20.0, 0.006), (60.0, 0.006), (100.0, 0.006), (150.0, 0.02)])
def test_latent_heat(celsius, most):
    true = sum(s * CoolProp.PropsSI("H", "T", celsius + 273.15, "Q", q, "Water") for s, q in ((1, 1), (-1, 0)))
    assert float(humid_air.latent_heat(celsius, AIR)) == approx(true, rel=most)


@pytest.mark.parametrize(
    ("dry", "row"),
    [
        (25, (16.4, None, None, None, None, None)), (60, (26.5, 32.7, 43.0, 53.3, None, None)),
        (80, (30.9, 36.1, 45.3, 54.8, 65.4, 78.9)), (107, (35.8, 40.1, 48.1, 56.7, 66.6, 79.5)),
        (121, (37.9, 41.9, 49.4, 57.6, 67.2, 79.8)), (163, (43.3, 46.6, 52.8, 60.0, 68.8, 80.6)),
        (180, (45.2, 48.2, 54.1, 60.9, 69.4, 80.9)), (220, (49.0, 51.5, 56.7, 62.9, 70.7, 81.6)),
    ],
)  # fmt: skip
def test_wet_bulb_of_chamber_air(dry, row):
    """A table computed elsewhere with other constants (a cross-check, no publication): one printed digit and its half."""
    for ratio, wet in zip((0.008, 0.02, 0.05, 0.1, 0.2, 0.5), row, strict=True):
        if wet is not None:
            assert float(humid_air.wet_bulb(dry, ratio, AIR)) == approx(wet, abs=0.15)


def test_the_whole_of_it_takes_arrays():
    ratio = np.array([[0.008], [0.02]])
    t = np.array([60.0, 107.0, 180.0])
    assert humid_air.wet_bulb(t, ratio, AIR).shape == (2, 3)
    assert surface_heat.resting_temperature(surface_heat.Around(t, 10.0, ratio), AIR, laws.transfer()).shape == (2, 3)
