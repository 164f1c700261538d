"""Parts are data: the form of docs/files.md, shipped parts agree with themselves, Python names no part."""

from __future__ import annotations

import ast
import shutil
import tomllib
from pathlib import Path

import pytest

import ingle
from ingle.faces.cli.main import COMMANDS
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.tables import data_path
from ingle.planning.part_check import check_together
from ingle.planning.part_file import load_parts, part_from
from ingle.planning.parts import main_give, step_of, without_skin
from ingle.planning.step_file import cautions

SHIPPED = load_parts()
AS_WRITTEN = """
[part]
key = "loaf"
name = "Rye-wheat loaf"
allergens = ["gluten", "milk"]
[[takes]]
item = "buttermilk"
per_kg_out = "0.18kg"
from = "butter"
[[takes]]
item = "flour"
per_kg_out = "0.956kg"
[[gives]]
item = "loaf"
yield = { low = 0.85, likely = 0.88, high = 0.90 }
sure = "common practice"
[[step]]
key = "proof"
lasts = { forecast = "dough" }
[[step]]
key = "bake"
after = [{ step = "proof", min = "0h", max = "48h" }]
lasts = { likely = "45min" }
hands = { start = "10min", end = "5min" }
kit = [{ use = "oven", mode = "230C" }]
fresh = { best = "4h", last = "36h" }
look_for = "a core of 96C"
if_not = [{ sign = "pale", act = "ten more minutes", adds = "10min" }]
caution = ["hot-fat"]
"""


def part(text: str = AS_WRITTEN):
    return part_from(tomllib.loads(text))


def test_the_form_of_the_page_is_read():
    p = part()
    bake = step_of(p, "bake")
    assert (bake.lasts.likely, bake.hands_start_min, bake.hands_end_min) == (45, 10, 5)
    assert (bake.after[0].step, bake.after[0].least_min, bake.after[0].most_min) == ("proof", 0, 48 * 60)
    assert (bake.kit[0].use, bake.kit[0].mode_c, bake.kit[0].amount) == ("oven", 230, 1)
    assert (bake.fresh.best_min, bake.fresh.last_min) == (240, 36 * 60)
    assert (bake.if_not[0].act, bake.if_not[0].adds_min) == ("ten more minutes", 10)
    assert (step_of(p, "proof").forecast, step_of(p, "proof").lasts) == ("dough", None)
    assert (main_give(p).share.low, main_give(p).sure) == (0.85, "common practice")
    assert (p.takes[0].from_part, p.takes[0].bought, p.takes[1].bought.item) == ("butter", None, "flour")


def test_fahrenheit_and_packs_by_volume_are_read():
    p = part(
        AS_WRITTEN.replace("230C", "446F").replace(
            '"0.956kg"', '"0.956kg"\npacks = ["500ml"]\nkg_per_litre = 0.6'
        )
    )
    assert step_of(p, "bake").kit[0].mode_c == 230
    assert p.takes[1].bought.packs_g == (pytest.approx(300.0),)


@pytest.mark.parametrize("key", sorted(SHIPPED))
def test_a_shipped_part_accounts_for_every_kilogram(key):
    """Reading checks the main product; here all that comes out is held against all that goes in."""
    p = SHIPPED[key]
    takes = {t.item: t.per_kg_out_g for t in p.takes}
    out = sum(g.share.likely * (sum(takes.values()) if g.of == "all" else takes[g.of]) for g in p.gives)
    assert 1000 / 1.03 <= out <= sum(takes.values())


@pytest.mark.parametrize("key", sorted(SHIPPED))
def test_a_shipped_part_tells_a_cook_what_to_do(key):
    p = SHIPPED[key]
    for step in p.steps:
        assert step.say and step.look_for, f"{key}.{step.key}"
        assert step.sure != "quoted" or step.source
        for line in (*step.say, step.look_for, *(s.act for s in step.if_not), step.name):
            assert "safe" not in line.lower().split() and "!" not in line and "please" not in line.lower()
    assert any(s.fresh.last_min is not None for s in p.steps), "something must come to the table in time"


def test_what_the_shipped_parts_take_from_each_other_is_there():
    check_together(SHIPPED, SHIPPED)


def test_every_caution_is_one_sentence_with_its_source():
    for caution in cautions().values():
        assert caution.say.rstrip(".").count(". ") == 0 and caution.say.endswith(".")
        assert caution.sure in ("common practice", "derived") or caution.source


def test_allergens_of_what_is_taken_belong_to_the_part():
    p = part(
        AS_WRITTEN.replace('allergens = ["gluten", "milk"]\n', "").replace(
            'from = "butter"',
            'from = "butter"\nallergens = ["milk"]\ninstead = { allergens = ["sulphites"] }',
        )
    )
    assert p.allergens == ("milk", "sulphites")


def test_takes_that_do_not_add_up_are_refused_with_the_yield_that_would():
    with pytest.raises(OutOfRange) as why:
        part(AS_WRITTEN.replace("0.956kg", "0.80kg"))
    assert why.value.field == "gives[0].yield.likely"
    assert "1.020" in str(why.value.limit)  # 1 / (0.80 + 0.18)
    part(AS_WRITTEN.replace("0.956kg", "0.93kg"))  # 2.3 % out: within 3 %


def test_steps_in_a_circle_are_refused():
    text = AS_WRITTEN.replace(
        'lasts = { forecast = "dough" }', 'lasts = { forecast = "dough" }\nafter = [{ step = "bake" }]'
    )
    with pytest.raises(BadBrief, match="circle"):
        part(text)


def test_a_cooks_own_part_takes_the_place_of_the_shipped_one(tmp_path):
    (tmp_path / "mine.toml").write_text(AS_WRITTEN.replace("Rye-wheat loaf", "My loaf"), encoding="utf-8")
    mine = load_parts((tmp_path,))
    assert mine["loaf"].name == "My loaf"
    assert set(mine) == set(SHIPPED)


def test_a_part_file_taken_away_or_copied_is_a_part_less_or_more(tmp_path):
    shutil.copytree(data_path("parts"), tmp_path / "all")
    (tmp_path / "all" / "relish.toml").unlink()
    assert set(SHIPPED) - set(load_parts(shipped=tmp_path / "all")) == {"relish"}
    copy = (
        (data_path("parts") / "onion.toml")
        .read_text(encoding="utf-8")
        .replace('key = "onion"', 'key = "shallot"')
    )
    (tmp_path / "all" / "shallot.toml").write_text(copy, encoding="utf-8")
    assert "shallot" in load_parts(shipped=tmp_path / "all")


def test_two_files_of_one_key_in_a_folder_are_refused(tmp_path):
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_text(AS_WRITTEN, encoding="utf-8")
    with pytest.raises(BadBrief, match="2 files"):
        load_parts((tmp_path,))


def _said(tree: ast.AST) -> set[str]:
    """Strings of a module that are not docstrings."""
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    return {
        n.value
        for n in ast.walk(tree)
        if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in docs
    }


def test_no_python_names_a_part():
    """Planning, jobs and faces know parts as data only; crafts, named after trades, may share a word.

    So may what asks a craft: its command is called as the trade is (butter), and what it asks for too (the weight of a loaf).
    """
    root = Path(ingle.__file__).parent
    asked = {*COMMANDS, "loaf"}
    named = [
        (path.relative_to(root), text)
        for floor in ("planning", "jobs", "notebook", "learning", "faces")
        for path in (root / floor).rglob("*.py")
        for text in _said(ast.parse(path.read_text(encoding="utf-8")))
        for key in SHIPPED
        if (text == key and not (key in asked and floor in ("jobs", "faces"))) or text.startswith(f"{key}.")
    ]
    assert named == []


def test_the_search_for_part_names_finds_one_where_there_is_one():
    assert "loaf.bake" in _said(ast.parse('"""loaf.proof"""\nx = {"loaf.bake": 1}'))
    assert "loaf.proof" not in _said(ast.parse('"""loaf.proof"""\nx = {"loaf.bake": 1}'))


def test_a_piece_without_skin_is_neither_bought_with_it_nor_skinned():
    for part in SHIPPED.values():
        if not any(t.skinned for t in part.takes):
            continue
        bare = without_skin(part)
        for take in bare.takes:
            assert not (take.pieces and "rind on" in take.name), part.key
            assert take.bought is None or take.bought.name == take.name or not take.pieces
        before = [s for s in bare.steps if s.key == next(g.at for g in part.gives if g.skin)]
        assert [s for s in before if "skin" in s.name.lower() or any("rind" in line for line in s.say)] == [], part.key
        assert [s.key for s in bare.steps] == [s.key for s in part.steps]  # it is trimmed and measured all the same
        assert [s.lasts for s in bare.steps] == [s.lasts for s in part.steps]


@pytest.mark.parametrize(("skin", "bought", "first"), [("none", "rind off", "Trim the collar"), ("one-face", "rind on", "Skin and trim the collar")])
def test_a_plan_buys_and_skins_by_what_the_brief_says_of_the_skin(tmp_path, skin, bought, first):
    from ingle.jobs.plan import plan

    brief = tmp_path / "meal.toml"
    brief.write_text(
        f'''[meal]
name = "Table"
at = 2027-01-16T18:30:00
zone = "Europe/London"
plates = 6
plan_from = 2026-12-10T09:00:00
[[serve]]
part = "collar"
grams_per_plate = "60g"
pieces = [{{ name = "A", weight = "1.1kg", thickness = "45mm", skin = "{skin}" }}]
'''
    )
    made = plan(brief, limit_s=5)
    assert any(bought in line.name for line in made.shopping)
    assert min(made.steps, key=lambda s: s.start).name == first
