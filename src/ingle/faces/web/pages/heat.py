"""Heat: when the middle is done, what it has come through; and how fast it gets cold, by every rule, with what makes it faster."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse

from ingle.crafts.heat import laws
from ingle.faces.heat_chart import heat_svg
from ingle.faces.heat_given import (
    cold_stages,
    facts_of,
    heat_stages,
    in_oven,
    joint_of,
    kelvins,
    oven_of,
    piece_or_pot,
    start_of,
)
from ingle.faces.web.forms import Typed, wrong_of
from ingle.faces.web.ink import in_page_ink
from ingle.faces.web.page import Wrong, show, state
from ingle.faces.web.pages.house import kit_path
from ingle.faces.words import tie, unit_words
from ingle.ground import units
from ingle.ground.errors import IngleError
from ingle.ground.tables import toml_table
from ingle.jobs.chill import ChillAnswer, chill
from ingle.jobs.cook import CLIMB_WORDS, CookAnswer, cook
from ingle.jobs.heat_rows import slowest_words
from ingle.jobs.house import METRIC, House
from ingle.planning.kit import Kit, read_kit
from ingle.planning.kit_words import about
from ingle.safety import cooling
from ingle.safety.cooling import Stage as RuleStage
from ingle.safety.verdict import Verdict, worst

router = APIRouter(include_in_schema=False)

_FORM = toml_table("tables", "heat_form.toml")
PARTS: tuple[tuple[str, str], ...] = tuple(_FORM["cuts"].items())
WHERE = (("oven", "oven"), ("smoker", "hot smoker"), ("water-bath", "water bath, in a bag"))
COLD = (("fridge", "fridge"), ("ice-bath", "ice bath"), ("cold-water", "cold water"), ("freezer", "freezer"), ("rest", "on the table"))
FAN = (("", "not known"), ("yes", "on"), ("no", "off"))
RUNS = (("", "not known"), ("true", "checked: true"), ("hot", "hot"), ("cool", "cool"))
ON = (("", "not said"), ("tray", "tray"), ("rack", "rack"))
WAS = (("", "as its heat tells"), ("yes", "yes, it was"), ("no", "never"))
POT = (("", "no pot"), ("still", "thick, left alone"), ("well-mixed", "thin, stirred"))
USUAL: dict[str, dict[str, str]] = _FORM["usual"]
_FIELDS = {
    "which": "in", "oven": "dial", "smoker": "dial", "water-bath": "dial", "for": "core", "h": "thickness", "composition": "part", "diameter": "thickness", "first": "ice", "brine": "brine",
}  # fmt: skip
_NONE: dict[str, Any] = dict.fromkeys(
    ("diameter", "width", "length", "shape", "film", "conductivity", "density", "specific_heat", "oven", "smoker", "water_bath", "humidity", "wet_bulb", "heat_up",
     "offset", "lasts", "liquid", "depth", "nitrite", "brine", "aw", "ascorbate", "intact", "core", "rest", "weight", "thickness", "air", "start", "runs", "support", "fan"),
)  # fmt: skip
_ORDER = {"over": 0, "near": 1, "cannot_say": 2, "within": 3}


@dataclass(frozen=True)
class Heat:
    """The question, and its answer where there is one."""

    template: ClassVar[str] = "heat.html"
    do: str
    typed: Mapping[str, str]
    cooked: CookAnswer | None
    cooled: ChillAnswer | None
    wide: Markup
    narrow: Markup
    verdicts: tuple[Verdict, ...]
    stages: tuple[RuleStage, ...]
    level: str
    told: tuple[tuple[str, str], ...]  # what is asked first: words, figure
    taken: tuple[str, ...]
    slowest: str
    deciding: str = ""  # the strictest rule of those asked, by its title
    first: str = ""  # its key: its stages stand first
    parts: tuple[tuple[str, str], ...] = PARTS
    where: tuple[tuple[str, str], ...] = WHERE
    cold: tuple[tuple[str, str], ...] = COLD
    fans: tuple[tuple[str, str], ...] = FAN
    runs: tuple[tuple[str, str], ...] = RUNS
    on: tuple[tuple[str, str], ...] = ON
    pots: tuple[tuple[str, str], ...] = POT
    was: tuple[tuple[str, str], ...] = WAS
    ovens: tuple[tuple[str, str], ...] = ()  # of the house's own kit: key, words

    @property
    def title(self) -> str:
        """The window's title."""
        return "Get it hot" if self.do == "cook" else "Get it cold"


@router.get("/heat")
def heat(request: Request, do: str = "cook") -> HTMLResponse:
    """Get it hot, or get it cold. All that is asked stands in the address: the answer can be kept, printed, sent."""
    _, shelf, session = state(request)
    house = shelf.house(session) or METRIC
    way = "cool" if do == "cool" else "cook"
    asked = {k: v.strip()[:60] for k, v in request.query_params.items() if k != "do"}
    kit = kit_of(request) if way == "cook" else None
    ovens = ovens_of(kit)
    if not asked:
        return show(request, _page(way, {k: house.like(v) for k, v in USUAL[way].items()} | ({"in": ovens[0][0]} if ovens else {}), ovens=ovens), here="drawer")
    try:
        given = _given(way, asked)
        page = _cook(asked, given, house, kit) if way == "cook" else _cool(asked, given, house)
    except IngleError as why:
        known = {k: k for k in asked} | {k: v for k, v in _FIELDS.items() if v in asked or v == "dial"}
        return show(request, _page(way, asked, ovens=ovens), here="drawer", errors=(wrong_of(why, known),), status=422)
    return show(request, replace(page, ovens=ovens), here="drawer")


def kit_of(request: Request) -> Kit | None:
    """What the house cooks with; None before there is a house, or where its file cannot be read."""
    _, shelf, session = state(request)
    lived = shelf.house(session)
    if lived is None:
        return None
    try:
        return read_kit(Path(kit_path(request, lived)))
    except IngleError:
        return None


def ovens_of(kit: Kit | None) -> tuple[tuple[str, str], ...]:
    """The ovens of which the kit says more than that they are there, and one more: another."""
    told = tuple((o.key, tie(about(o))) for o in (kit.ovens if kit else ()) if (o.fan, o.offset_mean_c) != (None, None))
    return (*told, ("", "another")) if told else ()


def _page(way: str, asked: Mapping[str, str], **more: Any) -> Heat:
    empty: dict[str, Any] = {
        "cooked": None, "cooled": None, "wide": Markup(""), "narrow": Markup(""), "verdicts": (), "stages": (), "level": "", "told": (), "taken": (), "slowest": "",
    }  # fmt: skip
    return Heat(way, Typed(asked), **(empty | more))


def _given(way: str, asked: Mapping[str, str]) -> dict[str, Any]:
    """The form in the words of the command: a bare number is millimetres, degrees of the house, kilograms never."""
    told = _NONE | {k: v for k, v in asked.items() if v}
    if told.get("liquid") and asked.get("thickness"):
        told["diameter"] = asked["thickness"]
    for key in ("thickness", "diameter", "depth"):
        if told[key] and told[key].replace(",", ".").replace(".", "", 1).isdigit():
            told[key] = f"{told[key]}mm"
    told["fan"] = {"yes": True, "no": False}.get(asked.get("fan", ""))
    told["support"] = asked.get("on") or None
    told["wrapped"] = asked.get("wrapped") == "yes"
    if way == "cook":
        told[asked.get("place", "oven").replace("-", "_")] = asked.get("dial") or None
    else:
        told |= {"place": asked.get("cold") or "fridge", "lasts": None, "first": (f"ice-bath=0C,{asked['ice']}",) if asked.get("ice") else ()}
        told["intact"] = None
        told["cooked"] = {"yes": True, "no": False}.get(asked.get("was", ""))
    return told


def _cook(asked: Mapping[str, str], given: dict[str, Any], house: House, kit: Kit | None) -> Heat:
    stages = heat_stages(given)
    if kit is not None and asked.get("in"):
        stages = in_oven(stages, oven_of(kit, asked["in"]))
    answer = cook(
        joint_of(given), stages, start_c=units.temperature_c(asked["start"], "start") if asked.get("start") else None,
        countries=house.rules, cured=asked.get("cured") == "yes", probe_error_c=abs(kelvins(asked.get("probe_error") or None, "probe_error")),
    )  # fmt: skip
    told = []
    if stages[0].offset_c or stages[0].fan:
        chamber = house.warmth(stages[0].air_c + (stages[0].offset_c or 0.0))
        told.append(("In the chamber", chamber + (", fan on" if stages[0].fan else "")))
    if answer.time_to_core is not None and answer.plateau_c is None:
        low, likely, high = (units.show_hours(units.hours(t)) for t in answer.time_to_core)
        told.append((f"Core {house.warmth(answer.core_c)} after", f"{likely}"))
        told.append(("Nine of ten such pieces", f"{low} to {high}"))
    if answer.plateau_c is not None:
        told.append(("The core stands in the end at", house.warmth(answer.plateau_c)))
    if answer.pull is not None:
        told.append(("Pull already at", f"{house.warmth(answer.pull.core_c)}, after {units.show_hours(units.hours(answer.pull.seconds))}, and no sooner: {CLIMB_WORDS} Leave the probe in"))
    if answer.heated.loss is not None:
        told.append(("Water given off", "{1:.0f} % of the weight ({0:.0f} to {2:.0f})".format(*(100 * v for v in answer.heated.loss))))
    found = tuple(sorted(answer.lethality, key=lambda v: (_ORDER[v.level], not v.more.get("strictest"))))
    level = worst(found) if found else "cannot_say"
    return _page(
        "cook", asked, cooked=answer, verdicts=found, stages=_sorted(answer.cooling), level=level, told=tuple(told), taken=_taken(answer),
        first=cooling.strictest(answer.cooling) if answer.cooling else "", slowest=slowest_words(answer.heated), **_charts(answer, answer.core_c),
    )  # fmt: skip


def _cool(asked: Mapping[str, str], given: dict[str, Any], house: House) -> Heat:
    joint, liquid = piece_or_pot(given)
    answer = chill(joint, cold_stages(given, liquid), start_c=start_of(given), facts=facts_of(given), countries=house.rules, liquid=liquid)
    told = []
    for limit in (60.0, 21.0, 5.0):
        seconds = answer.as_dict()["to_5c_s"] if limit == 5.0 else _reached(answer, limit)
        if seconds is not None:
            told.append((f"Core down to {house.warmth(limit)} after", units.show_hours(units.hours(seconds))))
    return _page(
        "cool", asked, cooled=answer, stages=_sorted(answer.stages), level=answer.level, told=tuple(told), taken=_taken(answer),
        deciding=answer.deciding, first=answer.strictest, slowest=slowest_words(answer.heated) if answer.heated else "", **_charts(answer, None),
    )  # fmt: skip


def _reached(answer: ChillAnswer, limit: float) -> float | None:
    """When the core first stands at ``limit`` or below. [s]"""
    assert answer.heated is not None
    c = answer.heated.curves
    below = [i for i, v in enumerate(c.core) if v <= limit]
    return float(c.seconds[below[0]]) if below and below[0] else None


def _charts(answer: CookAnswer | ChillAnswer, goal: float | None) -> dict[str, Markup]:
    assert answer.heated is not None
    name = dict(PARTS).get(answer.heated.joint.part, answer.heated.joint.part)
    title = name[0].upper() + name[1:]
    return {
        key: in_page_ink(heat_svg(answer.heated, title=title, goal=goal, narrow=key == "narrow")) for key in ("wide", "narrow")
    }  # fmt: skip


def _sorted(stages: tuple[RuleStage, ...]) -> tuple[RuleStage, ...]:
    return tuple(sorted(stages, key=lambda s: (not s.strictest, _ORDER[s.level], s.rule)))


def _taken(answer: CookAnswer | ChillAnswer) -> tuple[str, ...]:
    """What was taken in place of what was not said, each with its spread and how sure it is."""
    found = []
    for a in answer.assumed:
        value = "" if a.likely is None else f" {a.likely:.3g}"
        spread = "" if a.low is None or a.high is None else f" ({a.low:.3g} to {a.high:.3g})"
        found.append(f"{a.what}:{value}{spread} {unit_words(a.unit)}".rstrip() + (f"; {a.words}" if a.words else "") + f" [{a.sure}]")
    return tuple(found)


def known_parts() -> tuple[str, ...]:
    """Cuts the form offers; each is known to the laws of heat (a test asks)."""
    return tuple(key for key, _ in PARTS if laws.composition(key))


__all__ = ["Heat", "Wrong", "heat", "kit_of", "known_parts", "ovens_of", "router"]
