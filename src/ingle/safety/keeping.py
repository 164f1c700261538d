"""How long foods keep: published days, and the hours after which a forecast of growth or a rule for packs without air ends them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from ingle.ground.errors import BadBrief
from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S
from ingle.physics.growth_curve import LN10
from ingle.safety import botulism, germs, growth_forecast, growth_interface, hurdles
from ingle.safety.conditions import Conditions
from ingle.safety.growth_rate import perfringens, rate
from ingle.safety.growth_record import GrowthRecord, time_in

DAY_H = 24.0
FROZEN_C = -10.0  # a record that never rises above it is a freezer's: below every published range of growth here


@dataclass(frozen=True)
class Food:
    """A food that published guidance tells days of."""

    key: str
    name: str
    cooked: bool  # heated through before it is eaten
    germs: tuple[str, ...]
    cured: bool
    acid: bool
    hours: bool
    unmodelled: str


@dataclass(frozen=True)
class Days:
    """Published days of one food in one place; planned by the short end."""

    where: str
    low: float
    high: float
    source: str
    clause: str
    sure: str
    doubt: str


@dataclass(frozen=True)
class Ends:
    """One line that ends the keeping, in hours from its start; infinite where it never comes."""

    kind: str  # guidance | quality | growth | pack; quality: the food is poorer past it, by these days not harmful
    why: str
    hours: float
    source: str
    clause: str
    sure: str
    germ: str = ""


@cache
def foods() -> dict[str, Food]:
    """Every food, by key."""
    return {
        key: Food(key, said["name"], said["eaten"] == "cooked", tuple(said["germs"]), bool(said.get("cured")), bool(said.get("acid")),
                  bool(said.get("hours")), said.get("unmodelled", ""))
        for key, said in toml_table("limits", "keeping.toml")["food"].items()
    }  # fmt: skip


def food(key: str) -> Food:
    """One food, or a refusal that lists them."""
    if key not in foods():
        raise BadBrief(f"food {key!r} is not known. There are: {', '.join(foods())}.", field="part", value=key,
                       limit=", ".join(foods()), remedy="Name a part, a part file, or one of these foods.")  # fmt: skip
    return foods()[key]


def food_of_part(key: str) -> Food | None:
    """The food that a part's main product is, before its last cooking; None where the data names none."""
    said = toml_table("limits", "keeping.toml")["food"]
    return next((food(k) for k, v in said.items() if key in v.get("parts", ())), None)


def days(of: Food, where: str) -> Days | None:
    """Published days; None where nobody published any."""
    said = toml_table("limits", "keeping.toml").get(f"{of.key}-{where}")
    if said is None:
        return None
    return Days(where, said["limit"]["min"], said["limit"]["max"], said["source"], said["clause"], said["sure"], said.get("doubt", ""))


def reference_c() -> float:
    """Warmest fridge for which published days were given. [C]"""
    return float(toml_table("limits", "keeping.toml")["reference"]["limit"]["max"])


def core_share() -> float:
    """Share of the cure's salt taken to stand in the core. [1]"""
    return float(toml_table("limits", "keeping.toml")["core-share"]["limit"]["min"])


def by_growth(
    of: Food, record: GrowthRecord, c: Conditions, published: Days | None, *, meat: str = "pork", organisms: Iterable[str] | None = None
) -> tuple[Ends, ...]:  # fmt: skip
    """When each germ's forecast comes to its line, the record's last day going on.

    Eaten as it is: the display line. Cooked before it is eaten, and the germ's harm ends with the heat: the larger of the display
    line and what the same model tells for the published days at 40 F, at most the growth from which food is thrown away: a warmer
    fridge shortens the days, a colder one does not lengthen them.
    """
    out = []
    larger = lines(of, c, published, meat)
    for germ in of.germs if organisms is None else organisms:
        said = germs.line(germ)
        line, why = float(said["limit"]["max"]), "the display line"
        if germ in larger and published is not None:
            line = larger[germ]
            why = f"as much as {published.low:g} d at 40 F" if line < germs.throw_away() else "the most that a cook is asked to undo"
        law = perfringens(meat) if germ == "perfringens" else growth_interface.law(germ)
        hours = hours_until(germ, record, c, line, meat)
        out.append(Ends("growth", f"{germs.NAMES[germ]} by {line:.1f} log, {why}", hours, law["source"], "forecast of growth", law["sure"], germ))
    return tuple(out)


def lines(of: Food, c: Conditions, published: Days | None, meat: str = "pork") -> dict[str, float]:
    """Larger lines of germs whose harm ends with the heat, for a food that is cooked before it is eaten. [log10]"""
    if not of.cooked or published is None:
        return {}
    allowed = {g: np.floor(min(_at_reference(g, c, published.low, meat), germs.throw_away()) * 100) / 100 for g in of.germs if g not in germs.TOXIN_FORMERS}
    return {g: float(a) for g, a in allowed.items() if a > germs.line(g)["limit"]["max"]}


def why_larger(published: Days) -> str:
    """What to say of them."""
    return f"as much as {published.low:g} d at 40 F, at most {germs.throw_away():g} log; it is cooked before it is eaten"


def _at_reference(germ: str, c: Conditions, length_d: float, meat: str) -> float:
    """Growth told for the published days at the reference temperature, worst place. [log10]"""
    mu = rate(germ, np.array([reference_c()]), growth_forecast.wide(c), meat)
    return float(mu.max()) * length_d * DAY_H * HOUR_S / LN10


def hours_until(germ: str, record: GrowthRecord, c: Conditions, line: float, meat: str = "pork") -> float:
    """Hours from the record's start until a place has grown by ``line`` [log10], without lag or ceiling."""
    target = line * LN10
    found = np.inf
    for at in range(len(c.places)):
        seconds, done = growth_forecast.course(germ, record, c, at, meat)
        if done[-1] >= target:
            found = min(found, float(np.interp(target, done, seconds)))
        else:
            begin = max(seconds[-1] - DAY_H * HOUR_S, 0.0)
            pace = (done[-1] - float(np.interp(begin, seconds, done))) / (seconds[-1] - begin)
            found = min(found, seconds[-1] + (target - done[-1]) / pace if pace > 0 else np.inf)
    return float(found) / HOUR_S


def by_pack(record: GrowthRecord, c: Conditions, *, heated: bool = False) -> tuple[Ends, ...]:
    """When a pack without air ends: ten days at 3 to 8 C, and the shortest lag of non-proteolytic C. botulinum used up.

    A published hurdle met everywhere takes both away, as long as the pack stays at 8 C or below.
    """
    rule = toml_table("limits", "hurdles.toml")
    cold, warm = (float(rule[k]["limit"]["max"]) for k in ("vacuum-coldest", "vacuum-warmest"))
    too_warm = float(time_in(record, warm, 1e3).max()) > 0
    if hurdles.met_everywhere("vacuum", c, heated=heated) is not None and not too_warm:
        return ()
    ten = rule["vacuum-days"]
    dose = botulism.lag_dose(record)
    last = _last_day(record)
    pace = botulism.lag_dose(last) / last.hours
    lag = record.hours / dose if dose >= 1.0 else record.hours + (1.0 - dose) / pace if pace > 0 else np.inf
    kept = float(time_in(record, cold, 1e3).max()) / HOUR_S
    ends = float(ten["limit"]["max"]) * DAY_H + record.hours - kept if kept > 0 else np.inf
    law = toml_table("laws", "growth.toml")["botulinum_lag"]
    return (
        Ends("pack", "ten days of a pack without air and without a hurdle", ends, ten["source"], ten["clause"], ten["sure"], "botulinum-2"),
        Ends("pack", "the shortest lag of non-proteolytic Clostridium botulinum", lag, law["source"], law["clause"], law["sure"], "botulinum-2"),
    )  # fmt: skip


def _last_day(record: GrowthRecord) -> GrowthRecord:
    begin = max(float(record.seconds[-1]) - DAY_H * HOUR_S, 0.0)
    keep = record.seconds >= begin
    if keep.sum() < 2:
        keep[-2:] = True
    return GrowthRecord(record.seconds[keep] - record.seconds[keep][0], record.celsius[..., keep])


def by_guidance(of: Food, where: str) -> tuple[Ends, ...]:
    """The published days as a line; those of a freezer tell of quality."""
    found = days(of, where)
    if found is None:
        return ()
    span = f"{found.low:g} d" if found.low == found.high else f"{found.low:g} to {found.high:g} d, planned by the short end"
    return (Ends(kind_of(where), f"published guidance for {of.name}: {span}", found.low * DAY_H, found.source, found.clause, found.sure),)


def quality_only() -> dict[str, Any]:
    """Who says that days in a freezer are days of quality, and up to which temperature: ``limit.max`` [C], source, clause."""
    return dict(toml_table("limits", "keeping.toml")["frozen-quality"])


def kind_of(where: str) -> str:
    """What sort of line days in a place are: the published days of a freezer are days of quality."""
    return "quality" if where == "frozen" else "guidance"


def harms(lines: Iterable[Ends]) -> tuple[Ends, ...]:
    """Lines past which a food is not eaten: all but those of quality."""
    return tuple(line for line in lines if line.kind != "quality")


def first(lines: Iterable[Ends]) -> Ends | None:
    """The line that comes first; None where there is none, or none ever comes."""
    known = [line for line in lines if np.isfinite(line.hours)]
    return min(known, key=lambda line: line.hours, default=None)
