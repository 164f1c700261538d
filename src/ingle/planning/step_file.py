"""Reading the steps of a part file."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.sources import SURE
from ingle.ground.tables import toml_table
from ingle.ground.things import Band
from ingle.planning import fields, values
from ingle.planning.fields import Fields
from ingle.planning.parts import FORECASTS, After, Bare, Fresh, KitUse, Roast, SignSpec, StepSpec, TendSpec

STEP_KEYS = (
    "key",
    "name",
    "say",
    "after",
    "lasts",
    "bare",
    "hands",
    "tend",
    "kit",
    "waits_in",
    "fresh",
    "core",
    "look_for",
    "if_not",
    "caution",
    "sure",
    "source",
)
LASTS_KEYS = ("low", "likely", "high", "most", "forecast", "cut", "thickness")
HANDS_KEYS = ("start", "end", "per_piece", "per_plate")
AFTER_KEYS = ("step", "min", "max")
TEND_KEYS = ("name", "every", "lasts", "slack")
FRESH_KEYS = ("rest", "best", "last")
SIGN_KEYS = ("sign", "act", "adds")
BARE_KEYS = ("name", "say")
_AMOUNTS = ("litres", "litres_per_kg", "shelves", "shelves_per_kg", "rails", "rails_per_kg", "amount")
KIT_KEYS = ("use", "mode", *_AMOUNTS, "of")


def words_of(key: str) -> str:
    """A key as words: ``smoked-ham`` is smoked ham."""
    return key.replace("-", " ")


@dataclass(frozen=True)
class Caution:
    """One sentence for the step where it matters."""

    key: str
    say: str
    sure: str
    source: str = ""


@cache
def cautions() -> dict[str, Caution]:
    """The shipped cautions by key."""
    return {
        key: Caution(key, said["say"], said["sure"], said.get("source", ""))
        for key, said in toml_table("cautions.toml").items()
    }


def read_step(f: Fields, part_name: str) -> StepSpec:
    """One ``[[step]]`` of a part file."""
    key = f.key("key")
    forecast, lasts, most = _lasts(f)
    hands = f.table("hands", HANDS_KEYS, fields.Fields(f.at("hands"), {}))
    per_plate_h = hands.quantity(units.duration_h, "per_plate", 0.0, example="20s")
    kit = tuple(_use(u) for u in f.tables("kit", KIT_KEYS))
    core = f.temperature_c("core", None, low=-30, high=300)
    return StepSpec(
        key,
        f.text("name", f"{words_of(key).capitalize()} the {part_name.lower()}", longest=80),
        lasts,
        most,
        forecast,
        f.words("say"),
        tuple(_after(a) for a in f.tables("after", AFTER_KEYS)),
        hands.minutes("start", 0, high_h=24),
        hands.minutes("end", 0, high_h=24),
        hands.minutes("per_piece", 0, high_h=24),
        60 * per_plate_h,
        _tend(f),
        kit,
        _waits(f, kit),
        _fresh(f),
        core,
        f.text("look_for", ""),
        tuple(
            SignSpec(s.text("sign"), s.text("act"), s.minutes("adds", 0))
            for s in f.tables("if_not", SIGN_KEYS)
        ),
        f.words("caution", known=tuple(cautions()), what="a caution known here"),
        f.choice("sure", SURE, "common practice"),
        f.text("source", "", longest=300),
        _bare(f),
        _roast(f, forecast),
    )


def _roast(f: Fields, forecast: str | None) -> Roast | None:
    """Beside ``forecast = "cook"``: the cut, and how thick where it lies in slices."""
    t = f.table("lasts", LASTS_KEYS)
    if forecast == "cook":
        return Roast(t.choice("cut", tuple(toml_table("laws", "thermal.toml")["composition"])), t.length_mm("thickness", None, high=500.0))
    t.only_with(
        ("cut", "thickness"), "is asked only by a forecast of the core.", limit='with forecast = "cook"', remedy='Write forecast = "cook" beside it, or take it out.'
    )
    return None


def _bare(f: Fields) -> Bare | None:
    if not f.has("bare"):
        return None
    inner = f.table("bare", BARE_KEYS, example='{ name = "Trim the piece" }')
    return Bare(inner.text("name", longest=80), inner.words("say"))


def _lasts(f: Fields) -> tuple[str | None, Band | None, int | None]:
    t = f.table("lasts", LASTS_KEYS, example='{ likely = "45min" }')
    forecast = t.choice("forecast", FORECASTS, None)
    likely = t.minutes("likely", fields.NEEDED if forecast is None else None)
    most = t.minutes("most", None)
    if likely is None:
        t.only_with(("low", "high"), "stands without likely.", limit="low, likely, high", remedy="Write likely too, or take it out.")
        return forecast, None, most
    band = Band(t.minutes("low", likely), likely, t.minutes("high", likely))
    rising(t.path, (("low", band.low), ("likely", band.likely), ("high", band.high)), "min")
    rising(t.path, (("likely", band.likely), ("most", most)), "min")
    return forecast, band, most


def rising(path: str, ends: tuple[tuple[str, float | None], ...], unit: str) -> None:
    """Each of the values given is at least the one before."""
    known = [(name, value) for name, value in ends if value is not None]
    for (before, less), (name, value) in pairwise(known):
        if value < less:
            values.refuse(
                f"{path}.{name}",
                f"{value:g} {unit}".rstrip() + f" is below {before}, {less:g} {unit}".rstrip() + ".",
                value=f"{value:g} {unit}".strip(),
                limit=f"at least {less:g} {unit}".strip(),
                remedy=f"Write them in rising order: {', '.join(n for n, _ in ends)}.",
                kind=OutOfRange,
            )


def _after(f: Fields) -> After:
    least, most = f.minutes("min", 0), f.minutes("max", None)
    rising(f.path, (("min", least), ("max", most)), "min")
    return After(f.text("step", example='"proof"', longest=121), least, most)


def _tend(f: Fields) -> TendSpec | None:
    t = f.table("tend", TEND_KEYS, None)
    if t is None:
        return None
    tend = TendSpec(
        t.text("name", longest=80),
        t.minutes("every", zero=False),
        t.minutes("lasts", zero=False),
        t.minutes("slack", 0),
    )
    if tend.every_min < 2 * tend.slack_min + tend.lasts_min:
        values.refuse(
            t.at("slack"),
            f"{tend.slack_min} min either way lets two visits meet.",
            value=f"{tend.slack_min} min",
            limit=f"{(tend.every_min - tend.lasts_min) // 2} min",
            remedy="Come less often, or allow less slack.",
            kind=OutOfRange,
        )
    return tend


def _use(f: Fields) -> KitUse:
    use = f.key("use")
    said = [key for key in _AMOUNTS if f.has(key)]
    if len(said) > 1:
        values.refuse(
            f.path, f"says {' and '.join(said)}.", value=said, limit="one of them", remedy="Keep one amount."
        )
    mode = f.temperature_c("mode", None, low=20, high=400)
    of = f.key("of", None)
    if not said:
        if use in ("fridge", "freezer"):
            values.refuse(
                f.at("litres_per_kg"),
                "is missing.",
                value=None,
                limit="litres or litres_per_kg",
                remedy="Write litres_per_kg = 2, or litres = 5.",
            )
        return KitUse(use, 1, None, of, None if mode is None else round(mode))
    key = said[0]
    if key == "litres" and isinstance(f.given[key], str):
        amount: float = values.quantity(units.volume_l, f.given[key], f.at(key), "5l")
    else:
        amount = f.number(key, low=0.01, high=10_000)
    if key.endswith("_per_kg"):
        return KitUse(use, None, amount, of, None if mode is None else round(mode))
    return KitUse(use, max(1, -int(-amount // 1)), None, of, None if mode is None else round(mode))


def _waits(f: Fields, kit: tuple[KitUse, ...]) -> tuple[KitUse, ...]:
    if f.given.get("waits_in") == "same":
        if not kit:
            values.refuse(
                f.at("waits_in"),
                "is the same, but the step holds no kit.",
                value="same",
                limit="kit of this step",
                remedy='Name the place: waits_in = [{ use = "fridge", litres_per_kg = 2 }].',
            )
        return kit
    if isinstance(f.given.get("waits_in"), str):
        values.unknown(
            f.at("waits_in"), f.given["waits_in"], ("same",), 'a place; write "same" or a list of kit'
        )
    return tuple(_use(u) for u in f.tables("waits_in", KIT_KEYS))


def _fresh(f: Fields) -> Fresh:
    t = f.table("fresh", FRESH_KEYS, None)
    if t is None:
        return Fresh()
    fresh = Fresh(t.minutes("rest", 0), t.minutes("best", None), t.minutes("last", None))
    rising(t.path, (("rest", fresh.rest_min), ("best", fresh.best_min), ("last", fresh.last_min)), "min")
    return fresh
