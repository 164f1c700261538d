"""Heat into a face: what it must come to in known limits, its slope, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from ingle.crafts.cure import laws as cure_laws
from ingle.crafts.heat import laws
from ingle.ground.errors import OutOfRange
from ingle.physics import humid_air, surface_heat
from ingle.physics.surface_drying import drying_flux
from ingle.physics.surface_heat import Around, effective_film, flux, resting_temperature

AIR, LAW = laws.moist_air(), laws.transfer()
NO_FLOW = replace(LAW, lewis=1.0)


@pytest.mark.parametrize(
    ("air_c", "ratio", "most"), [(25.0, 0.008, 0.02), (60.0, 0.05, 0.02), (107.0, 0.02, 0.1), (180.0, 0.008, 0.15), (180.0, 0.2, 0.1)]
)
@pytest.mark.parametrize("h", [5.0, 40.0])
def test_without_radiation_and_with_lewis_one_a_wet_face_rests_at_the_wet_bulb(air_c, ratio, most, h):
    """The adiabatic saturation of the air, found by an enthalpy balance that knows no film. What is left is the specific heat of
    the mixture, taken at the air's own humidity.
    """
    rests = float(resting_temperature(Around(air_c, h, ratio, emissivity=0.0), AIR, NO_FLOW))
    assert rests == approx(float(humid_air.wet_bulb(air_c, ratio, AIR)), abs=most)


def test_radiation_raises_a_wet_face_above_the_wet_bulb_and_a_fan_brings_it_back():
    wet = float(humid_air.wet_bulb(180.0, 0.01, AIR))
    still, fan = (float(resting_temperature(Around(180.0, h, 0.01), AIR, LAW)) for h in (7.0, 25.0))
    assert still > fan > wet
    assert 5.0 < still - wet < 20.0


def test_humidity_and_a_crust_raise_it():
    around = Around(107.0, 6.0, np.array([0.01, 0.05, 0.2]))
    moist = resting_temperature(around, AIR, LAW)
    dry = resting_temperature(around, AIR, LAW, water_activity=0.6)
    assert (np.diff(moist) > 0).all() and (dry > moist).all()


@pytest.mark.parametrize(
    ("wall", "face", "printed"), [(180.0, 80.0, 13.6), (220.0, 100.0, 16.9), (107.0, 60.0, 9.3), (4.0, 30.0, 5.0), (4.0, 70.0, 6.2)]
)
def test_radiation_as_a_film(wall, face, printed):
    """h_r = e sigma (Tw^2 + Ts^2)(Tw + Ts) with e = 0.9, computed elsewhere to a tenth; at 4 degC walls with e = 0.9 too."""
    found = flux(face, Around(wall, 0.0, wet=0.0, emissivity=0.9), AIR, LAW)
    assert float(found.heat) / (wall - face) == approx(printed, abs=0.06)


def test_a_bagged_face_is_a_plain_film():
    found = flux(np.array([5.0, 60.0]), Around(2.0, 150.0, wet=0.0, emissivity=0.0), AIR, LAW)
    assert found.heat == approx(150.0 * (2.0 - np.array([5.0, 60.0])), rel=1e-12)
    assert (found.evaporation == 0.0).all()
    h, t = effective_film(found, np.array([5.0, 60.0]))
    assert h == approx(150.0) and t == approx(2.0)


def test_in_cool_air_the_vapour_is_that_of_the_drying_law():
    """Both are Lewis's relation; Stefan's flow and the heat of the vapour in the air make 2 % at 12 degC."""
    for humidity in (0.5, 0.75, 0.9):
        ratio = float(humid_air.humidity_ratio(12.0, humidity, AIR))
        ours = flux(11.0, Around(12.0, 8.0, ratio), AIR, LAW, 0.97).evaporation
        law = drying_flux(0.97, 284.15, humidity, 285.15, 8.0, cure_laws.vapour(), cure_laws.air())
        assert float(ours) == approx(float(law), rel=0.02)


def test_vapour_settles_on_a_cold_face_and_warms_it():
    ratio = float(humid_air.humidity_ratio(60.0, 0.8, AIR))
    bare, bagged = (flux(5.0, Around(60.0, 8.0, ratio, wet=w), AIR, LAW) for w in (1.0, 0.0))
    assert float(bare.evaporation) < 0.0
    assert float(bare.heat) > 3.0 * float(bagged.heat)
    dew = float(humid_air.dew_point(ratio, AIR))
    assert float(flux(dew, Around(60.0, 8.0, ratio), AIR, LAW).evaporation) == approx(0.0, abs=1e-12)


def test_the_heat_of_vapour_is_counted_once():
    """With no difference of temperature and no radiation all heat is latent."""
    found = flux(40.0, Around(40.0, 10.0, 0.005, emissivity=0.0), AIR, LAW)
    assert float(found.heat) == approx(-float(humid_air.latent_heat(40.0, AIR) * found.evaporation), rel=1e-12)


states = st.tuples(
    st.floats(-25.0, 110.0).filter(lambda t: abs(t) > 0.01), st.floats(-25.0, 240.0), st.floats(0.5, 60.0), st.floats(0.0, 0.4),
    st.floats(0.0, 1.0), st.floats(0.2, 1.0), st.floats(0.0, 1.0),
)  # fmt: skip


@given(states)
def test_slopes_are_those_of_the_flux_and_heat_falls_with_the_face(state):
    face, air_c, h, ratio, wet, aw, e = state
    around, d = Around(air_c, h, ratio, wall_c=air_c + 5.0, emissivity=e, wet=wet), 1e-4
    here, up, down = (flux(face + s * d, around, AIR, LAW, aw) for s in (0.0, 1.0, -1.0))
    size = 1e-5 * (abs(float(here.slope)) + 1.0)
    assert float(here.slope) == approx((float(up.heat) - float(down.heat)) / (2 * d), rel=1e-4, abs=size)
    assert float(here.evaporation_slope) == approx((float(up.evaporation) - float(down.evaporation)) / (2 * d), rel=1e-4, abs=1e-10)
    assert float(here.slope) <= 1e-9 or float(here.evaporation) < 0.0 or face < 0.0


def test_a_face_that_would_boil_is_pushed_back_without_end_of_numbers():
    found = flux(np.array([99.0, 105.0, 130.0, 200.0]), Around(220.0, 20.0, 0.01), AIR, LAW)
    assert np.isfinite(found.heat).all() and (np.diff(found.heat) < 0).all()


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("convection", {"convection": -1.0}), ("convection", {"convection": 5000.0}), ("air_temperature", {"air_c": 300.0}),
        ("emissivity", {"emissivity": 1.2}), ("wet_share", {"wet": 1.5}), ("humidity_ratio", {"humidity": -0.1}),
        ("pressure", {"pressure": 1000.0}),
    ],
)  # fmt: skip
def test_refused(field, change):
    with pytest.raises(OutOfRange) as caught:
        flux(40.0, replace(Around(60.0, 10.0, 0.01), **change), AIR, LAW)
    assert caught.value.field == field and caught.value.limit is not None


@pytest.mark.parametrize(
    "ask",
    [
        lambda: humid_air.ratio_at_wet_bulb(20.0, 25.0, AIR), lambda: humid_air.ratio_at_wet_bulb(60.0, 5.0, AIR),
        lambda: humid_air.humidity_ratio(120.0, 0.9, AIR), lambda: humid_air.humidity_ratio(20.0, 55.0, AIR),
        lambda: humid_air.wet_bulb(20.0, 0.05, AIR), lambda: humid_air.dew_point(0.0, AIR),
        lambda: humid_air.enthalpy(300.0, 0.01, AIR), lambda: humid_air.humidity_ratio(float("nan"), 0.5, AIR),
    ],
)  # fmt: skip
def test_air_that_cannot_be_is_refused_with_what_to_do(ask):
    with pytest.raises(OutOfRange) as caught:
        ask()
    assert caught.value.remedy and caught.value.limit is not None


def test_thin_air_dries_faster():
    """At 80 kPa the wet bulb of the same ratio is lower: pressure is an input, not a constant."""
    assert float(humid_air.wet_bulb(60.0, 0.01, AIR, 80000.0)) < float(humid_air.wet_bulb(60.0, 0.01, AIR)) - 1.0
    assert surface_heat.flux(30.0, Around(30.0, 8.0, 0.005, pressure=80000.0), AIR, LAW).evaporation > surface_heat.flux(
        30.0, Around(30.0, 8.0, 0.005), AIR, LAW
    ).evaporation
