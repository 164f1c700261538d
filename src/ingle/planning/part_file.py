"""Reading part files, strictly, and checking that a part agrees with itself.

`load_parts` gives every part by its key: the shipped ones, overridden by the cook's own folders.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ingle.ground import units
from ingle.ground.sources import SURE
from ingle.ground.tables import data_path
from ingle.ground.things import Band
from ingle.planning import fields, values
from ingle.planning.fields import Fields
from ingle.planning.part_check import check_part
from ingle.planning.parts import (
    ALLERGENS,
    Bought,
    CureSpec,
    Give,
    Keeps,
    Part,
    StepSpec,
    Take,
)
from ingle.planning.step_file import STEP_KEYS, read_step, rising, words_of

_BUY = ("item", "name", "packs", "each", "kg_per_litre", "buy_within", "allergens", "note")
KNOWN = {
    "file": ("part", "cure", "takes", "gives", "step"),
    "part": ("key", "name", "short", "allergens"),
    "cure": ("method", "salt", "nitrite", "curing_salt", "sugar", "eaten", "product"),
    "takes": (*_BUY, "per_kg_out", "from", "at", "instead", "pieces", "skinned", "tap", "bare"),
    "gives": ("item", "name", "yield", "of", "at", "main", "skin", "keeps", "sure", "source"),
}


def load_parts(dirs: tuple[Path, ...] = (), shipped: Path | None = None) -> dict[str, Part]:
    """Every part there is, by key.

    Parameters
    ----------
    dirs : tuple of Path
        The cook's own folders; the first one that has a key wins, then the shipped parts.
    shipped : Path, optional
        Another folder in place of the parts that ship with ingle.
    """
    found: dict[str, Part] = {}
    for folder in (*dirs, data_path("parts") if shipped is None else shipped):
        here = [read_part(path) for path in sorted(folder.glob("*.toml"))]
        for key, count in Counter(p.key for p in here).items():
            if count > 1:
                values.refuse(
                    "part.key",
                    f"{key!r} is in {count} files of {folder.name}.",
                    value=key,
                    limit="one file each",
                    remedy="Give every part file of a folder a key of its own.",
                )
        for part in here:
            found.setdefault(part.key, part)
    return dict(sorted(found.items()))


def read_part(path: Path) -> Part:
    """Read one part file.

    Raises
    ------
    BadBrief, OutOfRange
        With the place in the file, the value, the limit and a remedy; also where the part contradicts itself.
    """
    given = values.read_file(path, "part")
    with values.in_file(path.name):
        return part_from(given, file=path.name)


def part_from(given: Mapping[str, Any], *, file: str = "") -> Part:
    """A part from the tables of its file."""
    top = fields.fields(given, "", KNOWN["file"])
    head = top.table("part", KNOWN["part"], example="[part] with key and name")
    key, name = head.key("key"), head.text("name", longest=80)
    steps = tuple(
        read_step(f, name)
        for f in top.tables("step", STEP_KEYS, least=1, example="[[step]] with key and lasts")
    )
    takes = tuple(
        _take(f, steps)
        for f in top.tables("takes", KNOWN["takes"], least=1, example="[[takes]] with item and per_kg_out")
    )
    given_gives = top.tables("gives", KNOWN["gives"], least=1, example="[[gives]] with item and yield")
    gives = tuple(_give(f, steps, alone=len(given_gives) == 1) for f in given_gives)
    declared = head.words("allergens", known=ALLERGENS, what="an allergen group of Regulation (EU) 1169/2011")
    everything = dict.fromkeys(
        (*declared, *(a for t in takes for a in (*t.allergens, *(t.bought.allergens if t.bought else ()))))
    )
    part = Part(
        key,
        name,
        head.text("short", name[:10].strip(), longest=10),
        takes,
        gives,
        steps,
        tuple(a for a in ALLERGENS if a in everything),
        _cure(top),
        file,
    )
    check_part(part)
    return part


def _take(f: Fields, steps: tuple[StepSpec, ...]) -> Take:
    item = f.key("item")
    maker = f.key("from", None)
    tap = bool(f.flag("tap"))
    if tap:
        bought = None
    elif f.has("instead"):
        bought = _instead(f, item)
    else:
        bought = None if maker else _bought(f, item)
    allergens = f.words("allergens", known=ALLERGENS, what="an allergen group of Regulation (EU) 1169/2011")
    return Take(
        item,
        f.text("name", words_of(item), longest=80),
        f.mass_g("per_kg_out", high=1e5),
        f.key("at", steps[0].key),
        maker,
        bought,
        bool(f.flag("pieces")),
        bool(f.flag("skinned")),
        tap,
        allergens,
        f.text("bare", "", longest=80),
    )


def _instead(f: Fields, item: str) -> Bought:
    said = f.given["instead"]
    if isinstance(said, str):
        return _bought(f, item, name=f.text("instead", longest=80), item=f"{item}-bought")
    inner = f.table("instead", _BUY)
    return _bought(inner, inner.key("item", f"{item}-bought"))


def _bought(f: Fields, usual: str, *, name: str = "", item: str = "") -> Bought:
    item = item or f.key("item", usual)
    name = name or f.text("name", words_of(item), longest=80)
    packs: tuple[float, ...]
    names: tuple[str, ...]
    if f.has("each"):
        each = f.mass_g("each", high=1e5)
        if f.has("packs"):
            values.refuse(
                f.at("packs"),
                "and each are both given.",
                value=f.given["packs"],
                limit="one of them",
                remedy="Keep packs for what is sold packed, each for what is sold by the piece.",
            )
        packs, names, unit, per = (each,), ("1",), "pieces", each
    else:
        packs, names, unit, per = _packs(f)
    within = f.minutes("buy_within", None)
    allergens = f.words("allergens", known=ALLERGENS, what="an allergen group of Regulation (EU) 1169/2011")
    return Bought(item, name, packs, names, unit, per, within, allergens, f.text("note", "", longest=200))


def _packs(f: Fields) -> tuple[tuple[float, ...], tuple[str, ...], str, float]:
    """Sizes [g], as written, the unit to show and what one of it weighs."""
    listed = f.listed("packs", '["500g", "1kg"]')
    if len(listed) > 6:
        values.refuse(
            f.at("packs"),
            f"names {len(listed)} sizes.",
            value=len(listed),
            limit=6,
            remedy="Keep the sizes you really buy.",
        )
    names = tuple(str(v).strip() for _, v in listed)
    by_volume = any(n.lower().rstrip(".").endswith(("l", "litre", "litres")) for n in names)
    if not by_volume:
        return tuple(values.quantity(units.mass_g, v, path, "500g") for path, v in listed), names, "g", 1.0
    density = f.number("kg_per_litre", low=0.3, high=2.5, unit="kg/l")
    litres = tuple(values.quantity(units.volume_l, v, path, "300ml") for path, v in listed)
    return tuple(units.grams(v * density) for v in litres), names, "ml", density


def _give(f: Fields, steps: tuple[StepSpec, ...], *, alone: bool) -> Give:
    item = f.key("item")
    keeps = f.table("keeps", ("fridge", "frozen", "thaw", "litres_per_kg"), fields.Fields(f.at("keeps"), {}))
    return Give(
        item,
        f.text("name", words_of(item), longest=80),
        _share(f),
        f.key("of", "all"),
        f.key("at", steps[-1].key),
        bool(f.flag("main", alone)),
        bool(f.flag("skin")),
        Keeps(
            keeps.minutes("fridge", None),
            keeps.minutes("frozen", None),
            keeps.minutes("thaw", None),
            keeps.number("litres_per_kg", 2.0, low=0.5, high=50, unit="l/kg"),
        ),
        f.choice("sure", SURE, "common practice"),
        f.text("source", "", longest=300),
    )


def _share(f: Fields) -> Band:
    inner = f.table("yield", ("low", "likely", "high"), example="{ low = 0.85, likely = 0.88, high = 0.90 }")
    likely = inner.number("likely", low=0.001, high=5)
    band = Band(
        inner.number("low", likely, low=0.001, high=5),
        likely,
        inner.number("high", likely, low=0.001, high=5),
    )
    rising(inner.path, (("low", band.low), ("likely", band.likely), ("high", band.high)), "")
    return band


def _cure(top: Fields) -> CureSpec | None:
    f = top.table("cure", KNOWN["cure"], None)
    if f is None:
        return None
    percent = {"example": "2.5%"}
    return CureSpec(
        f.choice("method", ("equilibrium", "excess"), "equilibrium"),
        f.quantity(units.fraction, "salt", high=0.3, **percent),
        f.quantity(units.mg_per_kg, "nitrite", 0.0, example="118 mg/kg"),
        f.quantity(units.fraction, "curing_salt", 0.0625, example="6.25%", high=0.2),
        f.quantity(units.fraction, "sugar", 0.0, high=0.3, **percent),
        f.choice("eaten", ("cooked", "uncooked"), "cooked") == "cooked",
        f.text("product", "whole_muscle_dry", longest=60),
    )
