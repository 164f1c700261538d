"""What a cook says of heat and cold, in the words of ``cook`` and ``chill``, as a piece, its stages and its facts.

``given`` holds those words under the names of the options, None for what was not said; the command line and the page's form fill it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ingle.crafts.heat.joint import Joint
from ingle.crafts.heat.outside import ratio_at_wet_bulb
from ingle.crafts.heat.stage import Stage, usual_rest
from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.jobs.chill import Facts, joint_of_pot, to_the_end

if TYPE_CHECKING:
    from ingle.planning.kit import Kit, Oven

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)"


def joint_of(given: dict[str, Any], usual: str = "lean-pork") -> Joint:
    """The piece from the options."""
    length = lambda key: None if given[key] is None else units.length_mm(given[key], key)  # noqa: E731
    if given["thickness"] is not None and given["diameter"] is not None:
        raise BadBrief(
            "Thickness and diameter are both given.", field="diameter", value=given["diameter"], limit="one of both",
            remedy="Give the diameter of a round piece, the thickness of any other.",
        )  # fmt: skip
    shape = given["shape"] or ("cylinder" if given["diameter"] is not None else "box")
    return Joint(
        part=given["part"] or usual, shape=shape, weight_g=None if given["weight"] is None else units.mass_g(given["weight"], "weight"),
        thickness_mm=length("thickness") if given["diameter"] is None else length("diameter"), width_mm=length("width"), length_mm=length("length"),
        conductivity=plain(given["conductivity"], "conductivity", 0.01, 100.0, "W/m K"),
        density=plain(given["density"], "density", 100.0, 3000.0, "kg/m3"),
        specific_heat=plain(given["specific_heat"], "specific-heat", 500.0, 6000.0, "J/kg K"),
    )  # fmt: skip


def plain(given: str | None, field: str, low: float, high: float, unit: str) -> float | None:
    """A number whose one unit the option's help names; the unit may stand behind it."""
    if given is None:
        return None
    found = re.fullmatch(rf"\s*({_NUMBER}(?:[eE][-+]?\d+)?)\s*([A-Za-z].*)?\s*", given)
    said = re.sub(r"[\s/.()*^\u00b7]", "", (found.group(2) or "") if found else "").lower()
    if not found or said not in ("", re.sub(r"[\s/.()*^]", "", unit).lower()):
        raise BadBrief(
            f"{field} {given!r} is not a number in {unit}.", field=field, value=given, limit=f"in {unit}", remedy=f"Write it like {low * 2:g}, in {unit}."
        )
    value = float(found.group(1))
    if not low <= value <= high:
        raise OutOfRange(
            f"{field} is {value:g} {unit}; here it lies between {low:g} and {high:g}.", field=field, value=f"{value:g} {unit}",
            limit=f"{low:g} to {high:g} {unit}", remedy=f"Check the number and its unit: {unit}.",
        )  # fmt: skip
    return value


def kelvins(given: str | None, field: str) -> float:
    """A difference of temperatures, in C (or K); 1.8F is 1."""
    if given is None:
        return 0.0
    found = re.fullmatch(rf"\s*({_NUMBER})\s*[°º]?\s*([CcKkFf])\s*", given)
    if not found:
        raise BadBrief(f"{field} {given!r} is not a difference of temperatures.", field=field, value=given, limit="like 1C", remedy="Write it like 1C.")
    return float(found.group(1)) / (1.8 if found.group(2) in "Ff" else 1.0)


def seconds(given: str | None, field: str) -> float | None:
    """A duration."""
    return None if given is None else units.seconds(units.duration_h(given, field))


def named(rules: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Countries and rules by name, parted."""
    words = [w.strip().lower() for w in re.split(r"[,\s]+", rules) if w.strip()]
    countries = tuple(w for w in words if len(w) <= 3 or w == "codex")
    return countries, tuple(w for w in words if w not in countries)


def humidity_of(given: str | None, field: str = "humidity") -> float | None:
    """Relative humidity."""
    return None if given is None else units.fraction(given, field)


def film_of(given: dict[str, Any]) -> float | None:
    """The coefficient."""
    return plain(given["film"], "h", 0.5, 2000.0, "W/m2K")


def stage_line(s: Stage) -> str:
    """A stage in a few words."""
    end = f"to {s.until_c:g} C inside" if s.until_c is not None else units.show_hours(units.hours(s.lasts_s or 0.0))
    true = f" on the dial, {s.air_c + s.offset_c:g} C in the chamber" if s.offset_c else ""
    return f"{s.kind} {s.air_c:g} C{true}{', fan on' if s.fan else ''}, {end}{', wrapped' if s.wrapped else ''}"


def heat_stages(given: dict[str, Any]) -> tuple[Stage, ...]:
    """One stage of heat, and the rest."""
    places = [(k, given[k.replace("-", "_")]) for k in ("oven", "smoker", "water-bath") if given[k.replace("-", "_")] is not None]
    if len(places) != 1:
        raise BadBrief(
            "No oven is given." if not places else "More than one place to cook is given.", field="oven",
            value="missing" if not places else ", ".join(k for k, _ in places), limit="one of --oven, --smoker, --water-bath",
            remedy="Say what the dial shows: --oven 160C.",
        )  # fmt: skip
    if given["core"] is None and given["lasts"] is None:
        raise BadBrief("Neither core nor time is given.", field="core", value="missing", limit="like 71C", remedy="Say what the middle shall reach: --core 71C.")
    kind, air = places[0]
    air_c = units.temperature_c(air, kind)
    if given["humidity"] is not None and given["wet_bulb"] is not None:
        raise BadBrief("Humidity and wet bulb are both given.", field="wet-bulb", value=given["wet_bulb"], limit="one of both", remedy="Leave one of them out.")
    ratio = None if given["wet_bulb"] is None else ratio_at_wet_bulb(air_c, units.temperature_c(given["wet_bulb"], "wet-bulb"))
    ramp = seconds(given["heat_up"], "heat-up") or 0.0
    heat = Stage(
        kind, air_c, lasts_s=seconds(given["lasts"], "for"),
        until_c=None if given["core"] is None else units.temperature_c(given["core"], "core"), heat_up_s=ramp,
        from_c=20.0 if ramp else None, fan=given["fan"], runs=given["runs"] or "",
        offset_c=None if given["offset"] is None else kelvins(given["offset"], "offset"), support=given["support"] or "",
        film=film_of(given), humidity=humidity_of(given["humidity"]), ratio=ratio, wrapped=given["wrapped"],
    )  # fmt: skip
    if given["rest"] is None:
        return (heat,)
    return (heat, usual_rest(units.duration_h(given["rest"], "rest") * 60.0, wrapped=given["wrapped"]))


def oven_of(kit: Kit, which: str | None) -> Oven:
    """The oven of that key, or the only one of a kitchen.

    Raises
    ------
    BadBrief
        No such oven; or several, and none is named.
    """
    keys = tuple(o.key for o in kit.ovens)
    found = [o for o in kit.ovens if which in (None, o.key)]
    if len(found) != 1:
        raise BadBrief(
            f"{kit.name} has no oven {which!r}." if which else f"{kit.name} has {len(keys)} ovens.", field="which", value=which or "missing",
            limit=", ".join(keys) or "no oven", remedy=f"Name the one it is in: {' or '.join(keys)}." if keys else "Write [[oven]] in the kit, or leave the kit out.",
        )  # fmt: skip
    return found[0]


def in_oven(stages: Sequence[Stage], oven: Oven) -> tuple[Stage, ...]:
    """The stages as this oven has them: its fan, and how far its dial is off. What is said of a stage itself counts before."""
    return tuple(_in_oven(s, oven) if s.kind == "oven" else s for s in stages)


def _in_oven(s: Stage, oven: Oven) -> Stage:
    fanned = replace(s, fan=oven.fan if s.fan is None else s.fan)
    if s.offset_c is not None or s.runs or s.record is not None:
        return fanned
    return replace(fanned, offset_c=oven.offset_mean_c, offset_sd_c=oven.offset_sd_c)


def piece_or_pot(given: dict[str, Any]) -> tuple[Joint, str]:
    """The piece, or the pot."""
    liquid = given["liquid"] or ""
    if not liquid:
        if given["depth"] is not None:
            raise BadBrief("A depth is given, but no liquid.", field="depth", value=given["depth"], limit="with --liquid", remedy="Add --liquid still.")
        return joint_of(given), ""
    if given["diameter"] is None or given["depth"] is None:
        raise BadBrief(
            "A pot needs its diameter and how deep the liquid stands.", field="depth", value="missing", limit="like 120mm",
            remedy="Measure both: --diameter 240mm --depth 120mm.",
        )  # fmt: skip
    return joint_of_pot(units.length_mm(given["diameter"], "diameter"), units.length_mm(given["depth"], "depth"), liquid), liquid


def cold_stages(given: dict[str, Any], liquid: str) -> tuple[Stage, ...]:
    """Stages before, and the last one."""
    place = given["place"]
    usual = {"fridge": 4.0, "freezer": -18.0, "blast": -1.0, "ice-bath": 0.0, "cold-water": 12.0, "rest": 21.0}[place]
    air = usual if given["air"] is None else units.temperature_c(given["air"], "air")
    more: dict[str, Any] = {"fan": given["fan"], "film": film_of(given), "wrapped": given["wrapped"] or bool(liquid)}
    lasts = seconds(given["lasts"], "for")
    last = Stage(place, air, lasts_s=lasts, **more) if lasts is not None else to_the_end(place, air, **more)
    return (*(_first(text) for text in given["first"]), last)


def _first(text: str) -> Stage:
    """``ice-bath=0C,1h``."""
    place, eq, rest = text.partition("=")
    air, comma, lasts = rest.partition(",")
    if not eq or not comma:
        raise BadBrief(f"first {text!r} is not PLACE=TEMP,TIME.", field="first", value=text, limit="ice-bath=0C,1h", remedy="Write it like ice-bath=0C,1h.")
    return Stage(place.strip(), units.temperature_c(air, "first"), lasts_s=seconds(lasts, "first"), wrapped=True)


def start_of(given: dict[str, Any]) -> float:
    """Core at the beginning."""
    if given["start"] is None:
        raise BadBrief("No start is given.", field="start", value="missing", limit="like 72C", remedy="Say how hot the middle is: --start 72C.")
    return units.temperature_c(given["start"], "start")


def frozen_of(freezer: str, log: object, days: str | None) -> tuple[str, float | None]:
    """What ``--freezer`` says: the place a log is of, or the freezer's own temperature. [C]"""
    said = freezer.strip().lower()
    if log is not None:
        if said not in ("room", "core"):
            raise BadBrief(
                f"freezer {freezer!r} with a log: what is the log of?", field="freezer", value=freezer, limit="room or core",
                remedy="Say --freezer room for the freezer's air, --freezer core for a probe in the meat.",
            )  # fmt: skip
        if days is not None:
            raise BadBrief("Days and a log are both given.", field="days", value=days, limit="one of them", remedy="Leave the days out: the log tells them.")
        return said, None
    if said in ("room", "core"):
        raise BadBrief(f"freezer {said} needs its log.", field="log", value="missing", limit="--log FILE", remedy="Give --log FILE, or how cold it was: --freezer -20C.")
    if days is None:
        raise BadBrief("The days are missing.", field="days", value="missing", limit="like 20", remedy="Say how long it was frozen: --days 20.")
    return "room", units.temperature_c(freezer, "freezer")


def days_of(text: str) -> float:
    """Days; a bare number is days."""
    bare = text.strip().replace(",", ".")
    return float(bare) if bare.replace(".", "", 1).isdigit() else units.duration_h(text, "days", high=24.0 * 3650) / 24.0


def facts_of(given: dict[str, Any]) -> Facts:
    """What opens slower rules."""
    return Facts(
        None if given["nitrite"] is None else units.mg_per_kg(given["nitrite"], "nitrite"),
        None if given["brine"] is None else units.per_hundred(units.fraction(given["brine"], "brine")),
        plain(given["aw"], "aw", 0.3, 1.0, ""), given["ascorbate"], given["intact"], given.get("cooked"),
    )  # fmt: skip
