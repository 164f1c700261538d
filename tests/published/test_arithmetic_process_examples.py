"""Worked sums, plain arithmetic or read in copies: no source is claimed, the sum must come out."""

import pytest

from ingle.crafts import bread, brine, butter, dough, sauce, skin

FORMULA = {"flour": 1.0, "salt": 0.0175, "sugar": 0.02, "yeast": 0.00375, "water": 0.58}


def celsius(fahrenheit):
    return (fahrenheit - 32.0) / 1.8


def test_bp_02_sum_of_percentages():
    assert bread.scale(FORMULA, 162.125)["flour"] == pytest.approx(100.0, abs=1e-9)


def test_bp_04_25_kg_of_dough():
    made = bread.scale(FORMULA, 25_000.0)
    wanted = {"flour": 15_420, "water": 8_944, "salt": 269.9, "sugar": 308.4, "yeast": 57.8}
    for name, grams in wanted.items():
        assert made[name] == pytest.approx(grams, abs=1.0 if grams > 1000 else 0.05)
    back = bread.percentages(made, ["flour"])
    assert back == pytest.approx(FORMULA)


def test_pf_03_a_tenth_of_the_flour_by_weight():
    starter = bread.preferment_of(196.25, 0.10, 1.0, "weight")
    left = bread.final_mix(196.25, 131.49, starter)
    assert starter.weight_g == pytest.approx(19.63, abs=0.006)
    assert (left.flour_g, left.water_g) == (pytest.approx(186.44, abs=0.01), pytest.approx(121.68, abs=0.01))
    assert left.prefermented_per_flour == pytest.approx(0.05, abs=1e-9)


def test_the_two_readings_of_a_share_differ_by_the_water():
    by_flour = bread.preferment_of(1000.0, 0.30, 1.0, "flour")
    by_weight = bread.preferment_of(1000.0, 0.30, 1.0, "weight")
    assert (by_flour.weight_g, by_weight.weight_g) == (600.0, 300.0)
    assert (by_flour.flour_g, by_weight.flour_g) == (300.0, 150.0)


def test_pf_04_levain_in_a_dough():
    whole = bread.totals(900.0, 610.0, 20.0, [bread.Preferment(200.0, 1.0)])
    assert (whole.flour_g, whole.water_g) == (1000.0, 710.0)
    assert (whole.water_per_flour, whole.salt_per_flour) == (pytest.approx(0.710), pytest.approx(0.020))
    assert whole.dough_g == 1730.0


def test_buttermilk_counts_by_its_water():
    """Buttermilk is 90.13 % water (USDA SR26 01088): 700 g bring 631 g."""
    whole = bread.totals(1000.0, 0.0, 20.0, other_liquid_g=700.0)
    assert whole.water_per_flour == pytest.approx(0.6309, abs=0.0001)
    assert whole.dough_g == 1720.0


@pytest.mark.parametrize(
    ("wanted", "put_in", "water"),
    [(75, (71, 71, 20, 71), 67), (80, (65, 75, 35, None), 65), (78, (72, 74, 25, None), 63)],
)
def test_ddt_water_by_the_factor_rule(wanted, put_in, water):
    flour, room, friction, starter = put_in
    third = None if starter is None else celsius(starter)
    got = dough.water_by_factor(celsius(wanted), celsius(flour), celsius(room), friction / 1.8, third)
    assert got == pytest.approx(celsius(water), abs=1e-9)
    back = dough.friction_by_factor(celsius(wanted), celsius(flour), celsius(room), got, third)
    assert back == pytest.approx(friction / 1.8, abs=1e-9)


def test_ps_03_milk_and_skim():
    mix = butter.standardise(2.6, 3.9, 0.0, mix_g=3.9)
    assert (mix.first_g, mix.second_g) == (pytest.approx(2.6), pytest.approx(1.3))


def test_bm_03_overrun():
    assert 100 * butter.overrun(50.0, 700 * 0.06) == pytest.approx(19.0, abs=0.1)


def test_bm_04_butter_mass_balance():
    made = butter.churn(1000.0, 0.36, 0.82, 0.005)
    assert (made.butter_g, made.buttermilk_g) == (
        pytest.approx(435.6, abs=0.05),
        pytest.approx(564.4, abs=0.05),
    )
    assert 100 * made.fat_recovered == pytest.approx(99.22, abs=0.005)


@pytest.mark.parametrize(
    ("cream", "fat", "lost", "per_cent"),
    [
        (0.36, 0.82, 0.005, 43.6),
        (0.38, 0.80, 0.005, 47.2),
        (0.48, 0.82, 0.005, 58.3),
        (0.36, 0.82, 0.02, 42.5),
    ],
)
def test_butter_from_creams(cream, fat, lost, per_cent):
    assert butter.churn(100.0, cream, fat, lost).butter_g == pytest.approx(per_cent, abs=0.05)


def test_bm_05_two_percent_salt_in_sixteen_water_is_an_11_percent_brine():
    assert 100 * butter.serum_brine(0.02, 0.16) == pytest.approx(11.1, abs=0.05)


def test_br_01_seventy_degrees_of_salometer():
    assert 100 * brine.strength_from_salometer(70.0) == pytest.approx(18.48, abs=0.01)
    assert brine.salometer(0.1848) == pytest.approx(70.0, abs=0.02)


def test_br_05_357_g_in_a_litre_of_water():
    made = brine.brine(357.0, 1000.0)
    assert 100 * made.salt_per_brine == pytest.approx(26.3, abs=0.05)
    assert not made.saturated


def test_sx_02_tomato_pulp():
    left = sauce.boil_down(10_000.0, 0.051, 0.12)
    assert (left.left_g, left.water_gone_g) == (
        pytest.approx(4250.0, abs=5.0),
        pytest.approx(5750.0, abs=5.0),
    )


def test_ac_02_vinegar_in_a_sauce():
    assert sauce.acid_share(300.0, 0.05, 1000.0) == pytest.approx(0.015)


@pytest.mark.parametrize(("acid", "per_cent"), [("acetic", 1.20), ("citric", 1.28), ("malic", 1.34), ("lactic", 1.80)])
def test_ac_03_titration(acid, per_cent):
    assert 100 * sauce.titratable_acidity(10.0, 20.0, 0.100, acid) == pytest.approx(per_cent, abs=0.005)


def test_fifty_grams_on_a_500_gram_loaf_are_nine_percent_of_the_dough():
    assert 100 * bread.bake_loss(550.0, 500.0) == pytest.approx(9.09, abs=0.005)


@pytest.mark.parametrize(("run_off", "per_cent"), [(0.0, 53.0), (0.5, 40.0)])
def test_crackling_from_raw_skin(run_off, per_cent):
    """Water 48.03 %, fat 25.47 % of the raw skin; 2 % water left: what stays over 0.98."""
    out = skin.crackle(skin.dry(skin.Skin(100.0), hours=24.0), skin.oven_programme(skin.Skin(100.0)))
    kept_fat = 25.47 * (0.5 - run_off) / 0.98  # from the likely run-off of one half to the case's
    assert out.likely_g + kept_fat == pytest.approx(per_cent, abs=0.05)
