"""Plates back through yields: every gram bought is used or left, and what comes out feeds the table."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.helpers import the

from ingle.ground.errors import BadBrief
from ingle.ground.tables import data_path
from ingle.planning.brief import Served, read_brief
from ingle.planning.part_file import load_parts
from ingle.planning.parts import main_give
from ingle.planning.quantities import quantities, weighed_at
from ingle.planning.shopping import cover, dated

BRIEF = read_brief(data_path("examples", "fernhollow", "fernhollow.toml"))
STALL = read_brief(data_path("examples", "stall", "stall.toml"))
PARTS = load_parts()


def of(folder):
    brief = read_brief(folder / "brief.toml")
    return brief, load_parts(brief.parts_dirs), quantities(brief, load_parts(brief.parts_dirs))


def grams(line, amount):
    """The shown amount of a line back in grams, by the pack it is sold in."""
    sold = [t.bought for p in PARTS.values() for t in p.takes if t.bought and t.bought.item == line.item]
    return amount * next((b.g_per_unit for b in sold if b.packs_g), 1.0)


@pytest.mark.parametrize("brief", [BRIEF, STALL], ids=["fernhollow", "stall"])
def test_everything_bought_is_used_or_left(brief):
    q = quantities(brief, PARTS)
    for line in q.shopping:
        weighed = sum(w.need_g for w in q.wants if w.bought.item == line.item)
        assert grams(line, line.amount) == pytest.approx(weighed + grams(line, line.left), rel=1e-9)
        assert line.left >= 0
    for key, mass in q.parts.items():
        for take in PARTS[key].takes:
            fed = sum(f.amount_g for f in q.flows if f.to_part == key and f.item == take.item)
            bought = sum(w.need_g for w in q.wants if w.part == key and w.bought == take.bought)
            tap = mass.takes_g[take.item] if take.tap else 0.0
            assert fed + bought + tap == pytest.approx(mass.takes_g[take.item], rel=1e-9)


@pytest.mark.parametrize("brief", [BRIEF, STALL], ids=["fernhollow", "stall"])
def test_everything_made_is_eaten_passed_on_or_named_as_left(brief):
    q = quantities(brief, PARTS)
    for key, mass in q.parts.items():
        for item, band in mass.gives_g.items():
            moved = sum(f.amount_g for f in q.flows if f.from_part == key and f.item == item)
            eaten = mass.plates_g if item == main_give(PARTS[key]).item else 0.0
            assert moved + eaten == pytest.approx(band.likely, rel=1e-9)
        assert sum(b.likely for b in mass.gives_g.values()) <= mass.batch_g * (1 + 1e-9)


def test_the_low_yield_feeds_the_table():
    q = quantities(BRIEF, PARTS)
    for key, mass in q.parts.items():
        assert mass.gives_g[main_give(PARTS[key]).item].low >= mass.need_g * (1 - 1e-9)


def test_a_recipe_scales_as_hand_arithmetic_says(supper):
    """10 plates of 80 g dumplings at a low yield of 0.95: 800 x 0.50 / 0.95 g flour."""
    _, _, q = of(supper)
    assert q.parts["dumpling"].takes_g["flour"] == pytest.approx(800 * 0.50 / 0.95, rel=1e-12)
    assert q.parts["dumpling"].likely_takes_g["flour"] == pytest.approx(400.0, rel=1e-12)
    flour = the(q.shopping, item="flour")
    assert flour.packs == ("1 x 1kg",)
    assert flour.left == pytest.approx(1000 - 800 * 0.50 / 0.95, rel=1e-12)


def test_a_main_product_that_feeds_another_part_is_made_on_top(supper):
    """Gravy takes 0.4 kg ham a kg: 500 g x 0.4 / 0.95 more than the 1,000 g on the plates."""
    _, _, q = of(supper)
    more = 500 * 0.40 / 0.95
    assert q.parts["ham"].need_g == pytest.approx(1000 + more, rel=1e-12)
    assert the(q.flows, to_part="gravy").amount_g == pytest.approx(more, rel=1e-12)


def test_a_part_that_only_feeds_another_is_cooked_too(supper, swap):
    swap(
        supper / "brief.toml",
        (supper / "brief.toml").read_text()[
            (supper / "brief.toml").read_text().index('[[serve]]\npart = "ham"') : (supper / "brief.toml")
            .read_text()
            .index('[[serve]]\npart = "dumpling"')
        ],
        "",
    )
    _, _, q = of(supper)
    assert q.parts["ham"].plates_g == 0 and q.parts["ham"].need_g > 0
    assert list(q.parts).index("ham") < list(q.parts).index("gravy")


def test_a_weighed_skin_is_the_supply_and_the_rest_is_bought(supper, swap):
    """Dumplings take 0.30 kg skin a kg: 253 g at the low yield; 190 g were weighed, 63 g are bought."""
    _, _, q = of(supper)
    need = 800 * 0.30 / 0.95
    flow = the(q.flows, to_part="dumpling")
    assert (flow.amount_g, flow.need_g) == (pytest.approx(190.0), pytest.approx(need))
    lard = the(q.shopping, item="lard")
    assert lard.need == pytest.approx(need - 190, rel=1e-9)
    swap(supper / "brief.toml", 'skin = "one-face", skin_weight = "0.19kg"', 'skin = "none"')
    _, _, q = of(supper)
    assert not [f for f in q.flows if f.to_part == "dumpling"]
    assert the(q.shopping, item="lard").need == pytest.approx(need, rel=1e-9)


def test_a_piece_lies_in_its_cure_without_the_skin_that_was_taken_off(supper):
    _, _, q = of(supper)
    piece = q.parts["ham"].boxes[0].pieces[0]
    assert (piece.weight_g, piece.skin, piece.thickness_mm) == (pytest.approx(2100 - 190), "none", 45)


def test_skinless_meat_gives_what_the_same_meat_gives_with_its_skin_on(supper, swap):
    """The yield counts from the piece with its usual 8 % of skin: 920 g skinless equal 1 kg as bought."""
    swap(
        supper / "brief.toml",
        'weight = "2.1kg", thickness = "45mm", skin = "one-face", skin_weight = "0.19kg"',
        'weight = "1.84kg"',
    )
    _, _, q = of(supper)
    assert q.parts["ham"].gives_g["ham"].likely == pytest.approx(0.80 * 2000, rel=1e-12)


def test_too_little_meat_is_named_with_what_would_mend_it(supper, swap):
    swap(supper / "brief.toml", '"2.1kg"', '"1.6kg"')
    brief, parts, q = of(supper)
    (short,) = q.shortfalls
    assert (short.part, short.at) == ("ham", "low yield")
    assert short.have_g == pytest.approx(0.75 * (1600 - 190) / 0.92, rel=1e-9)
    grams_more = int(short.remedy.split("Cure ")[1].split(" g")[0])
    swap(supper / "brief.toml", '"1.6kg"', f'"{1600 + grams_more}g"')
    assert of(supper)[2].shortfalls == ()
    plate = int(short.remedy.split("serve ")[1].split(" g")[0])
    fewer = replace(
        brief, serve=tuple(replace(s, grams_per_plate=plate) if s.part == "ham" else s for s in brief.serve)
    )
    assert quantities(fewer, parts).shortfalls == ()


def test_a_begun_piece_is_neither_bought_nor_skinned_again():
    q = quantities(STALL, PARTS)
    mass = q.parts["collar"]
    assert mass.begun_g == 940 + 960 + 910
    meat = the(q.shopping, item="pork-collar")
    assert meat.amount == sum(p.piece.weight_g for p in STALL.serve[0].pieces if p.begun is None)
    assert [(b.suffix, len(b.pieces)) for b in mass.boxes] == [("", 9), ("@2", 3)]
    assert mass.gives_g["rind"].likely == pytest.approx(0.10 * meat.amount, rel=1e-9)


def test_twice_the_plates_take_twice_as_much():
    served = tuple(Served(s.part, s.grams_per_plate) for s in BRIEF.serve)  # without pieces named
    once = quantities(replace(BRIEF, serve=served), PARTS)
    twice = quantities(replace(BRIEF, serve=served, plates=2 * BRIEF.plates), PARTS)
    for key, mass in once.parts.items():
        for item, g in mass.takes_g.items():
            assert twice.parts[key].takes_g[item] == pytest.approx(2 * g, rel=1e-12)


def test_a_part_file_that_goes_changes_what_is_bought(supper):
    """Without its maker the skin is bought; without its file a part cannot be served."""
    brief, _, with_ham = of(supper)
    no_ham = replace(brief, serve=tuple(s for s in brief.serve if s.part == "dumpling"))
    (supper / "parts" / "ham.toml").unlink()
    q = quantities(no_ham, load_parts(brief.parts_dirs))
    assert (
        the(q.shopping, item="lard").need
        > the(with_ham.shopping, item="lard").need
    )
    with pytest.raises(BadBrief) as why:
        quantities(brief, load_parts(brief.parts_dirs))
    assert why.value.field == "serve[0].part"


def test_a_part_file_copied_under_a_new_key_can_be_served_beside_the_first(supper):
    copy = (supper / "parts" / "dumpling.toml").read_text().replace('key = "dumpling"', 'key = "noodle"')
    (supper / "parts" / "noodle.toml").write_text(copy)
    brief, _, before = of(supper)
    both = replace(brief, serve=(*brief.serve, Served("noodle", 80.0)))
    after = quantities(both, load_parts(brief.parts_dirs))
    flour = [the(q.shopping, item="flour") for q in (before, after)]
    assert flour[1].need == pytest.approx(2 * flour[0].need, rel=1e-12)
    assert flour[1].parts == ("dumpling", "noodle")
    skin = sum(f.amount_g for f in after.flows if f.from_part == "ham" and f.item == "skin" and f.to_part)
    assert skin == pytest.approx(190.0)  # shared, not doubled


def test_parts_made_from_each_other_are_refused(supper, swap):
    swap(
        supper / "parts" / "ham.toml",
        'item = "salt"\nper_kg_out = "0.03kg"\npacks = ["500g"]',
        'item = "gravy"\nper_kg_out = "0.03kg"\nfrom = "gravy"',
    )
    with pytest.raises(BadBrief, match="circle"):
        of(supper)


def test_a_by_product_that_is_short_and_cannot_be_bought_is_named(supper, swap):
    swap(
        supper / "parts" / "dumpling.toml", 'instead = { item = "lard", name = "lard", packs = ["250g"] }', ""
    )
    _, _, q = of(supper)
    assert [(s.part, s.item) for s in q.shortfalls] == [("dumpling", "skin")]


def test_each_step_weighs_what_it_takes():
    q = quantities(BRIEF, PARTS)
    cure = {t.item: g for t, g in weighed_at(PARTS["collar"], q.parts["collar"], "cure")}
    green = 2080 * 0.90  # pieces less a tenth for the skin
    assert cure["salt"] + cure["curing-salt"] * 0.9375 == pytest.approx(0.025 * green, rel=0.01)
    assert cure["curing-salt"] * 0.0625 * 1e6 / green == pytest.approx(118, rel=0.01)


@given(
    need=st.floats(0.5, 3000),
    packs=st.lists(
        st.sampled_from([50.0, 100.0, 125.0, 250.0, 300.0, 500.0, 600.0, 1000.0]),
        min_size=1,
        max_size=3,
        unique=True,
    ),
)
@settings(max_examples=150, deadline=None)
def test_packs_leave_no_more_than_any_other_choice_would(need, packs):
    """Against trying every choice of up to 62 packs of each size."""
    counts = cover(need, tuple(packs))
    total = sum(n * g for n, g in zip(counts, packs, strict=True))
    assert total >= need - 1e-6
    tops = [int(need // g) + 2 for g in packs]
    best = min(
        (sum(n * g for n, g in zip(c, packs, strict=True)), sum(c))
        for c in product(*(range(t + 1) for t in tops[:-1]), [0])
        for c in [
            (*c[:-1], max(0, -int(-(need - sum(n * g for n, g in zip(c, packs, strict=True))) // packs[-1])))
        ]
    )
    assert (total, sum(counts)) == (pytest.approx(best[0]), best[1])


def test_a_great_need_is_covered_too():
    counts = cover(123_456.0, (1000.0, 25_000.0))
    assert counts == (24, 4)  # 124 kg: the fewest grams left, then the fewest packs


def test_buying_hours_follow_the_steps_and_how_long_things_keep():
    q = quantities(BRIEF, PARTS)
    ripen, churned = datetime(2026, 12, 14, 18, tzinfo=UTC), datetime(2026, 12, 15, 20, tzinfo=UTC)
    lines = dated(q.shopping, q.wants, {"butter.ripen": ripen, "butter.work": churned})
    cream = the(lines, item="cream")
    assert (cream.buy_by, cream.buy_from) == (ripen, ripen - timedelta(days=5))
    assert the(lines, item="salt").buy_by == churned
    assert (
        the(lines, item="rye-flour").buy_by is None
    )  # its step is not among the hours given
    bake = ripen + timedelta(days=20)
    two = dated(
        q.shopping,
        (*q.wants, replace(next(w for w in q.wants if w.bought.item == "cream"), part="loaf", step="bake")),
        {"butter.ripen": ripen, "loaf.bake": bake},
    )
    assert "buy again for loaf" in the(two, item="cream").note
