"""Whatever is wrong with a file is said in words, with the field, the value, the limit and a remedy."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from tests.helpers import spoilt

from ingle.ground.errors import BadBrief, IngleError, OutOfRange
from ingle.ground.tables import data_path
from ingle.planning.brief import brief_from, read_brief
from ingle.planning.kit import kit_from, read_kit
from ingle.planning.part_file import part_from, read_part
from ingle.planning.quantities import quantities

BRIEF = data_path("examples", "fernhollow", "fernhollow.toml")
KIT = data_path("examples", "fernhollow", "kitchen.toml")
LOAF, COLLAR = (data_path("parts", f"{name}.toml") for name in ("loaf", "collar"))


def made(path: Path, given: Any) -> Any:
    if path == BRIEF:
        return brief_from(given, path.parent)
    return kit_from(given) if path == KIT else part_from(given)


def read(path: Path, text: str) -> Any:
    return made(path, tomllib.loads(text))


# of each file: words in it, then what stands there instead, kind of error, field, words of the limit or remedy
WRONG = {
    BRIEF: {
        "plates = 18": [
            ("plates = 0", OutOfRange, "meal.plates", "1 to 100000"),
            ("plates = 18.5", BadBrief, "meal.plates", "whole number"),
            ("plates = true", BadBrief, "meal.plates", "whole number"),
            ("plates = " + "9" * 400, OutOfRange, "meal.plates", "1 to 100000"),
            ("plate = 18", BadBrief, "meal.plate", "plates"),
            ("", BadBrief, "meal.plates", "plates ="),
        ],
        "[meal]": [("[menu]", BadBrief, "menu", "meal")],
        'zone = "Europe/London"': [
            ('zone = "Europe/Londn"', BadBrief, "meal.zone", "Europe/London"),
            ('zone = "../../etc/passwd"', BadBrief, "meal.zone", "Europe"),
            ("zone = 1", BadBrief, "meal.zone", "Europe/London"),
        ],
        "at = 2026-12-19T18:30:00": [
            ('at = "Saturday"', BadBrief, "meal.at", "2026-12-19T18:30:00"),
            ("at = 2026-12-19", BadBrief, "meal.at", "local time"),
            ("at = 2026-12-19T18:30:00Z", BadBrief, "meal.at", "offset"),
            ("at = 0001-01-01T00:00:00", OutOfRange, "meal.at", "1990"),
        ],
        "plan_from = 2026-11-27": [
            ("plan_from = 2026-12-27", OutOfRange, "meal.plan_from", "earlier hour"),
            ("plan_from = 2020-11-27", OutOfRange, "meal.plan_from", "366 d"),
        ],
        'rules = ["gb"]': [
            ('rules = ["uk"]', BadBrief, "meal.rules[0]", "gb"),
            ('rules = "gb"', BadBrief, "meal.rules", '["us"]'),
        ],
        'use = "table"': [('use = "shop"', BadBrief, "meal.use", "sale")],
        "ready_chance = 0.95": [
            ("ready_chance = 1.0", OutOfRange, "meal.ready_chance", "0.999"),
            ('ready_chance = "95%"', BadBrief, "meal.ready_chance", "without quotes"),
            ("ready_chance = nan", BadBrief, "meal.ready_chance", "0.5 to 0.999"),
        ],
        'weight = "1.06kg"': [
            ('weight = "1.06"', BadBrief, "serve[0].pieces[0].weight", "1.38kg"),
            ('weight = "1,060 g"', BadBrief, "serve[0].pieces[0].weight", "1060 g"),
            ('weight = "a cupful"', BadBrief, "serve[0].pieces[0].weight", "1.38kg"),
            ("weight = 1060", BadBrief, "serve[0].pieces[0].weight", "1.38kg"),
            ('weight = "-1.06kg"', OutOfRange, "serve[0].pieces[0].weight", "0 to 200000"),
            ('weight = "0.9kg"', OutOfRange, "serve[0].pieces[0].weight", "15 %"),
        ],
        'thickness = "40mm"': [
            ('thickness = "340mm"', OutOfRange, "serve[0].pieces[0].thickness", "skewer"),
            ('thickness = "40"', BadBrief, "serve[0].pieces[0].thickness", "52mm"),
        ],
        'shape = "slab", skin = "one-face", fat = "thin" },\n  { name = "B"': [('shape = "slap" },\n  { name = "B"', BadBrief, "serve[0].pieces[0].shape", "slab")],
        'fat = "thin" },\n  { name = "B"': [
            ('fat = "thin", colour = "pink" },\n  { name = "B"', BadBrief, "serve[0].pieces[0].colour", "weight"),
            ('skin_weight = "700g" },\n  { name = "B"', OutOfRange, "serve[0].pieces[0].skin_weight", "half"),
            ('box = true },\n  { name = "B"', BadBrief, "serve[0].pieces[0].box", "started"),
            ('started = 2026-12-01T10:00:00 },\n  { name = "B"', OutOfRange, "serve[0].pieces[0].started", "cure"),
            ('started = 2026-11-20T10:00:00, added = { pepper = "3g" } },\n  { name = "B"', BadBrief, "serve[0].pieces[0].added.pepper", "salt"),
            ('started = 2026-11-20T10:00:00, added = { curing-salt = "3g" } },\n  { name = "B"', BadBrief, "serve[0].pieces[0].added.curing-salt", "6.25%"),
        ],
        'grams_per_plate = "3g"': [('grams_per_plate = "0g"', OutOfRange, "serve[1].grams_per_plate", "0 to 5000")],
        'part = "crackling"': [
            ('part = "Crackling!"', BadBrief, "serve[1].part", "small letters"),
            ('part = "collar"', BadBrief, "serve", "one [[serve]]"),
        ],
        'kit = "kitchen.toml"': [('parts = ["nowhere/"]', BadBrief, "use.parts[0]", "folder")],
        "rank = 2": [
            ("rank = 1", BadBrief, "wish[1]", "rank"),
            ("rank = 9", OutOfRange, "wish[1].rank", "1 to 4"),
        ],
        'kind = "freshness"': [('kind = "fresh"', BadBrief, "wish[1].kind", "freshness")],
        "[use]": [
            ('[night]\nfrom = "22:00"\nto = "21:00"\n[use]', OutOfRange, "night", "16 h"),
            ('[night]\nfrom = "25:00"\nto = "06:00"\n[use]', BadBrief, "night.from", "24:00"),
            ('[night]\nfrom = "22:00"\n[use]', BadBrief, "night.to", "18:00"),
        ],
    },
    KIT: {
        "holds = 2": [("holds = 0", OutOfRange, "oven[0].holds", "1 to 200")],
        'range = ["60C", "250C"]': [
            ('range = ["250C", "60C"]', OutOfRange, "oven[0].range", "lowest first"),
            ('range = ["60C"]', BadBrief, "oven[0].range", "250C"),
            ('range = ["60", "250"]', BadBrief, "oven[0].range[0]", "C or"),
        ],
        'heat_up = "15min"': [('heat_up = "15"', BadBrief, "oven[0].heat_up", "45min")],
        "litres = 60": [("litres = -60", OutOfRange, "fridge[0].litres", "1 to")],
        'temperature = "4C"': [
            ('temperature = "4"', BadBrief, "fridge[0].temperature", "4C or 38F"),
            ('temperature = "40C"', OutOfRange, "fridge[0].temperature", "12"),
        ],
        'sd = "1C"': [('sd = "one"', BadBrief, "fridge[0].sd", "1C")],
        'makes_smoke = "tray"': [('makes_smoke = "pipe"', BadBrief, "smoker[0].makes_smoke", "tray")],
        "rails = 4": [('rails = "4"', BadBrief, "smoker[0].rails", "without quotes")],
        'key = "freezer"': [('key = "fridge"', BadBrief, "place.key", "of its own")],
        'days = "mon-fri"': [('days = "mon-fry"', BadBrief, "cook[0].hours[0].days", "fri")],
        'from = "18:00", to = "22:00"': [
            ('from = "18:00", to = "17:00"', OutOfRange, "cook[0].hours[0]", "16 h"),
            ('from = "6pm", to = "22:00"', BadBrief, "cook[0].hours[0].from", "18:00"),
        ],
        '[[cook]]\nkey = "A"': [('[[chef]]\nkey = "A"', BadBrief, "chef", "oven")],
        'steps = ["0.1g", "1g"]': [('steps = ["0.1"]', BadBrief, "scale.steps[0]", "g")],
    },
    LOAF: {
        'key = "bake"': [('key = "proof"', BadBrief, "step", "its own name")],
        'after = [{ step = "proof", min = "0h", max = "30min" }]': [('after = [{ step = "prof" }]', BadBrief, "step[3].after[0].step", "proof")],
        'min = "0h", max = "30min"': [('min = "2h", max = "30min"', OutOfRange, "step[3].after[0].max", "rising")],
        'hands = { start = "10min", end = "5min" }': [
            ('hands = { start = "50min" }', OutOfRange, "step[3].hands", "Shorten"),
            ('hands = "ten"', BadBrief, "step[3].hands", "table"),
        ],
        'lasts = { low = "40min", likely = "45min", high = "55min" }': [
            ('lasts = { low = "50min", likely = "45min" }', OutOfRange, "step[3].lasts.likely", "rising"),
            ('lasts = { forecast = "oven" }', BadBrief, "step[3].lasts.forecast", "cook"),
            ("lasts = {}", BadBrief, "step[3].lasts.likely", "likely ="),
        ],
        'every = "30min", lasts = "5min", slack = "5min"': [('every = "30min", lasts = "5min", slack = "20min"', OutOfRange, "step[1].tend.slack", "less slack")],
        'mode = "230C", shelves_per_kg = 0.5': [
            ('mode = "hot"', BadBrief, "step[3].kit[0].mode", "C"),
            ("shelves = 1, shelves_per_kg = 0.5", BadBrief, "step[3].kit[0]", "one"),
        ],
        'kit = [{ use = "fridge", litres_per_kg = 4 }]': [('kit = [{ use = "fridge" }]', BadBrief, "step[2].kit[0].litres_per_kg", "litres")],
        'fresh = { rest = "3h", best = "24h", last = "36h" }': [('fresh = { rest = "3h", best = "2h" }', OutOfRange, "step[3].fresh.best", "rising")],
        'caution = ["knife", "allergens"]': [('caution = ["knive"]', BadBrief, "step[4].caution[0]", "knife")],
        'allergens = ["gluten", "milk"]': [('allergens = ["wheat"]', BadBrief, "part.allergens[0]", "gluten")],
        "low = 0.85, likely = 0.88, high = 0.90": [
            ("low = 0.95, likely = 0.88, high = 0.90", OutOfRange, "gives[0].yield.likely", "rising"),
            ("low = 0.55, likely = 0.60", OutOfRange, "gives[0].yield.likely", "within 3 %"),
            ('likely = "88%"', BadBrief, "gives[0].yield.likely", "without quotes"),
        ],
        'sure = "common practice"\nsource': [('sure = "certain"\nsource', BadBrief, "gives[0].sure", "common practice")],
        "main = true": [("main = false", BadBrief, "gives", "main = true")],
        'at = "bake"': [('at = "oven"', BadBrief, "gives[0].at", "bake")],
        'per_kg_out = "0.18kg"': [('per_kg_out = "180"', BadBrief, "takes[2].per_kg_out", "1.38kg")],
        'packs = ["250ml", "500ml"], kg_per_litre = 1.03': [('packs = ["250ml"]', BadBrief, "takes[2].instead.kg_per_litre", "2.5")],
        'packs = ["1kg", "1.5kg"]': [('packs = ["1kg"]\neach = "1kg"', BadBrief, "takes[0].packs", "each")],
        'item = "rye-flour"': [('item = "bread-flour"', BadBrief, "takes", "its own name")],
    },
    COLLAR: {
        'salt = "2.5%"': [
            ('salt = "2.5"', BadBrief, "cure.salt", "%"),
            ('salt = "250%"', OutOfRange, "cure.salt", "0 to 0.3"),
        ],
        "skinned = true": [("skinned = false", BadBrief, "gives", "skinned")],
        'keeps = { fridge = "3d", frozen = "90d", thaw = "12h" }': [('keeps = { frozen = "90d" }', BadBrief, "gives[1].keeps.thaw", "thaw")],
        "low = 0.04, likely = 0.06, high = 0.10": [("likely = 0.60", OutOfRange, "gives", "more cannot come out")],
        'of = "pork-collar" }]  # 2 l': [('of = "beef" }]  # 2 l', BadBrief, "step[1].kit[0].of", "pork-collar")],
    },
}  # fmt: skip
CASES = [(path, old, *case) for path, file in WRONG.items() for old, cases in file.items() for case in cases]


@pytest.mark.parametrize("case", CASES, ids=[f"{c[0].stem}-{c[4]}-{i}" for i, c in enumerate(CASES)])
def test_a_mistake_is_named_with_field_limit_and_remedy(case):
    path, old, new, kind, field, words = case
    text = path.read_text(encoding="utf-8")
    assert old in text
    read(path, text)
    with pytest.raises(IngleError) as why:
        read(path, text.replace(old, new, 1))
    assert type(why.value) is kind
    assert why.value.field == field
    assert why.value.limit is not None and why.value.remedy
    assert words in f"{why.value.limit} {why.value.remedy}"
    assert why.value.remedy in str(why.value)


def test_there_are_at_least_forty_cases_and_each_changes_its_file():
    assert len(CASES) >= 40
    assert all(old != new for _, old, new, *_ in CASES)


@pytest.mark.parametrize("reader", [read_brief, read_kit, read_part])
@pytest.mark.parametrize(
    "content",
    [b"plates = ", b"\xff\xfe", b"a = " + b"9" * 5000, b"a = " + b"[" * 3000, None, "folder"],
    ids=["half a line", "not UTF-8", "a number without end", "a nesting without end", "no file", "a folder"],
)
def test_a_file_that_cannot_be_read_is_said_in_words(reader, content, tmp_path):
    path = tmp_path / "file.toml"
    if content == "folder":
        path.mkdir()
    elif content is not None:
        path.write_bytes(content)
    with pytest.raises(BadBrief) as why:
        reader(path)
    assert why.value.field and why.value.limit is not None and why.value.remedy


def test_the_error_says_in_which_file_it_is(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(
        LOAF.read_text(encoding="utf-8").replace('key = "loaf"', 'key = "Loaf"'), encoding="utf-8"
    )
    with pytest.raises(BadBrief, match=r"^mine\.toml: part\.key"):
        read_part(path)


def test_a_part_nobody_wrote_is_refused_with_the_nearest():
    brief = brief_from(
        tomllib.loads(BRIEF.read_text(encoding="utf-8").replace('part = "relish"', 'part = "relich"')),
        BRIEF.parent,
    )
    parts = {p.key: p for p in map(read_part, sorted(data_path("parts").glob("*.toml")))}
    with pytest.raises(BadBrief) as why:
        quantities(brief, parts)
    assert (why.value.field, why.value.value) == ("serve[5].part", "relich")
    assert "relish" in why.value.remedy


def test_pieces_for_a_part_made_from_none_are_refused():
    text = BRIEF.read_text(encoding="utf-8").replace(
        'grams_per_plate = "70g"', 'grams_per_plate = "70g"\npieces = [{ weight = "1kg" }]'
    )
    parts = {p.key: p for p in map(read_part, sorted(data_path("parts").glob("*.toml")))}
    with pytest.raises(BadBrief) as why:
        quantities(brief_from(tomllib.loads(text), BRIEF.parent), parts)
    assert why.value.field == "serve[4].pieces" and why.value.remedy


@pytest.mark.parametrize("path", [BRIEF, KIT, LOAF, COLLAR], ids=lambda p: p.stem)
def test_junk_at_any_place_is_never_a_traceback(path):
    """Every value of the file is replaced in turn; it is read, or refused with all that a page needs."""
    whole, refused = tomllib.loads(path.read_text(encoding="utf-8")), 0
    for where, junk, given in spoilt(whole, 1 if path in (BRIEF, KIT) else 5):
        try:
            made(path, given)
        except IngleError as why:
            refused += 1
            assert why.field and why.limit is not None and why.remedy, (where, junk, why)
    assert refused > 300
