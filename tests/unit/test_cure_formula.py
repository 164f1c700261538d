"""Formula, judgement and rescue: sums by hand, directions, and advice that does what it says."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.helpers import the

from ingle.crafts.cure import accounting, formula, harm
from ingle.crafts.cure.base import SKIN_SHARE, base_of
from ingle.crafts.cure.formula import Targets
from ingle.crafts.cure.mix import Added, CuringSalt, Mix, added, curing_salt, mix
from ingle.crafts.cure.premix import COARSEST, premix, too_coarse
from ingle.crafts.cure.rescue import rescue
from ingle.crafts.cure.shares import shares
from ingle.ground.errors import BadBrief, IngleError, OutOfRange, Refused
from ingle.ground.things import Piece
from ingle.jobs.judge import judge
from ingle.jobs.weigh import weigh
from ingle.safety import limits

DAY = "2026-11-25"
STRONG = CuringSalt(0.0625)


def test_the_salt_inside_the_curing_salt_counts():
    """1.38 kg, 2.5 %, 118 mg/kg, 6.25 %: by hand 2.6054 g holds 2.4426 g salt; 34.5 g in all."""
    made = formula.dry(base_of(Piece(1380.0)), Targets(0.025, 118, 0.01), STRONG, 0.1)
    assert made.exact["curing_salt"] == pytest.approx(1380 * 118e-6 / 0.0625)
    assert made.exact["salt"] + made.exact["curing_salt"] * 0.9375 == pytest.approx(34.5)
    assert made.grams == {"salt": 32.1, "curing_salt": 2.6, "sugar": 13.8}


@pytest.mark.parametrize(("packet", "g_per_kg"), [("6.25%", 1.89), ("5.88%", 2.01), ("0.6%", 19.7), ("0.5%", 23.6)])
def test_dose_for_118_by_strength(packet, g_per_kg):
    """Figures worked in the cure facts of this project, to their printed digits."""
    made = formula.dry(base_of(Piece(1000.0)), Targets(0.05, 118), curing_salt(packet), 0.1)
    assert made.exact["curing_salt"] == pytest.approx(g_per_kg, abs=0.5 * 10 ** -(len(str(g_per_kg).split(".")[1])))


@given(
    st.floats(150, 20_000),
    st.floats(0.015, 0.06),
    st.floats(40, 150),
    st.sampled_from(["6.25%", "5.88%", "0.6%"]),
    st.sampled_from([0.01, 0.1, 1.0]),
)
def test_rounding_goes_to_the_cautious_side(weight, salt, nitrite, packet, step):
    try:
        made = formula.dry(base_of(Piece(weight)), Targets(salt, nitrite), curing_salt(packet), step)
    except OutOfRange as why:
        assert why.field == "salt"  # a weak curing salt alone can bring more salt than wished
        return
    assert made.ingoing.content.nitrite_as_sodium <= nitrite * (1 + 1e-9)
    assert made.ingoing.salt * weight >= salt * weight - 1e-6
    assert made.ingoing.salt * weight <= salt * weight + 2 * step
    for grams in made.grams.values():
        assert grams / step == pytest.approx(round(grams / step), abs=1e-6)


def test_bases_of_salt():
    base = base_of(Piece(1000.0))
    assert formula.dry(base, Targets(0.03, 0, salt_basis="finished", finished_yield=0.8), None, 0.1).exact[
        "salt"
    ] == pytest.approx(24.0)
    water_phase = formula.dry(base, Targets(0.035, 0, salt_basis="water-phase"), None, 0.1).exact["salt"]
    assert water_phase / (water_phase + 740) == pytest.approx(0.035)  # 100 s / (s + w), 74 % water


def test_skin_takes_a_tenth_off_the_dose():
    on, off = (
        formula.dry(base_of(p), Targets(), STRONG, 0.1).exact["curing_salt"]
        for p in (Piece(1000.0, skin="one-face"), Piece(1000.0))
    )
    assert on == pytest.approx(off * (1 - SKIN_SHARE))
    weighed = formula.dry(base_of(Piece(1000.0, skin="one-face", skin_weight_g=150.0)), Targets(), STRONG, 0.1)
    assert weighed.exact["curing_salt"] == pytest.approx(off * 0.85)


def test_immersion_meets_its_target_by_method_two_and_says_method_one_beside():
    made = formula.pickle(
        base_of(Piece(2000.0)),
        Targets(0.025, 118, 0.01),
        STRONG,
        0.1,
        method="immersion",
        water_g=1500.0,
        share=0.1,
    )
    total = 2000 + sum(made.exact.values())
    assert made.exact["curing_salt"] * 0.0625 * 1e6 / total == pytest.approx(118)
    assert (made.exact["salt"] + made.exact["curing_salt"] * 0.9375) / total == pytest.approx(0.025)
    assert made.exact["sugar"] / total == pytest.approx(0.01)
    assert made.also[0].method == "immersion-one"
    assert made.also[0].content.nitrite_as_sodium != pytest.approx(made.ingoing.content.nitrite_as_sodium, rel=0.2)


def test_pump_meets_its_target():
    made = formula.pickle(
        base_of(Piece(2000.0)), Targets(0.015, 118), STRONG, 0.1, method="pump", water_g=1000.0, share=0.12
    )
    pickle = sum(made.exact.values())
    assert made.exact["curing_salt"] * 0.0625 * 0.12 * 1e6 / pickle == pytest.approx(118)


def test_a_pickle_beyond_saturation_is_refused():
    with pytest.raises(OutOfRange, match=r"26\.4"):
        formula.pickle(base_of(Piece(2000.0)), Targets(0.05, 0), None, 0.1, method="pump", water_g=1000.0, share=0.10)


@given(st.floats(0.05, 3.0), st.sampled_from([0.1, 1.0]), st.floats(20, 80))
def test_premix_gives_the_same_nitrite_on_a_scale_that_can_dose_it(dose, step, salt):
    made = premix(dose, STRONG, salt, step)
    if made is None:
        return
    assert not too_coarse(made.dose_g, step * 0.95)
    assert made.dose_g * made.strength.nitrite <= dose * 0.0625 * (1 + 1e-9)
    assert made.dose_g * made.strength.nitrite >= dose * 0.0625 * (1 - COARSEST) - 1e-9
    share = made.curing_salt_g / (made.curing_salt_g + made.salt_g)
    assert share * 0.0625 == pytest.approx(made.strength.nitrite)
    assert made.plain_salt_g + made.dose_g * made.strength.salt >= salt - 1e-6
    assert "Poison" in made.label


def test_small_piece_on_a_coarse_scale_gets_a_premix_not_a_dose():
    answer = weigh((Piece(300.0),), packet=STRONG, day=DAY, step_g=0.1)
    assert answer.formula.coarse
    thinned = answer.formula.premix
    assert answer.formula.grams["premix"] == thinned.dose_g
    assert answer.formula.grams["curing_salt"] == 0
    by_hand = thinned.dose_g * thinned.strength.nitrite / 300 * 1e6
    assert answer.formula.ingoing.content.nitrite_as_sodium == pytest.approx(by_hand)
    assert 112 < by_hand <= 118  # within 5 % of what was asked, never above


def test_without_a_step_both_scales_are_answered():
    answer = weigh((Piece(1380.0),), packet=STRONG, day=DAY)
    assert answer.formula.step_g == 0.1
    assert answer.coarse_way.premix.step_g == 1.0
    assert answer.weak_way.grams["curing_salt"] == 27.0


def test_the_scale_error_is_judged_with_the_amount():
    """118 asked, 2.6 g of 6.25 % on 1.38 kg: 117.75, and 122 with one step of 0.1 g more: touches 119.98."""
    answer = weigh((Piece(1380.0),), packet=STRONG, day=DAY, rules="eu")
    verdict = the(answer.verdicts, rule="eu-new-nht-nitrite-added")
    assert verdict.level == "near"
    assert verdict.high > 80 > verdict.value
    finer = weigh((Piece(1380.0),), packet=STRONG, day=DAY, rules="eu", step_g=0.01)
    assert the(finer.verdicts, rule="eu-new-nht-nitrite-added").level == "within"


def test_several_pieces_in_one_box_share_by_surface_at_first():
    thin, thick = Piece(1000.0, 30.0, name="thin"), Piece(1000.0, 60.0, name="thick")
    split = shares((thin, thick))
    assert sum(s.by_mass for s in split) == pytest.approx(1)
    assert sum(s.by_surface for s in split) == pytest.approx(1)
    assert split[0].by_surface == pytest.approx(2 / 3)
    answer = weigh((thin, thick), packet=STRONG, day=DAY, rules="gb", one_box=True)
    assert (
        the(answer.verdicts, rule="gb-nht-nitrite").level == "near"
    )  # the thin one can take a third more: 157
    each = weigh((thin, thick), packet=STRONG, day=DAY, rules="gb")
    assert the(each.verdicts, rule="gb-nht-nitrite").level == "within"
    assert len(each.pieces) == 2


def test_neat_nitrite_and_an_impossible_packet_are_refused():
    for name in ("sodium-nitrite", "nitrite", "E250", "potassium nitrite"):
        with pytest.raises(Refused, match="neat nitrite"):
            added(name, "1g")
    with pytest.raises(Refused, match="not a curing salt"):
        curing_salt("100%")
    with pytest.raises(Refused, match="spoon"):
        added("curing-salt@6.25%", "1/2 tsp")


def test_a_curing_salt_without_its_strength_gets_no_dose():
    for call in (
        lambda: added("curing-salt", "2g"),
        lambda: weigh((Piece(1000.0),), day=DAY),
        lambda: curing_salt("unknown"),
    ):
        with pytest.raises(BadBrief, match=r"[Ss]trength"):
            call()


def test_packets_with_nitrate_are_read_as_written():
    packet = curing_salt("5.67% + 3.63% KNO3")
    assert (packet.nitrite, packet.nitrate, packet.nitrate_as) == (
        pytest.approx(0.0567),
        pytest.approx(0.0363),
        "KNO3",
    )
    assert packet.salt == pytest.approx(0.907)
    content = Mix((Added("curing-salt", 2.0, packet),)).content(1000.0)
    assert content.potassium_nitrate == pytest.approx(72.6)
    assert content.sodium_nitrate == 0


def test_the_toxic_stop_is_for_what_harms_not_for_what_law_forbids():
    """A slip of ten (25 g/kg of 6.25 %: 1,560 mg/kg) stops; 700 mg/kg is over every limit and is still answered."""
    slip = mix([("salt", "20g"), ("curing-salt@6.25%", "25g")])
    with pytest.raises(Refused, match="throw the meat"):
        judge((Piece(1000.0),), slip, day=DAY)
    with pytest.raises(Refused):
        weigh((Piece(1000.0),), packet=STRONG, targets=Targets(0.03, harm.STOP_MG_PER_KG), day=DAY)
    high = judge((Piece(1000.0),), mix([("salt", "20g"), ("curing-salt@6.25%", "11.2g")]), day=DAY)
    assert high.level == "over"
    assert any("child" in c for c in high.cautions)


def test_harm_lines_are_two_milligrams_per_kilogram_of_body():
    """J. Forensic Sci. 24(4):768 (1979): 30 g for 15 kg, 140 g for 70 kg, at the stop; 100 g for 15 kg at the child's line."""
    assert pytest.approx(2.0) == harm.STOP_MG_PER_KG * 0.030 / 15
    assert pytest.approx(2.0) == harm.STOP_MG_PER_KG * 0.140 / 70
    assert pytest.approx(2.0) == harm.CHILD_MG_PER_KG * 0.100 / 15


# -- rescue ------------------------------------------------------------------------------------------------------------


def carried_out(made: Mix, base: float, advice) -> tuple[Mix, float]:
    for one in advice:
        made, base = made.plus(*one.adds), base + one.adds_meat_g
    return made, base


@given(
    st.floats(300, 8000),
    st.floats(0.0, 0.05),
    st.floats(0.0, 900.0),
    st.sampled_from([0.0625, 0.006, 0.0588]),
    st.sampled_from(["gb", "eu", "us", ""]),
)
def test_after_the_advice_the_level_is_no_worse_and_the_number_is_the_advised(weight, salt, nitrite, strength, rules):
    grams = nitrite * 1e-6 * weight / strength
    made = Mix((Added("salt", salt * weight), Added("curing-salt", grams, CuringSalt(strength))))
    if made.total < 0.01:
        return
    order = {"within": 0, "near": 1, "over": 2, "cannot_say": 0}
    before = judge((Piece(weight),), made, day=DAY, rules=rules, step_g=0.1)
    after_mix, after_base = carried_out(made, before.base.skin_free_g, before.advice)
    after = judge((Piece(after_base),), after_mix, day=DAY, rules=rules, step_g=0.1)
    assert order[after.level] <= max(order[before.level], 1)
    promised = {k: v for one in before.advice for k, v in one.gives.items()}
    if "nitrite_mg_per_kg" in promised:
        assert after.ruling.content.nitrite_as_sodium == pytest.approx(promised["nitrite_mg_per_kg"], rel=1e-6)
    if "salt_per_green_weight" in promised:
        assert after.ruling.salt == pytest.approx(promised["salt_per_green_weight"], rel=1e-6)


def test_too_much_nitrite_at_the_start_is_shared_with_more_meat():
    made = mix([("salt", "22g"), ("curing-salt@6.25%", "4g")])  # 250 mg/kg
    advice = rescue(made, 1000.0, wished_salt=0.025, ceiling_mg_per_kg=150.0, days=0, step_g=0.1)
    assert advice[0].adds_meat_g == pytest.approx(1000 * (250 / 118 - 1), abs=1)


def test_too_much_nitrite_after_days_cannot_be_counted_out():
    made = mix([("salt", "22g"), ("curing-salt@6.25%", "4g")])
    advice = rescue(made, 1000.0, wished_salt=0.025, ceiling_mg_per_kg=150.0, days=4, step_g=0.1)
    assert advice[0].adds_meat_g == 0
    assert "not for sale" in advice[0].act


def test_nitrate_instead_of_nitrite_is_named():
    made = mix([("salt", "25g"), ("saltpetre", "1g")])
    advice = rescue(made, 1000.0, wished_salt=0.025, ceiling_mg_per_kg=150.0, days=1, step_g=0.1)
    assert "nitrate" in advice[0].why
    assert advice[0].adds[0].curing_salt is not None


def test_common_practice_of_50_g_salt_and_2_5_g_curing_salt():
    """Common practice, no source: 50 g salt, 2.5 g of 6.25 % and 50 g sugar on 1 kg loin, five to six days in the fridge."""
    answer = judge(
        (Piece(1000.0, 50.0),),
        mix([("salt", "50g"), ("curing-salt@6.25%", "2.5g"), ("sugar", "50g")]),
        day=DAY,
        temperature_c=4.0,
        days=6.0,
    )
    assert answer.kind == "excess"
    assert answer.ruling.content.nitrite_as_sodium == pytest.approx(156.25)
    assert answer.ruling.salt == pytest.approx(0.05234375)
    levels = {
        v.country: v.level
        for v in answer.verdicts
        if v.basis in limits.INGOING and v.kind == "law" and v.limit is not None
    }
    assert levels == {"us": "within", "eu": "over", "gb": "over", "ca": "within"}
    assert [s.days for s in answer.table][:2] == [5.0, 6.0]
    core, mean = answer.at.core, answer.at.mean
    assert core[0] < core[1] < core[2]
    assert core[1] < mean[1] < answer.left < 100 * answer.ruling.salt  # core lags the whole; some stays in the brine
    # An independent prototype of this case with the water moving (docs/models/cure.md): core 4.1, whole 5.0 at day 6.
    assert core[0] < 4.1 < core[2]
    assert mean[1] == pytest.approx(5.0, abs=0.5)
    assert any("Pull it now" in a.act for a in answer.advice)


@pytest.mark.parametrize("method", ["immersion", "pump"])
def test_pickles_are_judged_by_the_higher_of_what_was_measured(method):
    pickle = mix([("water", "1kg"), ("salt", "150g"), ("curing-salt@6.25%", "20g")])
    if method == "immersion":
        answer = judge((Piece(2000.0),), pickle, day=DAY, pick_up=0.12)
        assert {w.method for w in answer.accountings} == {"immersion-one", "immersion-two"}
        assert answer.ruling is max(answer.accountings, key=lambda w: w.content.nitrite_as_sodium)
    else:
        answer = judge((Piece(2000.0),), pickle, day=DAY, pump_share=0.1, cover=mix([("curing-salt@6.25%", "1g")]))
        alone = judge((Piece(2000.0),), pickle, day=DAY, pump_share=0.1)
        assert answer.ruling.content.nitrite_as_sodium == pytest.approx(alone.ruling.content.nitrite_as_sodium + 31.25)


def test_table_and_sale_say_different_things_of_the_same_dose():
    made = mix([("salt", "25g"), ("curing-salt@6.25%", "3g")])
    table = judge((Piece(1000.0),), made, day=DAY, rules="gb")
    sale = judge((Piece(1000.0),), made, day=DAY, rules="gb", product=limits.Product(use="sale"))
    acts = [the(a.verdicts, rule="gb-nht-nitrite").act for a in (table, sale)]
    assert acts[0] != acts[1]
    assert "sold" in acts[0]
    assert not any("not for sale" in c.lower() for c in table.cautions)


BAD_MIXES = [
    [("salt", "-5g")],
    [("salt", "5")],
    [("salt", "5 tbsp")],
    [("salt", "1.380 g")],
    [("curing-salt", "2g")],
    [("curing-salt@", "2g")],
    [("curing-salt@7", "2g")],
    [("curing-salt@0%", "2g")],
    [("curing-salt@99%", "2g")],
    [("curing-salt@6.25%", "a pinch")],
    [("curing-salt@6.25%+30%", "2g")],
    [("curing-salt@x%", "2g")],
    [("salt@5%", "2g")],
    [("gunpowder", "2g")],
    [("", "2g")],
    [("sodium-nitrite", "1g")],
    [("salt", "")],
    [("salt", "1e999g")],
    [("salt", None)],
    [("salt", "∞ g")],
    [("curing-salt@6.25%+6.25%NaNO2", "1g")],
]


@pytest.mark.parametrize("pairs", BAD_MIXES, ids=str)
def test_malformed_mixes_name_the_field_and_what_to_do(pairs):
    with pytest.raises(IngleError) as caught:
        mix(pairs)
    assert caught.value.field
    assert str(caught.value)


def test_method_errors():
    with pytest.raises(BadBrief, match="water"):
        accounting.immersion_two(mix([("salt", "5g")]), 1000.0)
    with pytest.raises(OutOfRange):
        accounting.pump(mix([("water", "5g")]), 1.5)
    with pytest.raises(BadBrief, match="pump share"):
        judge((Piece(1000.0),), mix([("salt", "5g")]), day=DAY, cover=mix([("salt", "5g")]))
    with pytest.raises(BadBrief, match="pickle"):
        judge((Piece(1000.0),), mix([("salt", "5g")]), day=DAY, pick_up=0.1)


@pytest.mark.parametrize(("thickness_mm", "salt", "told"), [(20.0, "36g", "three times"), (50.0, "60g", "slices")])
def test_a_long_soak_is_told_for_slices(thickness_mm, salt, told):
    """A thin piece soaks whole in a night; a thick one would lie for days in water and is cut first."""
    answer = judge((Piece(1000.0, thickness_mm),), mix([("salt", salt)]), day=DAY, temperature_c=4.0, days=9.0)
    assert any(told in a.act for a in answer.advice)


def test_salt_that_only_the_advice_brings_is_told_of_the_advice_and_not_of_the_piece():
    """The nitrite of a weak curing salt costs ten times its salt: the piece itself is not too salty, and is not to be soaked."""
    made = mix([("salt", "32.1g"), ("curing-salt@0.6%", "2.6g")])  # 2.51 % salt on 1.38 kg
    advice = rescue(made, 1380.0, wished_salt=0.025, ceiling_mg_per_kg=150.0, days=14, step_g=0.1)
    assert not any("soak" in one.act or "Pull it now" in one.act for one in advice)
    last = advice[-1]
    assert "Now it holds 2.51 % salt" in last.why
    after = (made.salt + advice[0].adds[0].grams * 0.994) / 1380.0
    assert f"{after * 100:.2f} %" in last.why
    strong = float(last.act.split("6.25 % for it: ")[1].split(" g")[0])
    assert strong * 0.0625 == pytest.approx(advice[0].adds[0].grams * 0.006, abs=0.1 * 0.0625)
    salty = mix([("salt", "60g"), ("curing-salt@0.6%", "2.6g")])  # too salty as it is: said of the piece
    assert any("Pull it now" in one.act for one in rescue(salty, 1380.0, wished_salt=0.025, ceiling_mg_per_kg=150.0, days=14, step_g=0.1))
