"""Whatever is wrong with a file is said in words, with the field, the value, the limit and a remedy."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from ingle.ground.errors import BadBrief, IngleError, OutOfRange
from ingle.ground.tables import data_path
from ingle.planning.brief import brief_from, read_brief
from ingle.planning.kit import kit_from, read_kit
from ingle.planning.part_file import part_from, read_part
from ingle.planning.quantities import quantities

BRIEF = data_path("examples", "fernhollow", "fernhollow.toml")
KIT = data_path("examples", "fernhollow", "kitchen.toml")
LOAF, COLLAR = (data_path("parts", f"{name}.toml") for name in ("loaf", "collar"))


def read(path: Path, text: str) -> Any:
    given = tomllib.loads(text)
    if path == BRIEF:
        return brief_from(given, path.parent)
    return kit_from(given) if path == KIT else part_from(given)


# file, words in it, what stands there instead, kind of error, field, words of the limit or remedy
CASES = [
    (BRIEF, "plates = 18", "plates = 0", OutOfRange, "meal.plates", "1 to 100000"),
    (BRIEF, "plates = 18", "plates = 18.5", BadBrief, "meal.plates", "whole number"),
    (BRIEF, "plates = 18", "plates = true", BadBrief, "meal.plates", "whole number"),
    (BRIEF, "plates = 18", "plates = " + "9" * 400, OutOfRange, "meal.plates", "1 to 100000"),
    (BRIEF, "plates = 18", "plate = 18", BadBrief, "meal.plate", "plates"),
    (BRIEF, "plates = 18", "", BadBrief, "meal.plates", "plates ="),
    (BRIEF, "[meal]", "[menu]", BadBrief, "menu", "meal"),
    (BRIEF, 'zone = "Europe/London"', 'zone = "Europe/Londn"', BadBrief, "meal.zone", "Europe/London"),
    (BRIEF, 'zone = "Europe/London"', 'zone = "../../etc/passwd"', BadBrief, "meal.zone", "Europe"),
    (BRIEF, 'zone = "Europe/London"', "zone = 1", BadBrief, "meal.zone", "Europe/London"),
    (BRIEF, "at = 2026-12-19T18:30:00", 'at = "Saturday"', BadBrief, "meal.at", "2026-12-19T18:30:00"),
    (BRIEF, "at = 2026-12-19T18:30:00", "at = 2026-12-19", BadBrief, "meal.at", "local time"),
    (BRIEF, "at = 2026-12-19T18:30:00", "at = 2026-12-19T18:30:00Z", BadBrief, "meal.at", "offset"),
    (BRIEF, "at = 2026-12-19T18:30:00", "at = 0001-01-01T00:00:00", OutOfRange, "meal.at", "1990"),
    (BRIEF, "plan_from = 2026-11-27", "plan_from = 2026-12-27", OutOfRange, "meal.plan_from", "earlier hour"),
    (BRIEF, "plan_from = 2026-11-27", "plan_from = 2020-11-27", OutOfRange, "meal.plan_from", "366 d"),
    (BRIEF, 'rules = ["gb"]', 'rules = ["uk"]', BadBrief, "meal.rules[0]", "gb"),
    (BRIEF, 'rules = ["gb"]', 'rules = "gb"', BadBrief, "meal.rules", '["us"]'),
    (BRIEF, 'use = "table"', 'use = "shop"', BadBrief, "meal.use", "sale"),
    (BRIEF, "ready_chance = 0.95", "ready_chance = 1.0", OutOfRange, "meal.ready_chance", "0.999"),
    (BRIEF, "ready_chance = 0.95", 'ready_chance = "95%"', BadBrief, "meal.ready_chance", "without quotes"),
    (BRIEF, "ready_chance = 0.95", "ready_chance = nan", BadBrief, "meal.ready_chance", "0.5 to 0.999"),
    (BRIEF, 'weight = "1.06kg"', 'weight = "1.06"', BadBrief, "serve[0].pieces[0].weight", "1.38kg"),
    (BRIEF, 'weight = "1.06kg"', 'weight = "1,060 g"', BadBrief, "serve[0].pieces[0].weight", "1060 g"),
    (BRIEF, 'weight = "1.06kg"', 'weight = "a cupful"', BadBrief, "serve[0].pieces[0].weight", "1.38kg"),
    (BRIEF, 'weight = "1.06kg"', "weight = 1060", BadBrief, "serve[0].pieces[0].weight", "1.38kg"),
    (
        BRIEF,
        'weight = "1.06kg"',
        'weight = "-1.06kg"',
        OutOfRange,
        "serve[0].pieces[0].weight",
        "0 to 200000",
    ),
    (BRIEF, 'weight = "1.06kg"', 'weight = "0.9kg"', OutOfRange, "serve[0].pieces[0].weight", "15 %"),
    (
        BRIEF,
        'thickness = "40mm"',
        'thickness = "340mm"',
        OutOfRange,
        "serve[0].pieces[0].thickness",
        "skewer",
    ),
    (BRIEF, 'thickness = "40mm"', 'thickness = "40"', BadBrief, "serve[0].pieces[0].thickness", "52mm"),
    (
        BRIEF,
        'shape = "slab", skin = "one-face", fat = "thin" },\n  { name = "B"',
        'shape = "slap" },\n  { name = "B"',
        BadBrief,
        "serve[0].pieces[0].shape",
        "slab",
    ),
    (
        BRIEF,
        'fat = "thin" },\n  { name = "B"',
        'fat = "thin", colour = "pink" },\n  { name = "B"',
        BadBrief,
        "serve[0].pieces[0].colour",
        "weight",
    ),
    (
        BRIEF,
        'fat = "thin" },\n  { name = "B"',
        'skin_weight = "700g" },\n  { name = "B"',
        OutOfRange,
        "serve[0].pieces[0].skin_weight",
        "half",
    ),
    (
        BRIEF,
        'fat = "thin" },\n  { name = "B"',
        'box = true },\n  { name = "B"',
        BadBrief,
        "serve[0].pieces[0].box",
        "started",
    ),
    (
        BRIEF,
        'fat = "thin" },\n  { name = "B"',
        'started = 2026-12-01T10:00:00 },\n  { name = "B"',
        OutOfRange,
        "serve[0].pieces[0].started",
        "cure",
    ),
    (
        BRIEF,
        'fat = "thin" },\n  { name = "B"',
        'started = 2026-11-20T10:00:00, added = { pepper = "3g" } },\n  { name = "B"',
        BadBrief,
        "serve[0].pieces[0].added.pepper",
        "salt",
    ),
    (
        BRIEF,
        'fat = "thin" },\n  { name = "B"',
        'started = 2026-11-20T10:00:00, added = { curing-salt = "3g" } },\n  { name = "B"',
        BadBrief,
        "serve[0].pieces[0].added.curing-salt",
        "6.25%",
    ),
    (
        BRIEF,
        'grams_per_plate = "3g"',
        'grams_per_plate = "0g"',
        OutOfRange,
        "serve[1].grams_per_plate",
        "0 to 5000",
    ),
    (BRIEF, 'part = "crackling"', 'part = "Crackling!"', BadBrief, "serve[1].part", "small letters"),
    (BRIEF, 'part = "crackling"', 'part = "collar"', BadBrief, "serve", "one [[serve]]"),
    (BRIEF, 'kit = "kitchen.toml"', 'parts = ["nowhere/"]', BadBrief, "use.parts[0]", "folder"),
    (BRIEF, "rank = 2", "rank = 1", BadBrief, "wish[1]", "rank"),
    (BRIEF, "rank = 2", "rank = 9", OutOfRange, "wish[1].rank", "1 to 4"),
    (BRIEF, 'kind = "freshness"', 'kind = "fresh"', BadBrief, "wish[1].kind", "freshness"),
    (BRIEF, "[use]", '[night]\nfrom = "22:00"\nto = "21:00"\n[use]', OutOfRange, "night", "16 h"),
    (BRIEF, "[use]", '[night]\nfrom = "25:00"\nto = "06:00"\n[use]', BadBrief, "night.from", "24:00"),
    (BRIEF, "[use]", '[night]\nfrom = "22:00"\n[use]', BadBrief, "night.to", "18:00"),
    (KIT, "holds = 2", "holds = 0", OutOfRange, "oven[0].holds", "1 to 200"),
    (KIT, 'range = ["60C", "250C"]', 'range = ["250C", "60C"]', OutOfRange, "oven[0].range", "lowest first"),
    (KIT, 'range = ["60C", "250C"]', 'range = ["60C"]', BadBrief, "oven[0].range", "250C"),
    (KIT, 'range = ["60C", "250C"]', 'range = ["60", "250"]', BadBrief, "oven[0].range[0]", "C or"),
    (KIT, 'heat_up = "15min"', 'heat_up = "15"', BadBrief, "oven[0].heat_up", "45min"),
    (KIT, "litres = 60", "litres = -60", OutOfRange, "fridge[0].litres", "1 to"),
    (KIT, 'temperature = "4C"', 'temperature = "4"', BadBrief, "fridge[0].temperature", "4C or 38F"),
    (KIT, 'temperature = "4C"', 'temperature = "40C"', OutOfRange, "fridge[0].temperature", "12"),
    (KIT, 'sd = "1C"', 'sd = "one"', BadBrief, "fridge[0].sd", "1C"),
    (KIT, 'makes_smoke = "tray"', 'makes_smoke = "pipe"', BadBrief, "smoker[0].makes_smoke", "tray"),
    (KIT, "rails = 4", 'rails = "4"', BadBrief, "smoker[0].rails", "without quotes"),
    (KIT, 'key = "freezer"', 'key = "fridge"', BadBrief, "place.key", "of its own"),
    (KIT, 'days = "mon-fri"', 'days = "mon-fry"', BadBrief, "cook[0].hours[0].days", "fri"),
    (
        KIT,
        'from = "18:00", to = "22:00"',
        'from = "18:00", to = "17:00"',
        OutOfRange,
        "cook[0].hours[0]",
        "16 h",
    ),
    (
        KIT,
        'from = "18:00", to = "22:00"',
        'from = "6pm", to = "22:00"',
        BadBrief,
        "cook[0].hours[0].from",
        "18:00",
    ),
    (KIT, '[[cook]]\nkey = "A"', '[[chef]]\nkey = "A"', BadBrief, "chef", "oven"),
    (KIT, 'steps = ["0.1g", "1g"]', 'steps = ["0.1"]', BadBrief, "scale.steps[0]", "g"),
    (LOAF, 'key = "bake"', 'key = "proof"', BadBrief, "step", "its own name"),
    (
        LOAF,
        'after = [{ step = "proof", min = "0h", max = "30min" }]',
        'after = [{ step = "prof" }]',
        BadBrief,
        "step[3].after[0].step",
        "proof",
    ),
    (
        LOAF,
        'min = "0h", max = "30min"',
        'min = "2h", max = "30min"',
        OutOfRange,
        "step[3].after[0].max",
        "rising",
    ),
    (
        LOAF,
        'hands = { start = "10min", end = "5min" }',
        'hands = { start = "50min" }',
        OutOfRange,
        "step[3].hands",
        "Shorten",
    ),
    (LOAF, 'hands = { start = "10min", end = "5min" }', 'hands = "ten"', BadBrief, "step[3].hands", "table"),
    (
        LOAF,
        'lasts = { low = "40min", likely = "45min", high = "55min" }',
        'lasts = { low = "50min", likely = "45min" }',
        OutOfRange,
        "step[3].lasts.likely",
        "rising",
    ),
    (
        LOAF,
        'lasts = { low = "40min", likely = "45min", high = "55min" }',
        'lasts = { forecast = "oven" }',
        BadBrief,
        "step[3].lasts.forecast",
        "cook",
    ),
    (
        LOAF,
        'lasts = { low = "40min", likely = "45min", high = "55min" }',
        "lasts = {}",
        BadBrief,
        "step[3].lasts.likely",
        "likely =",
    ),
    (
        LOAF,
        'every = "30min", lasts = "5min", slack = "5min"',
        'every = "30min", lasts = "5min", slack = "20min"',
        OutOfRange,
        "step[1].tend.slack",
        "less slack",
    ),
    (LOAF, 'mode = "230C", shelves_per_kg = 0.5', 'mode = "hot"', BadBrief, "step[3].kit[0].mode", "C"),
    (
        LOAF,
        'mode = "230C", shelves_per_kg = 0.5',
        "shelves = 1, shelves_per_kg = 0.5",
        BadBrief,
        "step[3].kit[0]",
        "one",
    ),
    (
        LOAF,
        'kit = [{ use = "fridge", litres_per_kg = 4 }]',
        'kit = [{ use = "fridge" }]',
        BadBrief,
        "step[2].kit[0].litres_per_kg",
        "litres",
    ),
    (
        LOAF,
        'fresh = { rest = "3h", best = "24h", last = "36h" }',
        'fresh = { rest = "3h", best = "2h" }',
        OutOfRange,
        "step[3].fresh.best",
        "rising",
    ),
    (
        LOAF,
        'caution = ["knife", "allergens"]',
        'caution = ["knive"]',
        BadBrief,
        "step[4].caution[0]",
        "knife",
    ),
    (
        LOAF,
        'allergens = ["gluten", "milk"]',
        'allergens = ["wheat"]',
        BadBrief,
        "part.allergens[0]",
        "gluten",
    ),
    (
        LOAF,
        "low = 0.85, likely = 0.88, high = 0.90",
        "low = 0.95, likely = 0.88, high = 0.90",
        OutOfRange,
        "gives[0].yield.likely",
        "rising",
    ),
    (
        LOAF,
        "low = 0.85, likely = 0.88, high = 0.90",
        "low = 0.55, likely = 0.60",
        OutOfRange,
        "gives[0].yield.likely",
        "within 3 %",
    ),
    (
        LOAF,
        "low = 0.85, likely = 0.88, high = 0.90",
        'likely = "88%"',
        BadBrief,
        "gives[0].yield.likely",
        "without quotes",
    ),
    (
        LOAF,
        'sure = "common practice"\nsource',
        'sure = "certain"\nsource',
        BadBrief,
        "gives[0].sure",
        "common practice",
    ),
    (LOAF, "main = true", "main = false", BadBrief, "gives", "main = true"),
    (LOAF, 'at = "bake"', 'at = "oven"', BadBrief, "gives[0].at", "bake"),
    (LOAF, 'per_kg_out = "0.18kg"', 'per_kg_out = "180"', BadBrief, "takes[2].per_kg_out", "1.38kg"),
    (
        LOAF,
        'packs = ["250ml", "500ml"], kg_per_litre = 1.03',
        'packs = ["250ml"]',
        BadBrief,
        "takes[2].instead.kg_per_litre",
        "2.5",
    ),
    (LOAF, 'packs = ["1kg", "1.5kg"]', 'packs = ["1kg"]\neach = "1kg"', BadBrief, "takes[0].packs", "each"),
    (LOAF, 'item = "rye-flour"', 'item = "bread-flour"', BadBrief, "takes", "its own name"),
    (COLLAR, 'salt = "2.5%"', 'salt = "2.5"', BadBrief, "cure.salt", "%"),
    (COLLAR, 'salt = "2.5%"', 'salt = "250%"', OutOfRange, "cure.salt", "0 to 0.3"),
    (COLLAR, "skinned = true", "skinned = false", BadBrief, "gives", "skinned"),
    (
        COLLAR,
        'keeps = { fridge = "3d", frozen = "90d", thaw = "12h" }',
        'keeps = { frozen = "90d" }',
        BadBrief,
        "gives[1].keeps.thaw",
        "thaw",
    ),
    (
        COLLAR,
        "low = 0.04, likely = 0.06, high = 0.10",
        "likely = 0.60",
        OutOfRange,
        "gives",
        "more cannot come out",
    ),
    (
        COLLAR,
        'of = "pork-collar" }]  # 2 l',
        'of = "beef" }]  # 2 l',
        BadBrief,
        "step[1].kit[0].of",
        "pork-collar",
    ),
]


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


JUNK = [
    None,
    True,
    -1,
    10**400,
    float("nan"),
    float("inf"),
    "",
    " ",
    "x" * 5000,
    "1e999kg",
    "\x00",
    "0/0 kg",
    [],
    [[]],
    {},
    {"a": {}},
]


def places(given: Any, path: tuple = ()) -> Iterator[tuple]:
    """The path of every value in a file."""
    items = given.items() if isinstance(given, dict) else enumerate(given) if isinstance(given, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from places(value, (*path, key))


@pytest.mark.parametrize("path", [BRIEF, KIT, LOAF, COLLAR], ids=lambda p: p.stem)
def test_junk_at_any_place_is_never_a_traceback(path):
    """Every value of the file is replaced in turn; it is read, or refused with all that a page needs."""
    whole = tomllib.loads(path.read_text(encoding="utf-8"))
    refused = 0
    for i, where in enumerate(places(whole)):
        for junk in (
            JUNK[(i + k) % len(JUNK)] for k in range(0, len(JUNK), 1 if path in (BRIEF, KIT) else 5)
        ):
            given = copy.deepcopy(whole)
            holder = given
            for key in where[:-1]:
                holder = holder[key]
            holder[where[-1]] = junk
            try:
                brief_from(given, path.parent) if path == BRIEF else kit_from(
                    given
                ) if path == KIT else part_from(given)
            except IngleError as why:
                refused += 1
                assert why.field and why.limit is not None and why.remedy, (where, junk, why)
    assert refused > 300
