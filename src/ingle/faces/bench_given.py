"""What a cook says of brine, butter, bread, dough, sauce and cold smoke, under the names of the options, as the job's own numbers.

``given`` holds those words, None for what was not said; the command line and the page's forms fill it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NoReturn

import numpy as np

from ingle.faces.heat_given import kelvins, plain
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.figures import BenchAnswer
from ingle.jobs.thermal_log import read_log

Given = Mapping[str, Any]
# what says nothing without another word: refused, so that nobody thinks it was heard
_WITH: dict[str, tuple[tuple[str, str], ...]] = {
    "butter": (("churned", "cream_temperature"),),
    "dough": (*((k, "flour") for k in ("water", "flour_temperature", "tap", "to", "room", "preferment", "friction", "rise", "last")),
              *((k, "piece") for k in ("fridge", "in", "head_start"))),
    "sauce": (("to", "part"), ("sauce", "vinegar")),
    "bread": (("pieces", "loaf"), ("baked", "loaf"), ("preferment_hydration", "preferment"), *((k, "water") for k in ("salt_weight", "starter", "buttermilk_weight"))),
}  # fmt: skip
_FORMULA = ("loaf", "dough", "hydration", "salt", "preferment", "buttermilk")
_TAKEN = ("flour", "water", "salt", "preferment", "buttermilk")
_MOST_LOAVES = 10_000


def brine_of(given: Given) -> BenchAnswer:
    """``ingle brine`` in its options' words."""
    from ingle.jobs.brine import ROOM_C, brine

    return brine(
        salt_g=_mass(given, "salt", zero=True), water_g=_mass(given, "water"), volume_l=None if given["volume"] is None else units.volume_l(given["volume"]),
        strength=_share(given, "strength"), salometer=plain(given["salometer"], "salometer", 0.0, 100.0, "degrees"),
        density=plain(given["density"], "density", 900.0, 1300.0, "kg/m3"), wanted=_share(given, "to"),
        temperature_c=_warm_or(given, "temperature", ROOM_C),
    )  # fmt: skip


def butter_of(given: Given) -> BenchAnswer:
    """``ingle butter`` in its options' words."""
    from ingle.jobs.butter import butter

    _require_company(given, "butter")
    fat = _share(given, "fat")
    if fat is None:
        _missing("fat", "The fat of the cream", "36%")
    minutes = given["churned"]
    return butter(
        fat_per_cream=fat, cream_g=_mass(given, "cream"), butter_g=_mass(given, "butter"), fat_per_butter=_share(given, "butter_fat"),
        fat_per_buttermilk=_share(given, "buttermilk_fat"), salt=_share(given, "salt") or 0.0, use=given["use"], standardise_to=_share(given, "standardise"),
        with_fat=_share(given, "with_fat"), cream_c=_warm(given, "cream_temperature"), heat_treatment=given["heat_treatment"],
        churned_min=0.0 if minutes is None else units.minutes(units.duration_h(minutes, "churned", high=24.0)), ripen_c=_warm(given, "ripen"), weighed_g=_mass(given, "weighed"),
    )  # fmt: skip


def bread_of(given: Given) -> BenchAnswer:
    """``ingle bread`` in its options' words."""
    from ingle.jobs.bread import bread, bread_made

    _require_company(given, "bread")
    if given["water"] is not None:
        for key in _FORMULA:
            if given[key]:
                _clash("water", f"{_said(key)} belongs to a formula, water to a dough that was mixed.", "Leave one of both out.")
        return _made(given, bread_made)
    salt, hydration, share = _share(given, "salt"), _share(given, "hydration", 3.0), _share(given, "preferment", 10.0)
    water = _share(given, "preferment_hydration", 10.0)
    baked = given["baked"]
    return bread(
        loaf_g=_mass(given, "loaf"), pieces=_count(given["pieces"]), dough_g=_mass(given, "dough"), flour_g=_mass(given, "flour"),
        hydration=0.65 if hydration is None else hydration, salt=0.02 if salt is None else salt, preferment=share or 0.0, share_of=given["preferment_of"],
        preferment_hydration=1.0 if water is None else water, others=_named(given["also"] or (), lambda text, name: units.fraction(text, name, high=10.0)),
        buttermilk=bool(given["buttermilk"]), baked=None if baked is None else _two(baked, "baked", "500g,440g", units.mass_g, units.mass_g),
    )  # fmt: skip


def _made(given: Given, job: Any) -> BenchAnswer:
    """A dough that was mixed: everything in weights."""
    flour = _mass(given, "flour")
    if flour is None:
        _missing("flour", "The flour", "800g")
    sour = given["buttermilk_weight"]
    answer: BenchAnswer = job(
        flour, units.mass_g(given["water"], "water", zero=True), _mass(given, "salt_weight", zero=True) or 0.0,
        preferments=[_two(t, "starter", "200g,100%", units.mass_g, lambda text, field: units.fraction(text, field, high=10.0)) for t in given["starter"] or ()],
        buttermilk_g=0.0 if sour is None else units.mass_g(sour, "buttermilk-weight"), others=_named(given["also"] or (), units.mass_g),
    )  # fmt: skip
    return answer


def dough_of(given: Given) -> BenchAnswer:
    """``ingle dough`` in its options' words."""
    from ingle.jobs.dough import Mixing, dough

    _require_company(given, "dough")
    mixing = None
    if given["flour"] is not None:
        mixing = Mixing(
            _needed_mass(given, "flour", "1kg"), _needed_warm(given, "flour_temperature"), _needed_mass(given, "water", "650g"), _needed_warm(given, "tap"),
            _warm_or(given, "to", 24.5),
            room_c=_warm(given, "room"), preferment=_preferment(given["preferment"]),
            friction_k=None if given["friction"] is None else kelvins(given["friction"], "friction"),
            rise_k=None if given["rise"] is None else kelvins(given["rise"], "rise"),
            last=None if given["last"] is None else _two(given["last"], "last", "26C,20C", _of_dough, _of_dough),
        )  # fmt: skip
    piece = _mass(given, "piece")
    hours, celsius = _along(given["log"])
    if mixing is None and piece is None and not hours:
        raise BadBrief("Nothing is asked of the dough.", field="flour", value="missing", limit="flour and water, a piece, or a log",
                       remedy="Give flour and water for its temperature, or a piece for its proof in the cold.")  # fmt: skip
    head = given["head_start"]
    return dough(
        mixing, piece_g=piece, fridge_c=_warm_or(given, "fridge", 4.0), dough_c=_warm_or(given, "in", 24.5),
        head_start_h=0.0 if head is None else _signed_h(head), hours=hours, celsius=celsius,
    )  # fmt: skip


def sauce_of(given: Given) -> BenchAnswer:
    """``ingle sauce`` in its options' words."""
    from ingle.jobs.sauce import Titration, sauce

    _require_company(given, "sauce")
    vinegar, syrup = given["vinegar"], given["syrup"]
    return sauce(
        parts=[_two(t, "part", "2kg,12%", units.mass_g, units.fraction) for t in given["part"] or ()], to=_share(given, "to"),
        vinegar=None if vinegar is None else _two(vinegar, "vinegar", "150g,5%", units.mass_g, units.fraction), sauce_g=_mass(given, "sauce"),
        titration=_titration(given, Titration), ph=plain(given["ph"], "ph", 0.0, 14.0, "pH"),
        syrup=None if syrup is None else _two(syrup, "syrup", "500g,500g", units.mass_g, units.mass_g), gravity=plain(given["gravity"], "gravity", 0.9, 1.6, ""),
        temperature_c=_warm_or(given, "temperature", 20.0),
    )  # fmt: skip


def smoke_of(given: Given) -> BenchAnswer:
    """``ingle smoke`` in its options' words."""
    from ingle.jobs.smoke import smoke

    runs = [_two(t, "run", "8h,18C", lambda text, field: units.duration_h(text, field, high=1000.0, zero=False), units.temperature_c) for t in given["run"] or ()]
    return smoke(given["kind"], runs, interior_barred=bool(given["barred"]), fuel=given["fuel"])


def _require_company(given: Given, job: str) -> None:
    for key, needs in _WITH[job]:
        if given[key] and not given[needs]:
            _clash(_option(key), f"{_said(key)} says nothing without {_said(needs)}.", f"Give {_said(needs)} too, or leave it out.")


def _clash(field: str, what: str, remedy: str) -> NoReturn:
    raise BadBrief(what, field=field, value="alone", limit="together", remedy=remedy)


def _mass(given: Given, key: str, *, zero: bool = False) -> float | None:
    return None if given[key] is None else units.mass_g(given[key], _option(key), zero=zero)


def _needed_mass(given: Given, key: str, like: str) -> float:
    found = _mass(given, key)
    return _missing(key, f"The {key}", like) if found is None else found


def _share(given: Given, key: str, most: float = 1.0) -> float | None:
    return None if given[key] is None else units.fraction(given[key], _option(key), high=most)


def _warm(given: Given, key: str) -> float | None:
    return None if given[key] is None else units.temperature_c(given[key], _option(key))


def _of_dough(text: str, field: str) -> float:
    return units.temperature_c(text, field, low=0.0, high=60.0)


def _warm_or(given: Given, key: str, usual: float) -> float:
    found = _warm(given, key)
    return usual if found is None else found


def _needed_warm(given: Given, key: str) -> float:
    found = _warm(given, key)
    return _missing(_option(key), f"The temperature of the {key.removesuffix('_temperature')}", "20C") if found is None else found


def _missing(field: str, what: str, like: str) -> NoReturn:
    raise BadBrief(f"{what} is missing.", field=field, value="missing", limit=f"like {like}", remedy=f"Write it like {like}.")


def _two(text: str, field: str, like: str, first: Any, second: Any) -> tuple[float, float]:
    """Two quantities with a comma between: ``8h,18C``."""
    parts = _parts(text, field, like, 2)
    return first(parts[0], field), second(parts[1], field)


def _parts(text: str, field: str, like: str, count: int) -> list[str]:
    parts = [p.strip() for p in text.split(",")]
    if len(parts) != count or not all(parts):
        raise BadBrief(f"{field} {text!r} is not written like {like}.", field=field, value=text, limit=like, remedy=f"Write it like {like}, a decimal with a point.")
    return parts


def _preferment(text: str | None) -> tuple[float, float, float] | None:
    if text is None:
        return None
    mass, warm, water = _parts(text, "preferment", "300g,22C,100%", 3)
    return units.mass_g(mass, "preferment"), units.temperature_c(warm, "preferment"), units.fraction(water, "preferment", high=10.0)


def _titration(given: Given, made: Any) -> Any:
    if given["titration"] is None:
        return None
    sample, base, strength = _parts(given["titration"], "titration", "10g,12ml,0.1", 3)
    normality = plain(strength, "titration", 1e-4, 20.0, "mol/l")
    return made(units.mass_g(sample, "titration"), units.volume_l(base, "titration") * 1000.0, normality, given["acid"])


def _named(pairs: Sequence[str], reader: Any) -> dict[str, float]:
    """``--also yeast=1%``: what else is in a dough, each once, none of what has its own option."""
    found: dict[str, float] = {}
    for pair in pairs:
        name, equals, written = (part.strip() for part in pair.partition("="))
        if not equals or not name:
            raise BadBrief(f"also {pair!r} is not NAME=AMOUNT.", field="also", value=pair, limit="NAME=AMOUNT", remedy="Write it like yeast=1%.")
        key = name.lower().replace("-", " ")
        if key in _TAKEN or key in found:
            raise BadBrief(f"{name} is said twice." if key in found else f"{name} has its own place.", field="also", value=pair, limit="each once",
                           remedy="Say it once, in its own place.")  # fmt: skip
        found[key] = reader(written, "also")
    return found


def _count(text: str | None) -> int:
    if text is None:
        return 1
    if not text.strip().isdigit() or not 1 <= int(text) <= _MOST_LOAVES:
        raise BadBrief(f"pieces {text!r} is not a number of loaves.", field="pieces", value=text, limit=f"1 to {_MOST_LOAVES}", remedy="Write it like 2.")
    return int(text)


def _signed_h(text: str) -> float:
    """Hours more or less than usual: ``1h`` or ``-1h``."""
    bare = text.strip()
    less = bare[:1] in "-\u2212"
    return (-1.0 if less else 1.0) * units.duration_h(bare.lstrip("-+\u2212"), "head-start", high=24.0)


def _along(log: str | Path | None) -> tuple[list[float], list[float]]:
    """A record of the dough's own temperature; readings that were lost are bridged by their neighbours."""
    if log is None:
        return [], []
    read = read_log(Path(log))
    kept = ~np.isnan(read.celsius)
    if int(kept.sum()) < 2:
        raise BadBrief("The record has fewer than two readings.", field="log", value=int(kept.sum()), limit="2 or more", remedy="Give a log that went along with the dough.")
    return (read.seconds[kept] / units.HOUR_S).tolist(), read.celsius[kept].tolist()


def _said(key: str) -> str:
    return key.replace("_", " ")


def _option(key: str) -> str:
    return key.replace("_", "-")
