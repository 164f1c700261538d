"""Legal limits: every record just below, at and above; which apply to what; the traps of the records."""

import itertools

import pytest

from ingle.crafts.cure.base import base_of
from ingle.ground import tables
from ingle.ground.errors import BadBrief
from ingle.ground.sources import SURE
from ingle.ground.things import Piece
from ingle.safety import limits
from ingle.safety.limits import MOLAR, Content, Product
from ingle.safety.verdict import Verdict

TODAY = "2026-11-25"
ALL = limits.all_limits()
INGOING_MAX = [r for r in ALL if r.basis in limits.INGOING and r.maximum is not None]


def content_for(rule, value):
    """A mix that this record counts as ``value`` [mg/kg in its own form]."""
    form = rule.counted
    if rule.substance in ("nitrite_any", "sodium_nitrite"):
        return Content(sodium_nitrite=value * MOLAR["NaNO2"] / MOLAR[form])
    if rule.substance == "potassium_nitrite":
        return Content(potassium_nitrite=value * MOLAR["KNO2"] / MOLAR[form])
    if rule.substance in ("nitrate_any", "sodium_nitrate"):
        return Content(sodium_nitrate=value * MOLAR["NaNO3"] / MOLAR[form])
    if rule.substance == "nitrite_plus_nitrate":
        return Content(sodium_nitrite=value * MOLAR["NaNO2"] / MOLAR[form])
    return Content(**{rule.substance: value})


def said_of(rule, content):
    found = limits.verdicts(
        (rule,), content, skin_free=900.0, whole=1000.0 if rule.applies_if.get("skin") == "on" else 900.0
    )
    return next(v for v in found if v.rule == rule.rule)


@pytest.mark.parametrize("rule", INGOING_MAX, ids=lambda r: r.rule)
def test_every_ceiling_below_at_and_above(rule):
    scale = 1000.0 / 900.0 if rule.applies_if.get("skin") == "on" else 1.0
    edge = rule.maximum
    if edge == 0:
        assert said_of(rule, content_for(rule, 1.0)).level == "over"
        return
    for factor, level in ((0.999, "within"), (1.0, "within"), (1.001, "over")):
        verdict = said_of(rule, content_for(rule, edge * factor * scale))
        assert verdict.level == level, (rule.rule, factor)
        assert verdict.value == pytest.approx(edge * factor)
        assert verdict.limit == edge


@pytest.mark.parametrize("rule", [r for r in ALL if "min" in r.limit or "required" in r.limit], ids=lambda r: r.rule)
def test_minimum_and_set_levels_are_advice(rule):
    """Addressed to inspected plants: listed apart, never part of the strictest."""
    if rule.substance == "salt":
        assert limits.verdicts((rule,), Content(), skin_free=1, whole=1)[0].kind == "advice"
        return
    key = "min" if "min" in rule.limit else "required"
    least = rule.limit[key]
    for factor, level in ((0.99, "over"), (1.0, "within"), (1.01, "within")):
        found = limits.verdicts((rule,), content_for(rule, least * factor), skin_free=1, whole=1)
        verdict = next(v for v in found if v.rule == f"{rule.rule}.{key}")
        assert (verdict.kind, verdict.level) == ("advice", level)


@pytest.mark.parametrize(
    "rule", [r for r in ALL if r.basis not in limits.INGOING and r.substance != "salt"], ids=lambda r: r.rule
)
def test_what_is_left_cannot_be_shown_by_calculation(rule):
    content = Content(sodium_nitrite=10_000, sodium_nitrate=10_000, ascorbate=1, phosphate=1)
    for verdict in limits.verdicts((rule,), content, skin_free=1, whole=1):
        assert verdict.level == "cannot_say"


@pytest.mark.parametrize("rule", [r for r in ALL if r.sure == "gap"], ids=lambda r: r.rule)
def test_a_gap_has_no_figure_and_answers_cannot_say(rule):
    assert rule.maximum is None
    found = limits.verdicts((rule,), Content(sodium_nitrite=100, sodium_nitrate=100), skin_free=1, whole=1)
    assert [v.level for v in found] == ["cannot_say"]


def test_every_record_has_a_known_source_unit_and_confidence():
    for rule in ALL:
        assert rule.sure in SURE
        assert rule.limit["unit"] == "mg/kg"
        assert rule.clause
        assert tables.source(rule.source).issuer
        assert rule.counted in (*MOLAR, "substance", "P2O5", "Na2HPO4")
        for key in ("min", "required", "max"):
            assert 0 <= rule.limit.get(key, 0) <= 50_000


def test_records_carry_all_countries_and_both_eu_regimes():
    assert {r.country for r in ALL} == set(limits.COUNTRIES)
    rules = {r.rule: r for r in ALL}
    assert len(rules) == len(ALL) == 76
    before = limits.strictest(limits.applicable(Product(), ("eu",), "2025-10-08"))
    after = limits.strictest(limits.applicable(Product(), ("eu",), "2025-10-09"))
    assert (before.maximum, before.counted) == (150.0, "NaNO2")
    assert (after.maximum, after.counted) == (80.0, "NO2")


def test_trap_80_as_ion_is_119_98_as_sodium_nitrite():
    """Molar masses 68.9953 and 46.0055: the two forms must be compared in one."""
    rule = next(r for r in ALL if r.rule == "eu-new-nht-nitrite-added")
    assert limits.as_sodium_nitrite(rule) == pytest.approx(119.98, abs=0.005)


def test_us_rule_prints_the_potassium_figures_of_the_molar_factor():
    """9 CFR 424.22(b) prints 148, 123 and 246 beside 120, 100 and 200."""
    for sodium, potassium in ((120, 148), (100, 123), (200, 246)):
        assert sodium * MOLAR["KNO2"] / MOLAR["NaNO2"] == pytest.approx(potassium, abs=1.0)


def test_strictest_of_all_is_the_eu_added_amount_for_a_raw_dry_cure():
    assert (
        limits.strictest(limits.applicable(Product(), limits.countries(""), TODAY)).rule == "eu-new-nht-nitrite-added"
    )


def test_superseded_and_alternative_records_never_rule():
    for name, heat in itertools.product(limits.PRODUCTS, limits.HEATS):
        rules = {r.rule for r in limits.applicable(Product(name, heat), limits.countries(""), TODAY)}
        assert not rules & {
            "codex-cured-ham-old-ingoing",
            "us-bacon-pumped-alt-a-na",
            "us-bacon-pumped-alt-b",
            "us-smoked-fish-nitrite",
        }


def test_fish_figures_never_judge_meat_nor_named_tins_other_tins():
    rules = {r.rule for r in limits.applicable(Product("comminuted", "sterilised"), ("us", "codex"), TODAY)}
    assert "codex-corned-beef-nitrite" not in rules
    assert "us-smoked-fish-nitrite" not in rules


def test_country_ham_salt_only_for_country_ham():
    assert "us-country-ham-salt" not in {r.rule for r in limits.applicable(Product(), ("us",), TODAY)}
    assert "us-country-ham-salt" in {
        r.rule for r in limits.applicable(Product(tradition="country-ham"), ("us",), TODAY)
    }


def test_bacon_follows_its_own_us_paragraph_and_has_no_nitrate():
    rules = {r.rule for r in limits.applicable(Product("bacon_dry"), ("us",), TODAY)}
    assert "us-bacon-dry-skinoff-na" in rules
    assert "us-nitrite-finished" not in rules
    assert "us-nitrite-whole-dry" not in rules
    found = limits.verdicts(
        limits.applicable(Product("bacon_dry"), ("us",), TODAY),
        Content(sodium_nitrate=5),
        skin_free=1,
        whole=1,
    )
    assert next(v for v in found if v.rule == "us-bacon-no-nitrate").level == "over"


def test_skin_on_is_judged_at_180_on_the_whole_weight_or_200_without():
    """FSIS 7620.3 pp. 27-31: a tenth for the skin. The same dose meets both lines alike."""
    base = base_of(Piece(1000.0, skin="one-face"))
    dose_mg = 180.0  # on 1 kg with skin, 900 g without: 200 per kg without
    content = Content(sodium_nitrite=dose_mg / (base.skin_free_g / 1000))
    on = limits.applicable(Product("bacon_dry", skin_on=True), ("us",), TODAY)
    assert "us-bacon-dry-skinoff-na" not in {r.rule for r in on}
    verdict = next(
        v
        for v in limits.verdicts(on, content, skin_free=base.skin_free_g, whole=base.whole_g)
        if v.rule == "us-bacon-dry-skinon-na"
    )
    assert (verdict.value, verdict.limit, verdict.level) == (pytest.approx(180.0), 180.0, "within")
    weighed = limits.applicable(Product("bacon_dry", skin_on=True, skin_weighed=True), ("us",), TODAY)
    assert "us-bacon-dry-skinoff-na" in {r.rule for r in weighed}
    assert "us-bacon-dry-skinon-na" not in {r.rule for r in weighed}


def test_wet_bacon_with_skin_is_judged_once_at_108():
    rules = {r.rule for r in limits.applicable(Product("bacon_immersion", skin_on=True), ("us",), TODAY)}
    assert "us-bacon-wet-skinon-na" in rules
    assert "us-bacon-immersion-na" not in rules


def test_traditional_rows_replace_the_added_amounts_and_leave_nothing_to_judge():
    rules = limits.applicable(Product("bacon_dry", tradition="dry-bacon"), ("eu",), TODAY)
    assert {r.basis for r in rules if "nitrite" in r.substance} == {"residual"}
    assert limits.strictest(rules) is None


def test_potassium_salts_are_added_up_as_such_in_the_us_and_converted_in_the_eu():
    us = next(r for r in ALL if r.rule == "us-nitrite-whole-dry")
    eu = next(r for r in ALL if r.rule == "eu-old-nht-nitrite")
    content = Content(potassium_nitrite=123.347)
    assert limits.counted(us, content) == pytest.approx(123.347)
    assert limits.counted(eu, content) == pytest.approx(100.0, abs=0.01)  # KNO2 = 1.23347 NaNO2


def test_spread_that_touches_the_line_is_near():
    rule = next(r for r in ALL if r.rule == "gb-nht-nitrite")
    assert limits.verdicts((rule,), Content(sodium_nitrite=148), skin_free=1, whole=1, spread=0.02)[0].level == "near"
    assert limits.verdicts((rule,), Content(sodium_nitrite=148), skin_free=1, whole=1, spread=0.01)[0].level == "within"
    assert limits.verdicts((rule,), Content(sodium_nitrite=152), skin_free=1, whole=1, spread=0.02)[0].level == "over"


def test_unknown_country_names_the_choices():
    with pytest.raises(BadBrief) as caught:
        limits.countries("us,atlantis")
    assert "codex" in caught.value.limit
    assert limits.countries("uk, AU") == ("gb", "anz")


@pytest.mark.parametrize(("source", "clause", "level"), [("", "424.21(c)", "over"), ("us-9-cfr-424", "", "over"), ("us-9-cfr-424", "424.21(c)", "safe")])
def test_a_verdict_without_source_clause_or_known_level_cannot_be_made(source, clause, level):
    with pytest.raises(ValueError, match=r"source|level"):
        Verdict("nitrite", "a limit", level, 201.0, 200.0, "mg/kg", clause, source, "quoted")

