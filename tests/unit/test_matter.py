"""Properties from composition: what must hold whatever the numbers are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from ingle.crafts.heat import laws
from ingle.ground.errors import OutOfRange
from ingle.physics import matter
from ingle.physics.matter_laws import Composition
from ingle.physics.mixed_conductivity import joined

LAWS = laws.matter()
CUTS = laws.names("composition")
GRID = np.linspace(-39.7, 149.7, 380)  # half a kelvin apart; no point on a kink (0, 45 degC or a freezing point)


@pytest.mark.parametrize("cut", CUTS)
def test_heat_capacity_is_the_slope_of_the_enthalpy(cut):
    meat, d = laws.composition(cut), 1e-4
    up, down = (matter.enthalpy(meat, LAWS, GRID + s * d) for s in (1.0, -1.0))
    assert matter.specific_heat(meat, LAWS, GRID) == approx((up - down) / (2 * d), rel=1e-5)


@pytest.mark.parametrize("cut", CUTS)
def test_enthalpy_rises_and_has_no_steps(cut):
    """No step at freezing or at the ends of melting: over a hundredth of a kelvin less than 300 kJ/kgK can carry."""
    meat = laws.composition(cut)
    for kink in (0.0, 45.0, matter.freezing_point(meat, LAWS)):
        near = matter.enthalpy(meat, LAWS, [kink - 0.005, kink + 0.005])
        assert 0.0 < near[1] - near[0] < 3000.0
    assert (np.diff(matter.enthalpy(meat, LAWS, GRID)) > 0.0).all()


def test_pure_water_takes_its_heat_of_fusion():
    """Nearly pure water from -40 to 10 degC: 40 K of ice, 333.6 kJ/kg, 10 K of water (steam tables). 1 %: the ash and what it keeps
    liquid. By the ideal solution; Tchigeov's form, made for food, leaves 7 % of pure water liquid at -40 degC.
    """
    water, law = Composition(0.999, 0.0, 0.0, ash=0.001), replace(LAWS, freezing=replace(LAWS.freezing, form="raoult"))
    told = float(matter.enthalpy(water, law, 10.0) - matter.enthalpy(water, law, -40.0))
    assert told == approx(40 * 1940 + 333600 + 10 * 4190, rel=0.01)


def test_fat_takes_its_heat_of_melting_between_its_ends_and_no_other():
    fat = laws.composition("backfat")
    for latent in (LAWS.fat.latent_low, LAWS.fat.latent, LAWS.fat.latent_high):
        for low, high, part in ((-0.001, 45.001, 1.0), (0.0, 22.5, 0.5), (50.0, 80.0, 0.0)):
            with_it, without = (
                float(np.diff(matter.enthalpy(fat, LAWS, [low, high], fat_latent=x))[0]) for x in (latent, 0.0)
            )
            assert with_it - without == approx(part * fat.fat * latent, abs=1.0)
    assert float(matter.specific_heat(fat, LAWS, 20.0)) > 1.5 * float(matter.sensible_heat(fat, LAWS, 20.0))


@given(st.tuples(*(st.floats(0.1, 1.0) for _ in range(6))), st.floats(-39.0, 149.0))
def test_no_rule_leaves_the_bounds_of_layering(parts, celsius):
    total = sum(parts)
    meat = Composition(*(x / total for x in parts))
    low, used, high = (float(matter.conductivity(meat, LAWS, celsius, how)) for how in ("series", "levy", "parallel"))
    assert low * (1 - 1e-9) <= used <= high * (1 + 1e-9)
    assert 850.0 < float(matter.density(meat, LAWS, celsius)) < 2500.0


@given(st.floats(0.05, 3.0), st.floats(0.05, 3.0), st.floats(0.0, 1.0))
def test_levy_asks_not_which_material_comes_first(k1, k2, share):
    """What Levy set out for: exchanging the two materials changes nothing, and each alone is itself."""
    pad = np.zeros(())

    def both(a, b, part):
        return float(joined(np.array([part, pad, 1.0 - part]), np.array([a, 1.0, b]), "levy"))

    assert both(k1, k2, share) == approx(both(k2, k1, 1.0 - share), rel=1e-7)
    assert both(k1, k2, 1.0) == approx(k1, rel=1e-7) and both(k1, k2, 0.0) == approx(k2, rel=1e-7)


def test_ice_conducts_and_salt_keeps_water_liquid():
    plain = laws.composition("lean-pork")
    cured = plain.salted(0.03, water_lost=0.04)
    assert cured.water + sum(cured.dry) == approx(1.0)
    assert cured.salt == approx(0.03 / 0.99)
    assert float(matter.conductivity(plain, LAWS, -20.0)) > 2.0 * float(matter.conductivity(plain, LAWS, 5.0))
    assert matter.freezing_point(cured, LAWS) < matter.freezing_point(plain, LAWS) - 1.0
    assert float(matter.ice(cured, LAWS, -10.0)) < float(matter.ice(plain, LAWS, -10.0))


def test_table_is_what_the_functions_tell():
    meat = laws.composition("belly")
    t = np.linspace(-30.0, 120.0, 151)
    made = matter.table(meat, LAWS, t)
    held = float(matter.density(meat, LAWS, LAWS.reference_c))
    assert made.mass_per_volume == held
    assert made.conductivity == approx(matter.conductivity(meat, LAWS, t))
    assert (made.conductivity_low <= made.conductivity).all() and (made.conductivity <= made.conductivity_high).all()
    assert made.heat_capacity == approx(held * matter.specific_heat(meat, LAWS, t))
    assert made.enthalpy[0] == 0.0 and np.ptp(made.enthalpy) == approx(held * float(np.ptp(matter.enthalpy(meat, LAWS, t))))
    assert made.ice == approx(matter.ice(meat, LAWS, t)) and made.density == approx(matter.density(meat, LAWS, t))
    assert set(made.scatter) == {LAWS.scatter, LAWS.scatter_frozen}
    slow = matter.table(meat, LAWS, t, fat_latent=LAWS.fat.latent_high)
    assert slow.enthalpy[-1] > made.enthalpy[-1]


@pytest.mark.parametrize(
    ("field", "parts"),
    [
        ("composition", {"water": 0.5, "protein": 0.2, "fat": 0.1}), ("composition", {"water": 0.74, "protein": 0.25, "fat": 0.1}),
        ("fat", {"water": 0.7, "protein": 0.2, "fat": -0.1}), ("water", {"water": 0.0, "protein": 0.5, "fat": 0.5}),
        ("water", {"water": float("nan"), "protein": 0.5, "fat": 0.5}),
        ("freezing_c", {"water": 0.75, "protein": 0.2, "fat": 0.05, "freezing_c": 2.0}),
    ],
)  # fmt: skip
def test_a_composition_that_cannot_be_is_refused(field, parts):
    with pytest.raises(OutOfRange) as caught:
        Composition(**parts)
    assert caught.value.field == field and caught.value.remedy


def test_what_is_not_known_is_refused_with_the_choices():
    meat = laws.composition("belly")
    for ask, field in (
        (lambda: matter.conductivity(meat, LAWS, 20.0, "random"), "how"), (lambda: matter.ice(meat, LAWS, -5.0, "linear"), "form"),
        (lambda: matter.table(meat, LAWS, [20.0, 10.0]), "celsius"), (lambda: laws.composition("rock"), "composition"),
        (lambda: laws.film("volcano"), "film"), (lambda: meat.salted(0.03, water_lost=0.4), "water_lost"),
    ):  # fmt: skip
        with pytest.raises(OutOfRange) as caught:
            ask()
        assert caught.value.field == field


def test_a_broken_law_is_seen():
    """The tests above would notice: a fat that does not melt, ice without heat, a misprinted conductivity."""
    meat = laws.composition("belly")
    no_heat = replace(LAWS, freezing=replace(LAWS.freezing, latent=0.0))
    assert float(matter.specific_heat(meat, no_heat, -3.0)) < 0.5 * float(matter.specific_heat(meat, LAWS, -3.0))
