"""Which way an answer must move when a cook changes one thing; where no source says, the result says so."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ingle.crafts import bread, brine, butter, dough, sauce, skin, smoke
from ingle.physics import fermentation

few = settings(max_examples=25, deadline=None)


@few
@given(st.floats(0.1, 0.3))
def test_half_the_cream_fat_gives_less_than_half_the_butter(half):
    """The buttermilk keeps its share first."""
    whole = butter.churn(1000.0, 2 * half)
    assert butter.churn(1000.0, half).butter_g < 0.5 * whole.butter_g
    assert any("churning temperature" in line for line in whole.not_modelled)


def test_more_salt_in_butter_is_a_stronger_brine():
    plain = butter.churn(1000.0, 0.36)
    strengths = [butter.salted(plain, s).salt_in_water_phase for s in (0.0, 0.005, 0.01, 0.02)]
    assert strengths == sorted(strengths)
    assert strengths[0] == 0.0


@few
@given(st.floats(12.0, 29.0))
def test_a_warmer_cream_ripens_sooner(temperature):
    cool, warm = butter.ripening(temperature), butter.ripening(temperature + 1.0)
    assert warm.earliest_h < cool.earliest_h
    assert cool.earliest_h <= cool.likely_h <= cool.latest_h


def test_ripening_meets_the_hours_it_was_scaled_from():
    """Food-science handbook: buttermilk 14-16 h at 22, creme fraiche 15-20 h at 20 degC."""
    assert (butter.ripening(22.0).earliest_h, butter.ripening(22.0).likely_h) == (14.0, 16.0)
    at_20 = butter.ripening(20.0)
    assert at_20.earliest_h >= 15.0 and at_20.latest_h <= 20.0 + 1e-9
    assert butter.ripening(20.0).usual and not butter.ripening(26.0).usual


@pytest.mark.parametrize(
    ("temperature", "minutes", "treated", "level"),
    [(12, 5, "pasteurised", "within"), (9, 0, "pasteurised", "near"), (19, 0, "pasteurised", "over"),
     (12, 0, "uht", "near"), (12, 25, "pasteurised", "near")],
)  # fmt: skip
def test_churn_advice(temperature, minutes, treated, level):
    advice = butter.churn_advice(temperature, minutes, treated)
    assert advice.level == level
    assert bool(advice.act) == (level != "within")


@few
@given(st.floats(0.01, 0.24), st.floats(0.0, 29.0))
def test_brine_is_heavier_stronger_and_lighter_warmer(strength, temperature):
    assert brine.density(strength + 0.01, temperature) > brine.density(strength, temperature)
    assert brine.density(strength, temperature + 1.0) < brine.density(strength, temperature)
    assert brine.salometer(strength + 0.01) > brine.salometer(strength)


@few
@given(st.floats(0.0, 84.0))
def test_syrup_is_heavier_the_sweeter(brix):
    assert sauce.specific_gravity(brix + 1.0) > sauce.specific_gravity(brix)


def test_thicker_sauce_costs_more_heat_and_says_what_it_leaves_out():
    thin, thick = sauce.boil_down(1000.0, 0.05, 0.1), sauce.boil_down(1000.0, 0.05, 0.3)
    assert thick.least_heat_j > thin.least_heat_j > 0
    assert thin.least_heat_j == pytest.approx(0.5 * 2.257e6)  # 500 g of water, 2257 kJ/kg
    assert any("acetic" in line for line in thin.not_modelled)


@few
@given(st.floats(1.0, 8.0), st.floats(300.0, 2000.0))
def test_a_colder_fridge_and_a_smaller_dough_take_longer(fridge, mass):
    here = dough.cold_proof(mass, fridge)
    assert here.earliest_h <= here.best_h <= here.latest_h
    assert dough.cold_proof(mass, fridge / 2.0).by_law["default"] > here.by_law["default"]
    assert dough.cold_proof(mass / 2.0, fridge).by_law["default"] > here.by_law["default"]
    assert dough.cold_proof(mass, fridge, head_start_h=0.5).by_law["default"] < here.by_law["default"]
    assert any("salt" in line for line in here.not_modelled)


def test_the_usual_cold_proof_is_the_usual_window_under_every_law():
    """12, 18 and 48 h at 4 degC, common practice, no source."""
    usual = dough.cold_proof(900.0, 4.0)
    for window in usual.by_law.values():
        assert window == pytest.approx((12.0, 18.0, 48.0), abs=1e-6)
    assert not usual.stopped_at_72_h


def test_a_fridge_at_7_ferments_twice_as_fast_as_one_at_4():
    """Common practice, no source."""
    rates = [dough.progress([0.0, 1.0], [t, t]).mean_rate for t in (4.0, 7.0)]
    assert rates[1] / rates[0] == pytest.approx(2.0, rel=1e-4)


def test_nobody_vouches_past_72_hours():
    cold = dough.cold_proof(900.0, 1.0)
    assert cold.latest_h == 72.0 and cold.stopped_at_72_h
    assert "72" in cold.act


def test_dose_at_24_is_the_clock():
    assert dough.progress([0.0, 3.0, 7.5], [24.0, 24.0, 24.0]).hours_at_24_c == pytest.approx(7.5, rel=1e-12)


def test_dose_along_a_cooling_dough_is_the_integral():
    """Against a sum a hundred times finer, on the law's own rate."""
    law = fermentation.RateLaw("q", (270.0, 320.0), (1.0, 2.4**5), 297.15, 320.0, 330.0, (270.0, 320.0))
    coarse, fine = np.linspace(0, 36_000, 601), np.linspace(0, 36_000, 60_001)
    doses = [fermentation.dose(t, fermentation.lumped_temperature(t, 297.15, 277.15, 9000.0), law)[-1] for t in (coarse, fine)]
    assert doses[0] == pytest.approx(doses[1], rel=1e-5)
    assert 0.0 < doses[1] < 36_000


def test_dough_stops_above_45():
    assert dough.progress([0.0, 1.0], [46.0, 46.0]).hours_at_24_c == 0.0
    assert 0 < dough.progress([0.0, 1.0], [42.0, 42.0]).mean_rate < dough.progress([0.0, 1.0], [36.0, 36.0]).mean_rate


def test_warmer_flour_wants_colder_water_and_more_ice():
    cool, hot = (dough.water_by_balance(24.0, 1000.0, t, 650.0, 18.0, heating_k=3.0) for t in (18.0, 30.0))
    assert hot.by_balance_c < cool.by_balance_c and hot.by_rule_c < cool.by_rule_c
    assert hot.ice_g > cool.ice_g == 0.0


def test_a_heavier_loss_takes_more_dough():
    need = bread.dough_for(500.0, 3)
    assert need.dough_piece_low_g < need.dough_piece_g < need.dough_piece_high_g
    assert need.dough_piece_g * need.loaf_per_dough == pytest.approx(500.0)
    assert need.mix_g > 3 * need.dough_piece_g
    assert any("oven" in line for line in need.not_modelled)
    assert bread.buttermilk_for_water(901.3) == pytest.approx(1000.0)


def cracklings(
    *,
    dried_g=450.0,
    oven=220.0,
    minutes=25.0,
    salt=0.0,
    hours=24.0,
):
    dried = skin.dry(skin.Skin(600.0), dried_g=dried_g, hours=hours, salt_rubbed_g=salt)
    return skin.crackle(dried, [skin.Stage(oven, minutes)])


@few
@given(st.floats(380.0, 590.0))
def test_drier_skin_puffs_sooner(dried):
    assert cracklings(dried_g=dried - 10.0).minutes_before_puff < cracklings(dried_g=dried).minutes_before_puff


@few
@given(st.floats(185.0, 245.0))
def test_a_hotter_oven_puffs_sooner(oven):
    assert cracklings(oven=oven + 5.0).minutes_before_puff < cracklings(oven=oven).minutes_before_puff


def test_half_the_oven_heat_does_not_puff():
    assert cracklings(oven=220.0).puffs == "within"
    for feeble in (110.0, 170.0):
        out = cracklings(oven=feeble)
        assert out.puffs == "over" and out.act


def test_too_short_and_too_dry_do_not_puff():
    assert cracklings(minutes=2.0).puffs == "over"
    assert cracklings(minutes=2.0).minutes_before_puff is None
    assert cracklings(dried_g=330.0).puffs == "over"
    assert skin.crackle(skin.dry(skin.Skin(600.0), hours=24.0), [skin.Stage(220.0, 40.0)]).puffs == "near"


def test_one_side_takes_twice_the_time_of_two():
    dried = skin.dry(skin.Skin(600.0), dried_g=450.0)
    one, two = (skin.crackle(dried, [skin.Stage(220.0, 60.0)], sides=n).minutes_before_puff for n in (1, 2))
    assert one == pytest.approx(2 * two, rel=1e-9)


@pytest.mark.parametrize(
    ("hours", "level"),
    [(6, "over"), (12, "near"), (24, "within"), (72, "within"), (80, "near"), (None, "cannot_say")],
)
def test_halving_the_drying_time_shows(hours, level):
    dried = skin.dry(skin.Skin(600.0), hours=hours)
    assert dried.level == level
    assert bool(dried.act) == (level != "within")
    assert any("hours" in line for line in dried.not_modelled)


def test_half_the_salt_is_half_as_salt_and_says_that_puffing_is_not_modelled():
    full, half = cracklings(salt=9.0), cracklings(salt=4.5)
    assert half.salt_per_crackling < 0.51 * full.salt_per_crackling
    assert any(line.startswith("salt:") for line in full.not_modelled)


def test_salt_for_fresh_cured_and_very_salt_rind():
    fresh, cured, salt = (skin.rind_salt(skin.Skin(600.0, salt_per_skin=s)) for s in (0.0, 0.02, 0.03))
    assert (fresh.salt_g, cured.salt_g, salt.salt_g) == (pytest.approx(9.0), pytest.approx(4.5), 0.0)
    assert fresh.soak_min == cured.soak_min == 0.0 and 30.0 <= salt.soak_min <= 60.0


def test_smoked_skin_starts_cooler_and_a_fan_is_set_lower():
    plain, smoked = skin.oven_programme(skin.Skin(600.0)), skin.oven_programme(skin.Skin(600.0, smoked=True))
    assert smoked[0].oven_c == 200.0 < plain[0].oven_c == 220.0
    assert skin.oven_programme(skin.Skin(600.0), fan=True)[0].oven_c == 200.0


@pytest.mark.parametrize(("chamber", "level"), [(24.9, "within"), (25.1, "near"), (28.9, "near"), (29.1, "over")])
def test_alarm_at_25_stop_at_29(chamber, level):
    """Common practice, no source."""
    verdict = smoke.check("meat", [smoke.steady(1.0, chamber)]).verdicts[0]
    assert (verdict.rule, verdict.level) == ("smoke.stop", level)


@pytest.mark.parametrize(("chamber", "level"), [(14.9, "within"), (15.1, "near"), (18.1, "over")])
def test_butter_in_smoke(chamber, level):
    """Common practice, no source."""
    check = smoke.check("butter", [smoke.steady(2.0, chamber)])
    assert check.verdicts[0].level == level
    assert check.rest_d.low == 1.0
    assert not any("interior" in v.rule for v in check.verdicts)


def test_interior_hours_add_up_over_sessions_and_can_be_barred():
    """FDA fish hazards guidance, Table A-2, from memory: 11 h at 10-21 degC, 2 h above."""
    runs = [smoke.steady(6.0, 15.0), smoke.steady(6.0, 15.0)]
    rules = {v.rule: v for v in smoke.check("meat", runs).verdicts}
    assert (rules["smoke.interior_10_21"].value, rules["smoke.interior_10_21"].level) == (
        pytest.approx(12.0),
        "over",
    )
    assert rules["smoke.interior_above_21"].value == 0.0
    warm = {v.rule: v for v in smoke.check("meat", [smoke.steady(2.5, 24.0)]).verdicts}
    assert warm["smoke.interior_above_21"].level == "over"
    assert warm["smoke.interior_10_21"].value == 0.0
    assert not any("interior" in v.rule for v in smoke.check("meat", runs, interior_barred=True).verdicts)


def test_fuel_is_planned_on_its_shortest_burn():
    assert [smoke.fuel(h).fills for h in (8.0, 8.1, 16.0)] == [1, 2, 2]
    assert smoke.fuel(9.0, "tube").fills == 5 and smoke.fuel(9.0).looks == 5


def test_every_smoke_is_told_about_carbon_monoxide_first():
    told = smoke.check("meat", [smoke.steady(6.0, 12.0)]).cautions
    assert told[0].key == "carbon-monoxide" and "outdoors" in told[0].act
    assert all(note.act and note.why and note.source for note in told)
