"""Which numbers were taken in place of what nobody said, and from where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ingle.crafts.heat import draw, laws
from ingle.crafts.heat.forecast import known_of
from ingle.crafts.heat.joint import Joint, Sizes, density
from ingle.crafts.heat.outside import humidity_of
from ingle.crafts.heat.stage import LIQUID, Stage, said
from ingle.physics import matter


@dataclass(frozen=True)
class Assumed:
    """One number that was taken. ``low`` and ``high`` are None where it does not differ between members."""

    what: str
    likely: float | None
    low: float | None
    high: float | None
    unit: str
    source: str
    sure: str
    words: str = ""


def assumed(joint: Joint, told: Sizes, stages: Sequence[Stage]) -> tuple[Assumed, ...]:
    """Everything the forecast took that was not given."""
    found = [Assumed("shape", None, None, None, "", "ingle-oven-prior", "derived", w) for w in told.words]
    if not joint.given:
        found += _meat(joint)
    pinned = known_of(joint, stages)
    if "size" not in pinned:
        sd = 100.0 * said("size")["sd"]
        found.append(Assumed("thickness, as measured", 0.0, -1.645 * sd, 1.645 * sd, "%", said("size")["source"], said("size")["sure"]))
    if "pace" not in pinned:
        t = said("pace")
        spread = float(np.exp(1.645 * t["sd"]))
        found.append(Assumed("time, as joints of one print differ", 1.0, 1.0 / spread, spread, "times", t["source"], t["sure"]))
    if told.aspect_open:
        t = said("rounding")
        found.append(Assumed("thickness that counts, of the thickest place", 50.0 * (t["low"] + t["high"]), 100.0 * t["low"], 100.0 * t["high"], "%", t["source"], t["sure"]))
    for i, s in enumerate(stages):
        found += _stage(s, "" if len(stages) == 1 else f"stage {i + 1}, {s.kind}: ")
    return tuple(found)


def _meat(joint: Joint) -> list[Assumed]:
    law, cut = laws.matter(), laws.composition(joint.part)
    k20, c20 = (float(f(cut, law, 20.0)) for f in (matter.conductivity, matter.sensible_heat))
    found = []
    if joint.conductivity is None:
        spread = float(np.exp(1.645 * law.scatter))
        found.append(Assumed("conductivity at 20 C", k20, k20 / spread, k20 * spread, "W/m K", "choi-okos-1986", "derived", f"from {cut.name}"))
    if joint.specific_heat is None:
        found.append(Assumed("specific heat at 20 C", c20, None, None, "J/kg K", "choi-okos-1986", "derived", "and what melts"))
    if joint.density is None:
        found.append(Assumed("density", density(joint), None, None, "kg/m3", "choi-okos-1986", "derived"))
    sd = 100.0 * said("water")["sd"]
    found.append(Assumed("water", 100.0 * cut.water, 100.0 * cut.water - 1.645 * sd, 100.0 * cut.water + 1.645 * sd, "%", cut.source, cut.sure))
    return found


def _stage(s: Stage, where: str) -> list[Assumed]:
    found = []
    if s.film is None:
        first, last = (laws.film(key) for key in s.film_range())
        films = first.about if first is last else f"{first.about} or {last.about}: not said which"
        found.append(Assumed(f"{where}heat transfer at the face", float(np.sqrt(first.low * last.high)), first.low, last.high, "W/m2K",
                             last.source, last.sure, films + ("" if s.kind in LIQUID else ", radiation in it")))  # fmt: skip
        if s.support == "" and s.kind in ("oven", "smoker"):
            t = said("oven")["support"]
            found.append(Assumed(f"{where}share of it that reaches the piece", None, t["low"], t["high"], "1", t["source"], t["sure"], "tray or rack: not said"))
    mean, sd = s.offset()
    if sd and s.offset_c is None:
        t = said("oven")[s.runs or "offset"] if s.kind in ("oven", "smoker") else said("room")
        found.append(Assumed(f"{where}air beyond its dial", mean, mean - 1.645 * sd, mean + 1.645 * sd, "K", t["source"], t["sure"]))
    open_air = s.kind not in LIQUID and not s.wrapped and not (s.film is not None and s.humidity is None and s.ratio is None)
    if open_air and s.humidity is None and s.ratio is None:
        w = humidity_of(s, draw.ensemble(frozenset({"film"}), 64))
        t = said({"oven": "air", "rest": "room", "fridge": "fridge_air", "freezer": "fridge_air", "blast": "fridge_air"}.get(s.kind, "smoker_air"))
        low, high = (float(v) for v in np.quantile(w, (0.05, 0.95)))
        found.append(Assumed(f"{where}water in the air", float(np.median(w)), low, high, "kg/kg dry air", t["source"], t["sure"]))
    if open_air:
        t = said("crust")
        found.append(Assumed(f"{where}dried layer against still air", t["likely"], t["low"], t["high"], "times slower", t["source"], t["sure"]))
    return found
