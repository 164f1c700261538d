"""Laws any water activity must keep, whatever its numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from ingle.crafts.cure import laws
from ingle.ground.errors import OutOfRange
from ingle.physics import water_activity as aw

SALT, BASE = laws.salt_activity(), laws.meat_base()
COLD = 278.15  # K, 5 C
temperatures = st.floats(273.15, 313.15)
salts = st.floats(0.0, 0.3565)  # kg/kg, what dissolves at any temperature of the law


@given(salts, salts, temperatures)
def test_more_salt_is_less_water_activity(a, b, T):
    less, more = sorted((a, b))
    high, low = aw.of_salt([less, more], T, SALT)
    assert 0.745 <= low <= high <= 1.0
    assert more - less < 1e-9 or low < high


@given(salts, temperatures)
def test_salt_and_back(s, T):
    assert aw.salt_for(aw.of_salt(s, T, SALT), T, SALT) == approx(s, abs=1e-9)


@given(st.floats(0.0, 0.35), st.floats(0.9, 1.0), temperatures)
def test_salt_beside_others_and_back(s, others, T):
    together = aw.mixed(aw.of_salt(s, T, SALT), others)
    found = aw.salt_for(together, T, SALT, others=others)
    assert aw.mixed(aw.of_salt(found, T, SALT), others) == approx(together, abs=1e-12)
    assert found == approx(s, abs=1e-9)


def test_no_salt_is_needed_where_the_others_suffice():
    assert aw.salt_for([0.98, 0.975], COLD, SALT, others=0.97).tolist() == [0.0, 0.0]
    assert aw.salt_for(1.0, COLD, SALT) == approx(0.0, abs=1e-12)


@given(st.permutations([0.97, 0.99, 0.94, 0.995]))
def test_order_of_mixing_does_not_matter(factors):
    assert aw.mixed(*factors) == approx(0.97 * 0.99 * 0.94 * 0.995, rel=1e-14)


def test_mixed_broadcasts():
    assert aw.mixed([[0.9], [0.8]], [1.0, 0.5]).tolist() == [[0.9, 0.45], [0.8, 0.4]]


@given(salts, st.floats(0.1, 10.0))
def test_phase_salt_asks_only_for_the_ratio(s, scale):
    z = aw.water_phase_salt(s, 1.0)
    assert 0.0 <= z < 1.0
    assert aw.water_phase_salt(s * scale, scale) == approx(z, rel=1e-12)
    assert z / (1.0 - z) == approx(s, abs=1e-15, rel=1e-12)


def test_pure_water():
    assert aw.of_salt(0.0, COLD, SALT) == 1.0
    assert aw.osmotic_coefficient(0.0, COLD, SALT) == 1.0
    assert aw.of_sugar(0.0, laws.sugar_activity()) == 1.0


def test_dilute_salt_follows_raoult():
    """Both ions count: at 1e-4 mol/kg the osmotic coefficient is within half a percent of 1."""
    m = 1e-4
    lowering = 1.0 - aw.of_salt(m * SALT.molar_mass, COLD, SALT)
    assert lowering == approx(2 * m * SALT.water_molar_mass, rel=0.005)


@pytest.mark.parametrize("name", ["sucrose", "glucose", "fructose", "lactose"])
def test_sugar_lowers_by_moles_not_by_weight(name):
    """Raoult at the weak end, below it when strong."""
    law = laws.sugar_activity(name)
    moles = 1e-3
    assert 1 - aw.of_sugar(moles * law.molar_mass, law) == approx(moles * law.water_molar_mass, rel=0.01)
    strong = aw.of_sugar(0.2, law)
    x = 0.2 / law.molar_mass / (0.2 / law.molar_mass + 1 / law.water_molar_mass)
    assert strong < 1 - x


def test_salt_beats_sugar_weight_for_weight():
    assert aw.of_salt(0.1, COLD, SALT) < aw.of_sugar(0.1, laws.sugar_activity("glucose"))
    assert aw.of_sugar(0.1, laws.sugar_activity("glucose")) < aw.of_sugar(0.1, laws.sugar_activity("sucrose"))


def test_crystals_hold_the_saturated_value():
    full = aw.saturated(COLD, SALT)
    at_full = aw.of_salt(full, COLD, SALT)
    assert aw.of_salt([full, 0.5, 3.0], COLD, SALT, crystals=True) == approx(float(at_full), abs=1e-15)
    assert aw.of_salt(0.1, COLD, SALT, crystals=True) == aw.of_salt(0.1, COLD, SALT)
    with pytest.raises(OutOfRange, match=r"0\.5 kg/kg is more than the 0\.3569 kg/kg") as told:
        aw.of_salt([0.1, 0.5], COLD, SALT)
    assert told.value.value == 0.5 and told.value.limit == approx(float(full))


def test_arrays_of_both_arguments_broadcast():
    T = np.array([[274.0], [300.0]])
    table = aw.of_salt([0.0, 0.1, 0.2], T, SALT)
    assert table.shape == (2, 3)
    assert table[1, 2] == aw.of_salt(0.2, 300.0, SALT)
    back = aw.salt_for(table, T, SALT)
    assert back.shape == (2, 3)
    assert back == approx(np.broadcast_to([0.0, 0.1, 0.2], (2, 3)), abs=1e-9)


def test_drying_meat_lowers_its_own_factor():
    fresh = 2.7
    X = np.array([3.0, 2.7, 1.5, 0.6])
    factors = aw.of_meat(X, fresh, BASE)
    assert np.all(np.diff(factors) < 0)
    assert np.log(factors[2]) / np.log(factors[1]) == approx(2.7 / 1.5)


def test_lean_meat_is_brine_times_base_on_any_basis():
    whole = aw.of_lean(0.60, 0.03, 0.37, COLD, SALT, BASE, fresh=2.7)
    assert whole == approx(float(aw.of_salt(0.05, COLD, SALT) * aw.of_meat(0.60 / 0.37, 2.7, BASE)), rel=1e-14)
    assert aw.of_lean(6.0, 0.3, 3.7, COLD, SALT, BASE, fresh=2.7) == approx(float(whole), rel=1e-14)
    crusted = aw.of_lean(0.3, 0.4, 0.3, COLD, SALT, BASE, fresh=2.7, crystals=True)
    assert 0.70 < crusted < 0.76
    with pytest.raises(OutOfRange, match="dissolves"):
        aw.of_lean(0.3, 0.4, 0.3, COLD, SALT, BASE, fresh=2.7)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: aw.of_salt(0.1, 272.9, SALT), "temperature 272.9 K is not within 273.15 to 313.15 K"),
        (lambda: aw.of_salt(0.1, np.nan, SALT), "temperature nan"),
        (lambda: aw.of_salt(-0.01, COLD, SALT), "salt per water -0.01 kg/kg"),
        (lambda: aw.of_salt(np.nan, COLD, SALT), "salt per water nan"),
        (lambda: aw.osmotic_coefficient(6.5, COLD, SALT), "molality 6.5 mol/kg is not within 0 to 6.3"),
        (lambda: aw.salt_for(0.70, COLD, SALT), "out of reach of salt: a saturated brine stands at 0.756"),
        (lambda: aw.salt_for(1.1, COLD, SALT), "water activity 1.1 is not within 0 to 1"),
        (lambda: aw.of_sugar(5.0, laws.sugar_activity()), "sucrose per water 5 kg/kg"),
        (lambda: aw.of_meat(0.5, 2.7, BASE), "water per dry matter 0.5 kg/kg is not within 0.6"),
        (lambda: aw.water_phase_salt(0.0, 0.0), "water 0 kg"),
        (lambda: aw.water_phase_salt(-1.0, 1.0), "salt -1 kg"),
        (lambda: laws.sugar_activity("honey"), "sugar 'honey' is not one of sucrose, glucose"),
    ],
)
def test_refused_with_numbers(ask, words):
    with pytest.raises(OutOfRange) as told:
        ask()
    assert words in told.value.text and told.value.remedy and told.value.limit is not None
