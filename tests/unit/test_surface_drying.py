"""Drying faces: direction, rest, scale, the trade's rule, and the way back from a wished water activity."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from ingle.crafts.cure import laws
from ingle.ground.errors import OutOfRange
from ingle.physics import surface_drying as drying

SALT, BASE, VAPOUR, AIR, RULE = (
    laws.salt_activity(), laws.meat_base(), laws.vapour(), laws.air(), laws.hardening(),
)  # fmt: skip
CELLAR = 285.15  # K, 12 C
shares = st.floats(0.0, 1.0)


def flux(a, humidity, *, surface=CELLAR, air=CELLAR, h=8.0):
    return float(drying.drying_flux(a, surface, humidity, air, h, VAPOUR, AIR))


@given(shares)
def test_at_rest_when_humidity_equals_water_activity(a):
    assert flux(a, a) == approx(0.0, abs=1e-18)


@given(shares, shares)
def test_water_goes_to_the_drier_side(a, humidity):
    assert np.sign(flux(a, humidity)) == np.sign(a - humidity)
    assert flux(a, humidity) == approx(-flux(humidity, a), abs=1e-18)


def test_warmer_faces_dry_faster_and_cold_ones_take_dew():
    assert flux(0.97, 0.75, surface=286.0) > flux(0.97, 0.75) > flux(0.97, 0.75, surface=284.0)
    assert flux(0.97, 0.75, surface=276.0) < 0.0


def test_twice_the_transfer_is_twice_the_flux():
    assert flux(0.97, 0.75, h=16.0) == approx(2 * flux(0.97, 0.75, h=8.0), rel=1e-14)
    assert flux(0.97, 0.75, h=0.0) == 0.0


def test_a_wet_face_in_a_cellar_loses_kilograms_a_day_per_square_metre():
    """psat(12 C) = 1403 Pa (steam tables): 10 W/m2K and 22 points of humidity, worked by hand below."""
    k = 10.0 / (101325 / (287.05 * 285.15) * 1006 * 0.87 ** (2 / 3))
    by_hand = k * 0.22 * 1403 / (461.52 * 285.15)
    assert flux(0.97, 0.75, h=10.0) == approx(by_hand, rel=0.001)
    assert 1.0 < by_hand * 86400 < 3.0


@given(shares, shares)
def test_hardening_runs_from_5_to_10_points(a, humidity):
    told = float(drying.hardening(a, humidity, RULE))
    assert 0.0 <= told <= 1.0
    gap = a - humidity
    assert (told == 0.0) if gap <= 0.05 else (told > 0.0)
    assert (told == 1.0) if gap > 0.1000001 else (told < 1.0 or gap == approx(0.10))


def test_hardening_half_way():
    assert drying.hardening([0.95, 0.95, 0.95, 0.95], [0.96, 0.90, 0.875, 0.80], RULE) == approx([0, 0, 0.5, 1])


@given(st.floats(0.2, 1.0))
def test_the_humidity_band_is_where_hardening_begins_and_ends(a):
    low, high = drying.humidity_band(a, RULE)
    assert drying.hardening(a, low, RULE) == approx(1.0, abs=1e-9)
    assert drying.hardening(a, high, RULE) == approx(0.0, abs=1e-9)


@given(st.floats(0.02, 0.06), st.floats(0.0, 0.45))
def test_loss_and_back(salt, loss):
    a = float(drying.water_activity_after(loss, 0.74, salt, CELLAR, SALT, BASE))
    assert drying.loss_for(a, 0.74, salt, CELLAR, SALT, BASE) == approx(loss, abs=1e-9)


@given(st.floats(0.02, 0.05), st.floats(0.02, 0.05), st.floats(0.90, 0.95))
def test_more_salt_needs_less_drying(a, b, wanted):
    less, more = sorted((a, b))
    assert (
        drying.loss_for(wanted, 0.74, more, CELLAR, SALT, BASE)
        <= drying.loss_for(wanted, 0.74, less, CELLAR, SALT, BASE) + 1e-12
    )


def test_thirty_percent_at_2_5_percent_salt_is_not_0_92():
    """The round figure of the trade does not reach the limit; 3.5 % salt and 40 % do."""
    after = drying.water_activity_after([0.30, 0.40], 0.73, 0.025, 298.15, SALT, BASE)
    assert after == approx([0.951, 0.936], abs=0.0005)
    assert drying.water_activity_after(0.40, 0.73, 0.035, 298.15, SALT, BASE) < 0.92


def test_fat_makes_the_same_loss_a_drier_lean():
    lean = drying.water_activity_after(0.20, 0.74, 0.02, CELLAR, SALT, BASE)
    fatty = drying.water_activity_after(0.20, 0.74, 0.02, CELLAR, SALT, BASE, lean=0.6)
    assert fatty < lean
    same = drying.water_activity_after(0.20 / 0.6, 0.74, 0.02 / 0.6, CELLAR, SALT, BASE)
    assert fatty == approx(float(same), rel=1e-12)
    wanted = float(fatty)
    assert drying.loss_for(wanted, 0.74, 0.02, CELLAR, SALT, BASE, lean=0.6) == approx(0.20, abs=1e-9)


def test_nothing_to_lose_when_it_is_there_already():
    assert drying.loss_for(0.985, 0.74, 0.03, CELLAR, SALT, BASE) == 0.0


def test_the_wettest_reachable_end_can_be_asked_for():
    for salt in (0.01, 0.04, 0.12):
        most = 0.74 - max(0.6 * 0.26, salt / float(drying.aw.saturated(CELLAR, SALT)))
        end = float(drying.water_activity_after(most * (1 - 1e-9), 0.74, salt, CELLAR, SALT, BASE))
        assert drying.loss_for(end, 0.74, salt, CELLAR, SALT, BASE) == approx(most, rel=1e-6)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: flux(1.2, 0.7), "water activity 1.2 is not within 0 to 1"),
        (lambda: flux(0.9, 75.0), "relative humidity 75 is not within 0 to 1"),
        (lambda: flux(0.9, 0.7, h=-1.0), "heat transfer -1 W/m2K"),
        (lambda: flux(0.9, 0.7, air=390.0), "temperature"),
        (lambda: drying.hardening(0.9, 90.0, RULE), "relative humidity 90"),
        (lambda: drying.loss_for(0.80, 0.74, 0.01, CELLAR, SALT, BASE), "water activity 0.800 lies beyond"),
        (lambda: drying.water_activity_after(0.7, 0.74, 0.03, CELLAR, SALT, BASE), "weight loss 0.7 kg/kg"),
        (lambda: drying.water_activity_after(0.1, 0.74, 0.3, CELLAR, SALT, BASE), "at least"),
        (lambda: drying.water_activity_after(0.1, 0.3, 0.02, CELLAR, SALT, BASE), "at least 0.42 kg water"),
        (lambda: drying.loss_for(0.9, 0.74, 0.02, CELLAR, SALT, BASE, lean=0.0), "lean per green weight 0"),
    ],
)
def test_refused_with_numbers(ask, words):
    with pytest.raises(OutOfRange) as told:
        ask()
    assert words in told.value.text and told.value.remedy
