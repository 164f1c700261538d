"""What goes in comes out: every craft's balance, over the whole range it accepts."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ingle.crafts import bread, brine, butter, dough, sauce, skin, smoke
from ingle.ground.errors import OutOfRange
from ingle.physics import mixing

grams = st.floats(1.0, 1e5)
few = settings(max_examples=50, deadline=None)  # two shared cores: a slow moment is no failure


@few
@given(grams, st.floats(0.05, 0.6), st.floats(0.7, 0.9), st.floats(0.0, 0.04))
def test_butter_keeps_fat_water_and_solids(cream, fat, fat_butter, fat_buttermilk):
    made = butter.churn(cream, fat, fat_butter, fat_buttermilk)
    assert made.butter_g + made.buttermilk_g == pytest.approx(cream, rel=1e-12)
    in_butter = made.butter_g * made.fat_per_butter
    assert in_butter + made.buttermilk_g * made.fat_per_buttermilk == pytest.approx(cream * fat, rel=1e-11)
    water = made.butter_g * made.water_per_butter + made.buttermilk_g * made.water_per_buttermilk
    assert water == pytest.approx((1 - 0.084) * (cream - cream * fat), rel=1e-11)
    assert made.fat_per_butter + made.water_per_butter + made.snf_per_butter == pytest.approx(1.0, abs=1e-12)


@few
@given(grams, st.floats(0.05, 0.6))
def test_cream_for_butter_is_the_reverse_of_churning(wanted, fat):
    assert butter.cream_for(wanted, fat).butter_g == pytest.approx(wanted, rel=1e-12)


@few
@given(grams, st.floats(0.0, 0.1))
def test_salted_butter_sums_to_one_and_weighs_its_salt(cream, share):
    plain = butter.churn(cream, 0.36)
    made = butter.salted(plain, share)
    parts = made.fat_per_butter + made.water_per_butter + made.snf_per_butter + made.salt_per_butter
    assert parts == pytest.approx(1.0, abs=1e-12)
    assert made.butter_g == pytest.approx(plain.butter_g + made.salt_g, rel=1e-12)
    assert made.salt_g == pytest.approx(share * made.butter_g, rel=1e-12, abs=1e-12)


@few
@given(grams, st.floats(0.161, 0.5))
def test_water_pressed_out_leaves_the_wished_share(mass, water):
    gone = butter.water_to_work_out(mass, water)
    assert (mass * water - gone) / (mass - gone) == pytest.approx(0.16, rel=1e-11)


def test_dry_butter_needs_no_pressing():
    assert butter.water_to_work_out(500.0, 0.15) == 0.0


@few
@given(grams, st.floats(0.0, 0.9), st.floats(0.0, 0.9), st.floats(0.0, 1.0))
def test_a_standardised_mix_holds_what_its_parts_held(mix, first, second, where):
    if abs(first - second) < 1e-3:
        return
    wanted = first + where * (second - first)
    made = butter.standardise(wanted, first, second, mix_g=mix)
    assert made.first_g + made.second_g == pytest.approx(mix, rel=1e-12)
    assert made.first_g * first + made.second_g * second == pytest.approx(mix * wanted, rel=1e-9, abs=1e-9 * mix)


@few
@given(st.floats(0.0, 1e5), st.floats(1.0, 1e5), st.floats(0.0, 30.0))
def test_brine_accounts_for_every_gram_of_salt(salt, water, temperature):
    made = brine.brine(salt, water, temperature)
    assert made.brine_g * made.salt_per_brine + made.undissolved_g == pytest.approx(salt, rel=1e-12, abs=1e-12)
    assert made.brine_g + made.undissolved_g == pytest.approx(salt + water, rel=1e-12)
    assert made.volume_l * made.density_kg_per_m3 == pytest.approx(made.brine_g, rel=1e-12)
    assert made.salt_per_brine <= made.saturation_per_brine * (1 + 1e-12)
    assert made.saturated == (made.undissolved_g > 0)


@few
@given(st.floats(1.0, 5e4), st.floats(1.0, 1e5), st.floats(0.01, 0.25))
def test_a_corrected_brine_has_its_strength(salt, water, wanted):
    now = brine.brine(salt, water)
    more_salt, more_water = brine.correct(now, wanted)
    assert min(more_salt, more_water) == 0.0
    after = brine.brine(salt + more_salt, water + more_water)
    assert after.salt_per_brine == pytest.approx(wanted, rel=1e-9)


@few
@given(st.floats(0.0, 0.26), st.floats(0.0, 30.0))
def test_strength_and_density_are_each_others_way_back(strength, temperature):
    assert brine.strength_from_density(brine.density(strength, temperature), temperature) == pytest.approx(strength, abs=1e-9)


@few
@given(grams, st.floats(0.01, 0.9), st.floats(1.0, 3.0))
def test_boiling_down_keeps_the_solids(start, solids, factor):
    wanted = min(1.0, solids * factor)
    made = sauce.boil_down(start, solids, wanted)
    assert made.left_g * wanted == pytest.approx(start * solids, rel=1e-12)
    assert made.left_g + made.water_gone_g == pytest.approx(start, rel=1e-12)


@few
@given(st.lists(st.tuples(grams, st.floats(0.0, 1.0)), min_size=1, max_size=6))
def test_a_mix_holds_what_its_parts_held(parts):
    made = sauce.mix(parts)
    assert made.mass_g == pytest.approx(math.fsum(m for m, _ in parts), rel=1e-12)
    assert made.solids_per_sauce * made.mass_g == pytest.approx(math.fsum(m * s for m, s in parts), rel=1e-12, abs=1e-12)


@few
@given(grams, grams, st.floats(0.0, 1000.0), grams, st.floats(0.3, 2.0))
def test_a_dough_taken_apart_weighs_the_same(flour, water, salt, starter, hydration):
    whole = bread.totals(flour, water, salt, [bread.Preferment(starter, hydration)])
    assert whole.flour_g + whole.water_g + whole.salt_g == pytest.approx(whole.dough_g, rel=1e-12)


@few
@given(grams, st.floats(0.0, 1.0), st.floats(0.0, 0.03))
def test_scaled_dough_sums_to_its_weight(total, water, salt):
    made = bread.scale({"flour": 1.0, "water": water, "salt": salt}, total)
    assert sum(made.values()) == pytest.approx(total, rel=1e-12)


@few
@given(grams, st.floats(0.05, 0.4), st.floats(0.5, 1.2))
def test_final_mix_and_preferment_are_the_whole(flour, share, hydration):
    starter = bread.preferment_of(flour, share, hydration, "flour")
    left = bread.final_mix(flour, flour * 0.7, starter)
    assert left.flour_g + starter.flour_g == pytest.approx(flour, rel=1e-12)
    assert left.water_g + starter.water_g == pytest.approx(flour * 0.7, rel=1e-12)
    assert left.prefermented_per_flour == pytest.approx(share, rel=1e-12)


@few
@given(st.floats(22.0, 28.0), st.floats(10.0, 35.0), st.floats(1.0, 25.0), st.floats(0.0, 4.0))
def test_heat_balance_closes_with_and_without_ice(wanted, flour_c, tap, heating):
    """Enthalpy of all that goes in, ice melted, against the dough's; 4180, 1800, 2100, 334000."""
    water = dough.water_by_balance(wanted, 1000.0, flour_c, 680.0, tap, heating_k=heating)
    assert water.water_g + water.ice_g == pytest.approx(680.0, rel=1e-12)
    given_up = 1.0 * 1800 * (flour_c - wanted) + water.water_g / 1000 * 4180 * (water.pour_c - wanted)
    given_up += heating * (1800 + 0.68 * 4180)
    taken = water.ice_g / 1000 * (2100 * 18.0 + 334_000 + 4180 * wanted)
    assert given_up == pytest.approx(taken, abs=1e-6)
    assert water.ice_g >= 0.0
    if abs(water.by_balance_c - tap) > 1e-9:
        assert (water.ice_g > 0.0) == (water.by_balance_c < tap)


def test_the_meeting_temperature_is_the_one_asked_for():
    others = ([1.0, 0.2], [1800.0, 3000.0], [290.0, 300.0])
    last = mixing.temperature_needed(297.0, *others, last_capacity=2842.0, heat=5000.0)
    met = mixing.mixed_temperature([1.0, 0.2, 1.0], [1800.0, 3000.0, 2842.0], [290.0, 300.0, last], heat=5000.0)
    assert met == pytest.approx(297.0, abs=1e-9)


@few
@given(st.floats(50.0, 5000.0), st.floats(0.3, 0.6), st.floats(0.05, 0.3), st.floats(0.0, 1.0))
def test_crackling_water_fat_and_skin_add_up(raw, water, fat, where):
    piece = skin.Skin(raw, water, fat)
    dried = skin.dry(piece, dried_g=raw * (1 - water * where * 0.999), hours=24)
    out = skin.crackle(dried, skin.oven_programme(piece))
    assert out.likely_g + out.water_gone_g + out.fat_run_off_g == pytest.approx(dried.mass_g, rel=1e-12)
    assert out.low_g < out.likely_g < out.high_g
    assert dried.water_g == pytest.approx(raw * water * (1 - where * 0.999), rel=1e-9, abs=1e-9 * raw)


@few
@given(st.lists(st.floats(0.0, 35.0), min_size=2, max_size=12), st.floats(1.0, 34.0))
def test_hours_above_a_line_are_those_of_a_fine_sum(temps, line):
    session = smoke.Session(tuple(float(i) for i in range(len(temps))), tuple(temps))
    fine = np.linspace(0.0, len(temps) - 1.0, 200_001)
    counted = float(np.mean(np.interp(fine, session.hours, temps) > line)) * (len(temps) - 1)
    assert smoke.hours_above(session, line) == pytest.approx(counted, abs=0.01)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: butter.churn(1000.0, 0.9),
        lambda: butter.churn(float("nan"), 0.36),
        lambda: butter.standardise(0.5, 0.4, 0.1, mix_g=100.0),
        lambda: butter.standardise(0.2, 0.4, 0.1),
        lambda: butter.ripening(35.0),
        lambda: butter.churn_advice(12.0, heat_treatment="raw"),
        lambda: brine.brine(-1.0, 1000.0),
        lambda: brine.salt_for(1000.0, 0.30),
        lambda: brine.density(0.1, 60.0),
        lambda: brine.strength_from_density(1300.0),
        lambda: sauce.boil_down(1000.0, 0.3, 0.2),
        lambda: sauce.titratable_acidity(10.0, 20.0, 0.1, "oxalic"),
        lambda: sauce.judge_acid(15.0),
        lambda: bread.scale({"flour": 2.0, "water": 1.0}, 1000.0),
        lambda: bread.final_mix(100.0, 60.0, bread.Preferment(400.0, 1.0)),
        lambda: bread.preferment_of(1000.0, 0.3, 1.0, "percent"),
        lambda: bread.bake_loss(500.0, 600.0),
        lambda: dough.cold_proof(900.0, 20.0),
        lambda: dough.progress([0.0, 2.0, 1.0], [20.0, 20.0, 20.0]),
        lambda: dough.progress([0.0, 1.0], [20.0, 90.0]),
        lambda: dough.water_by_balance(5.0, 3000.0, 30.0, 200.0, 25.0),
        lambda: skin.Skin(100.0, 0.6, 0.4),
        lambda: skin.dry(skin.Skin(100.0), dried_g=120.0),
        lambda: skin.crackle(skin.dry(skin.Skin(100.0), hours=24), ()),
        lambda: smoke.check("bread", [smoke.steady(1.0, 12.0)]),
        lambda: smoke.check("meat", []),
        lambda: smoke.Session((0.0, 0.0), (10.0, 10.0)),
        lambda: smoke.fuel(5.0, "log"),
    ],
)
def test_what_cannot_be_is_refused_with_its_number_and_a_remedy(ask):
    with pytest.raises(OutOfRange) as caught:
        ask()
    assert caught.value.field
    assert any(mark.isdigit() for mark in caught.value.message) or "one of" in caught.value.message
