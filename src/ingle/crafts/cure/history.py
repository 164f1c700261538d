"""A cure as a chain of stages: salt, nitrite, nitrate, sugar and water in an ensemble of pieces.

Rub, rest, rinse, soak, dry: each stage has its time, its temperature and what it does to the surface. Forecast are salt in core,
whole and surface, nitrite, the weight after each stage, and the worst place, where salt in the water is lowest.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure import laws
from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.forecast import _KIND, _normal, _quasi_random, law, require_measured
from ingle.crafts.cure.mix import Mix
from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.things import Band, Piece
from ingle.physics import histories, nitrite_loss, surface_drying, water_activity
from ingle.physics.diffusivity import GAS_CONSTANT
from ingle.physics.histories import Depth, Pieces, Surface

Floats = NDArray[np.float64]
SOLUTES = ("salt", "nitrite", "nitrate", "sugar")
WET = ("rub", "bag", "turn", "top-up", "immerse", "soak")
AIR = ("pellicle", "dry", "smoke")
KINDS = (*WET, "pump", "drain", "rinse", "rest", *AIR)
CELLS, STEPS = 30, 40
POURS = 10  # times in a stage that its drip is poured off, dense at the start
FILM = 0.003  # water of the wet surface in which a rub first dissolves, per green weight (derived, docs/models/cure.md)
SOAK_WATER = 3.0  # water of a soak when none is given, per green weight (common practice)
USUAL_HUMIDITY = {"pellicle": 0.75, "smoke": 0.75}  # common practice, told as assumed
_SATURATED = np.array([np.nan, np.inf, np.inf, np.inf])


@dataclass(frozen=True)
class Record:
    """A temperature record of a stage: hours from its start, and C."""

    hours: Floats
    celsius: Floats

    def at(self, hour: float) -> float:
        """Temperature at an hour, on straight lines; the last one holds on. [C]"""
        return float(np.interp(hour, self.hours, self.celsius))


@dataclass(frozen=True)
class Stage:
    """One stage of a history."""

    kind: str
    lasts_h: float
    temperature_c: float = 4.0
    record: Record | None = None
    add: Mix = field(default_factory=lambda: Mix(()))
    drip: str = "kept"  # kept | poured (as it comes; what is still dry stays on until the end)
    humidity: float | None = None  # of the air, where it dries

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise BadBrief(
                f"stage kind {self.kind!r} is not known. There are: {', '.join(KINDS)}.",
                field="kind",
                value=self.kind,
                limit=", ".join(KINDS),
                remedy=f"Write one of {', '.join(KINDS)}.",
            )
        if self.drip not in ("kept", "poured"):
            raise BadBrief(
                f"drip {self.drip!r} is not known.",
                field="drip",
                value=self.drip,
                limit="kept, poured",
                remedy="Write kept or poured.",
            )
        if self.kind == "dry" and self.humidity is None:
            raise BadBrief(
                "A stage that dries needs the humidity of its air.",
                field="humidity",
                value="missing",
                limit="like 75%",
                remedy='Write humidity = "75%".',
            )

    def celsius(self, hour: float) -> float:
        """Temperature at an hour of the stage [C]."""
        return self.temperature_c if self.record is None else self.record.at(hour)


@dataclass(frozen=True)
class After:
    """What a stage leaves: weight against green weight, brine beside the meat, salt of the whole."""

    kind: str
    hours: float  # from the start
    change_pct: Band
    brine_g_per_kg: Band
    brine_strength: float  # salt per brine by weight, likely
    mean_salt: Band  # g per 100 g


@dataclass(frozen=True)
class Worst:
    """The place with the least salt in its water, likely values at the end."""

    place: str
    water_phase_salt_pct: float
    water_activity: float
    nitrite_mg_per_kg: float


@dataclass(frozen=True)
class Told:
    """A history as it comes out. Arrays along ``hours``; bands are (low, likely, high) at 5, 50 and 95 %."""

    hours: Floats
    core: tuple[Floats, Floats, Floats]  # g salt per 100 g
    mean: tuple[Floats, Floats, Floats]
    surface: tuple[Floats, Floats, Floats]
    nitrite_core: tuple[Floats, Floats, Floats]  # mg/kg
    change_pct: tuple[Floats, Floats, Floats]  # weight of the meat against green weight
    after: tuple[After, ...]
    worst: Worst
    profile: tuple[Floats, Floats]  # depth from the surface [mm] and salt [g/100 g] at the end, likely
    ready_h: (
        Floats  # of each member: first hour at which the core holds 90 % of the wished salt; infinite: not by the end
    )
    mean_of: Floats  # of each member, shape (times, members) [g/100 g]
    closes: float  # largest relative gap of any solute's account
    assumed: tuple[str, ...]
    hardening: float  # 0 to 1: how much the driest stage asks for a hard crust


@dataclass(frozen=True)
class _Members:
    """Draws of the prior, shape (M,)."""

    path: Floats
    d_ref: Floats
    e_a: Floats
    warmer: Floats
    taken: Floats
    swelling: Floats
    shrinking: Floats
    neutral: Floats
    purge: Floats
    slow: Floats
    d_water: Floats
    air: Floats
    ph: Floats


def run(
    piece: Piece,
    stages: tuple[Stage, ...],
    *,
    wished: float | None = None,
    members: int = 256,
    diffusivity: float | None = None,
    seen: Callable[[int, int], None] | None = None,
) -> Told:
    """Take a piece through its stages.

    Parameters
    ----------
    piece : Piece
        With its thickness. A piece under its rind takes and gives through the other face only.
    stages : tuple of Stage
        What is added counts on the green weight without skin.
    wished : float, optional
        Salt wished at the table, per green weight; all salt that was given when left out.
    members : int
        Members of the ensemble; one, everything at its middle, when ``diffusivity`` [m2/s] is given.
    seen : callable, optional
        Told stages done and stages in all.

    Raises
    ------
    OutOfRange
        Frozen or warm beyond the prior's range; a dose beyond what the water dissolves; no thickness.
    """
    if not stages:
        raise BadBrief(
            "The history has no stage.",
            field="stage",
            value="missing",
            limit="at least one",
            remedy='Write [[stage]] kind = "rub".',
        )
    _require_temperatures(stages)
    grams = base_of(piece).skin_free_g
    drawn = _draw(piece, members, diffusivity)
    cells = histories.depth(_KIND[piece.shape], CELLS)
    count = len(drawn.path)
    water0 = law()["water"]["lean"]["value"]
    now = histories.fresh(cells, np.full(count, water0), len(SOLUTES))
    total_salt = sum(s.add.salt for s in stages) / grams
    goal = 0.9 * (wished or total_salt) * float(np.mean(drawn.taken)) / water0 if total_salt else math.inf
    rows: list[tuple[Floats, ...]] = []
    when: list[float] = []
    after: list[After] = []
    assumed: list[str] = []
    given = np.zeros((len(SOLUTES), count))
    at, crust = 0.0, 0.0

    def note(hour: float, p: Pieces) -> None:
        when.append(hour)
        rows.append(_looked(p))

    def since(start: float) -> Callable[[float, Pieces], None]:
        return lambda second, p: note(start + second / units.HOUR_S, p)

    note(0.0, now)
    for number, stage in enumerate(stages):
        now, put = _begin(cells, now, stage, grams, drawn)
        given += put
        surface, dries, said = _surface(stage, drawn, cells)
        assumed += said
        if stage.lasts_h > 0:
            seconds = histories.steps_of(stage.lasts_h * units.HOUR_S, STEPS)
            as_it_comes = POURS if stage.drip == "poured" and surface.saturated is not None else 1
            for part in np.array_split(np.arange(1, len(seconds)), as_it_comes):
                now = histories.march(
                    cells,
                    now,
                    seconds[part[0] - 1 : part[-1] + 1],
                    _pace(stage, drawn),
                    _loss(stage, drawn),
                    surface,
                    water_pace=_water_pace(stage, drawn) if dries else None,
                    seen=since(at),
                )
                if as_it_comes > 1:
                    now = histories.pour(now, surface.saturated)
            at += stage.lasts_h
        crust = max(crust, _crust(stage, now) if dries else 0.0)
        if stage.drip == "poured" or stage.kind in ("immerse", "soak"):
            now = histories.pour(now)
        after.append(_after(stage, at, now))
        if seen is not None:
            seen(number + 1, len(stages))
    core, mean, surface_salt, nitrite, change, strength = (np.array(column) for column in zip(*rows, strict=True))
    return Told(
        hours=np.array(when),
        core=_band(core),
        mean=_band(mean),
        surface=_band(surface_salt),
        nitrite_core=_band(nitrite),
        change_pct=_band(change),
        after=tuple(after),
        worst=_worst(cells, now, stages[-1].celsius(stages[-1].lasts_h), drawn),
        profile=_profile(cells, now, drawn),
        ready_h=_first(np.array(when), strength, goal),
        mean_of=mean,
        closes=float(np.max(np.abs(now.total() - given) / np.maximum(given, 1e-12) * (given > 0))),
        assumed=tuple(dict.fromkeys(assumed)),
        hardening=crust,
    )


def soak_needed(
    piece: Piece, stages: tuple[Stage, ...], wished: float, *, longest_h: float = 336.0, members: int = 64
) -> Band | None:
    """Hours of soaking, after some stages, until the whole piece holds the wished salt when it is even again.

    Parameters
    ----------
    wished : float
        Wished salt of the finished tissue [1], 0.025 for 2.5 g per 100 g.
    longest_h : float
        Longest soak looked at [h], in three times the piece's weight of water, not changed.

    Returns
    -------
    Band or None
        5, 50 and 95 % of the members [h], the last not past the longest soak; None when half do not come there by then.
    """
    start = sum(s.lasts_h for s in stages)
    told = run(piece, (*stages, Stage("soak", longest_h)), members=members)
    later = told.hours >= start - 1e-9
    below = told.mean_of[later] <= wished * 100
    first = np.where(below.any(0), told.hours[later][below.argmax(0)] - start, np.inf)
    low, likely, high = (float(np.quantile(first, q, method="higher")) for q in (0.05, 0.5, 0.95))
    return Band(low, likely, high if math.isfinite(high) else longest_h) if math.isfinite(likely) else None


def _band(values: Floats) -> tuple[Floats, Floats, Floats]:
    """5, 50 and 95 % over the members at each time."""
    low, likely, high = np.quantile(values, (0.05, 0.5, 0.95), axis=1)
    return low, likely, high


def _draw(piece: Piece, members: int, diffusivity: float | None) -> _Members:
    prior, thickness = law(), require_measured(piece)
    half = _KIND[piece.shape] != "slab" or piece.skin == "none"
    path = units.metres(thickness) / (2 if half else 1)
    if diffusivity is None:
        z, u = _normal(members, 13)[:, :5], _quasi_random(members, 13)[:, 5:]
    else:
        z, u = np.zeros((1, 5)), np.full((1, 8), 0.5)
    salt, dry, ex = prior["salt"]["lean"], prior["drying"]["lean"], prior["exchange"]

    def between(said: dict, column: int) -> Floats:
        return said["low"] + (said["high"] - said["low"]) * u[:, column]

    return _Members(
        path=path * np.maximum(1 + prior["thickness"]["value"] * z[:, 0], 0.6),
        d_ref=salt["d_ref_m2_s"] * np.exp(math.log(salt["spread_gsd"]) * z[:, 1])
        if diffusivity is None
        else np.array([diffusivity]),
        e_a=np.maximum(salt["e_a_j_mol"] + salt["e_a_sd_j_mol"] * z[:, 2], 0.0) if diffusivity is None else np.zeros(1),
        warmer=prior["temperature"]["value"] * z[:, 3],
        taken=between(prior["taken"], 0) if diffusivity is None else np.ones(1),
        swelling=between(ex["swelling"], 1),
        shrinking=between(ex["shrinking"], 2),
        neutral=between(ex["neutral"], 3),
        purge=between(ex["purge"], 4),
        slow=between(ex["time"], 5),
        d_water=dry["d_ref_m2_s"] * np.exp(math.log(dry["spread_gsd"]) * z[:, 4]),
        air=between(prior["drying"]["air"], 6),
        ph=between(prior["meat"]["acidity"], 7),
    )


def _kelvin(stage: Stage, hour: float, drawn: _Members) -> Floats:
    low, high = law()["salt"]["lean"]["valid_c"]
    spread = drawn.warmer if stage.record is None else 0.3 * drawn.warmer  # a record leaves the sensor's own error
    return np.clip(stage.celsius(hour) + spread, low, high) + units.ZERO_CELSIUS_K


def _warmth(e_a: Floats | float, kelvin: Floats, ref_c: float) -> Floats:
    return np.exp(-np.asarray(e_a) / GAS_CONSTANT * (1 / kelvin - 1 / (ref_c + units.ZERO_CELSIUS_K)))


def _pace(stage: Stage, drawn: _Members) -> Callable[[float], Floats]:
    ratio = law()["solutes"]
    over = np.array([1.0, ratio["nitrite"], ratio["nitrate"], ratio["sugar"]])[:, None]
    ref = law()["salt"]["lean"]["t_ref_c"]

    def pace(second: float) -> Floats:
        d = drawn.d_ref * _warmth(drawn.e_a, _kelvin(stage, second / units.HOUR_S, drawn), ref)
        return over * (d / drawn.path**2)[None]

    return pace


def _water_pace(stage: Stage, drawn: _Members) -> Callable[[float], Floats]:
    dry = law()["drying"]["lean"]

    def pace(second: float) -> Floats:
        warm = _warmth(dry["e_a_j_mol"], _kelvin(stage, second / units.HOUR_S, drawn), dry["t_ref_c"])
        return drawn.d_water * warm / drawn.path**2

    return pace


def _loss(stage: Stage, drawn: _Members) -> Callable[[float], Floats]:
    half = laws.nitrite_half_life()
    nothing = np.zeros((len(SOLUTES), len(drawn.path)))

    def loss(second: float) -> Floats:
        rate = nothing.copy()
        rate[1] = nitrite_loss.loss_rate(_kelvin(stage, second / units.HOUR_S, drawn), drawn.ph, half)
        return rate

    return loss


def _begin(cells: Depth, now: Pieces, stage: Stage, grams: float, drawn: _Members) -> tuple[Pieces, Floats]:
    """What happens at the start of a stage: pour, add, wet, pump. Returns the pieces and what was given, shape (K, M)."""
    count = len(drawn.path)
    agents = stage.add
    put = (
        np.array(
            [
                agents.salt,
                agents.agent("NaNO2") + agents.agent("KNO2") * 68.9953 / 85.1038,
                agents.agent("NaNO3") + agents.agent("KNO3") * 84.9947 / 101.1032,
                agents.grams("sugar"),
            ]
        )[:, None]
        / grams
        * np.ones(count)
    )
    water = np.full(count, agents.grams("water") / grams)
    if stage.kind == "pump":
        return histories.pump(cells, now, water, put), put
    if stage.kind in ("drain", "rinse", "soak", "immerse", "rest", *AIR):
        now = histories.pour(now)
    if stage.kind == "soak" and not agents.grams("water"):
        water = np.full(count, SOAK_WATER)
    if stage.kind in ("rub", "bag", "top-up", "turn") and not agents.grams("water"):
        put = put * drawn.taken[None]
        wet = np.maximum(FILM - now.brine, 0.0)  # the surface wets the rub with its own water
        share = 1 - wet / now.water.sum(0)
        now = replace(now, water=now.water * share[None], brine=now.brine + wet)
    return histories.add(now, water, put), put


def _surface(stage: Stage, drawn: _Members, cells: Depth) -> tuple[Surface, bool, list[str]]:
    """What the surface meets, whether it dries, and what was assumed."""
    saturated = law()["salt"]["saturated"]["value"]
    ceiling = _SATURATED.copy()
    ceiling[0] = saturated
    water0 = law()["water"]["lean"]["value"]

    def tends(strength: Floats) -> Floats:
        weak = drawn.swelling * (1 - strength / drawn.neutral)
        strong = -drawn.shrinking * (strength - drawn.neutral) / (saturated - drawn.neutral)
        return water0 - drawn.purge + np.where(strength < drawn.neutral, weak, strong)

    if stage.kind in WET:
        middle = _pace(stage, drawn)(stage.lasts_h * units.HOUR_S / 2)[0]
        return Surface(saturated=ceiling, exchange=tends, exchange_s=drawn.slow / middle), False, []
    if stage.kind == "rinse":
        return Surface(endless=True), False, []
    humidity = stage.humidity if stage.humidity is not None else USUAL_HUMIDITY.get(stage.kind)
    said = (
        []
        if stage.humidity is not None or humidity is None
        else [f"humidity of the air while it hangs ({stage.kind}): {humidity:.0%}"]
    )
    if humidity is None or stage.kind not in (*AIR, "rest"):
        return Surface(open=False), False, said
    return Surface(open=False, drying=_drying(stage, humidity, drawn, cells)), True, said


def _drying(stage: Stage, humidity: float, drawn: _Members, cells: Depth) -> Callable[[Floats, Floats], Floats]:
    """Water that leaves a kg of green weight in a second, from the state of the outermost cell."""
    kelvin = np.maximum(_kelvin(stage, stage.lasts_h / 2, drawn), units.ZERO_CELSIUS_K)
    area = cells.order / (law()["density"]["value"] * drawn.path)  # m2 per kg of green weight
    salt_law, base, vapour, air = laws.salt_activity(), laws.meat_base(), laws.vapour(), laws.air()
    water0 = law()["water"]["lean"]["value"]
    fresh = water0 / (1 - water0)
    driest, wettest = (
        base.least_water_per_dry,
        base.most_water_per_dry,
    )  # drier than the law goes, the water activity is taken to fall with the water

    def leaves(strength: Floats, per_dry: Floats) -> Floats:
        crust = np.minimum(per_dry / driest, 1.0)
        per_dry = np.clip(per_dry, driest, wettest)
        aw = water_activity.mixed(
            water_activity.of_salt(strength, kelvin, salt_law, crystals=True),
            water_activity.of_meat(per_dry, fresh, base),
        )
        flux = surface_drying.drying_flux(
            aw * crust, kelvin, np.full_like(aw, humidity), kelvin, drawn.air, vapour, air
        )
        return np.maximum(flux, 0.0) * area

    return leaves


def _looked(p: Pieces) -> tuple[Floats, ...]:
    """Core, mean and surface salt [g/100 g], core nitrite [mg/kg], weight change [%], core salt per water [g/g]; each (M,)."""
    local = p.water + p.dry_matter + p.solute.sum(1)
    salt = p.solute[:, 0]
    return (
        salt[0] / local[0] * 100,
        salt.sum(0) / p.weight * 100,
        salt[-1] / local[-1] * 100,
        p.solute[0, 1] / local[0] * 1e6,
        (p.weight - 1) * 100,
        salt[0] / p.water[0],
    )


def _three(values: Floats) -> Band:
    low, likely, high = np.quantile(values, (0.05, 0.5, 0.95))
    return Band(float(low), float(likely), float(high))


def _after(stage: Stage, hours: float, p: Pieces) -> After:
    brine = p.brine + p.dissolved.sum(0)
    strength = np.where(
        p.brine > 0, np.minimum(p.dissolved[0] / np.maximum(p.brine, 1e-9), law()["salt"]["saturated"]["value"]), 0.0
    )
    return After(
        kind=stage.kind,
        hours=hours,
        change_pct=_three((p.weight - 1) * 100),
        brine_g_per_kg=_three(brine * 1000),
        brine_strength=float(np.quantile(strength / (1 + strength), 0.5)),
        mean_salt=_three(p.solute[:, 0].sum(0) / p.weight * 100),
    )


def _worst(cells: Depth, p: Pieces, celsius: float, drawn: _Members) -> Worst:
    phase = p.solute[:, 0] / (p.solute[:, 0] + p.water)
    likely = np.quantile(phase, 0.5, axis=1)
    k = int(np.argmin(likely))
    deep = (1 - cells.middle[k]) * float(np.quantile(drawn.path, 0.5)) * 1000
    place = "core" if k == 0 else "surface" if k == len(likely) - 1 else f"{deep:.0f} mm under the surface"
    water0 = law()["water"]["lean"]["value"]
    kelvin = max(celsius, 0.0) + units.ZERO_CELSIUS_K
    aw = water_activity.of_lean(
        _wet(p.water[k], p.dry_matter[k]),
        p.solute[k, 0],
        p.dry_matter[k],
        kelvin,
        laws.salt_activity(),
        laws.meat_base(),
        fresh=water0 / (1 - water0),
        crystals=True,
    )
    local = p.water[k] + p.dry_matter[k] + p.solute[k].sum(0)
    return Worst(
        place,
        float(likely[k]) * 100,
        float(np.quantile(aw, 0.5)),
        float(np.quantile(p.solute[k, 1] / local, 0.5)) * 1e6,
    )


def _wet(water: Floats, dry: Floats) -> Floats:
    """Water within the range of the law for meat's own solutes. [kg/kg]"""
    base = laws.meat_base()
    driest, wettest = base.least_water_per_dry, base.most_water_per_dry
    return np.clip(water, driest * dry, wettest * dry)


def _profile(cells: Depth, p: Pieces, drawn: _Members) -> tuple[Floats, Floats]:
    local = p.water + p.dry_matter + p.solute.sum(1)
    return (1 - cells.middle)[::-1] * float(np.quantile(drawn.path, 0.5)) * 1000, np.quantile(
        p.solute[:, 0] / local * 100, 0.5, axis=1
    )[::-1]


def _first(hours: Floats, strength: Floats, goal: float) -> Floats:
    """First hour at which each member's core holds the goal; straight lines between rows."""
    found = np.full(strength.shape[1], np.inf)
    for m in range(strength.shape[1]):
        over = np.flatnonzero(strength[:, m] >= goal)
        if len(over):
            i = over[0]
            if i == 0:
                found[m] = 0.0
                continue
            a, b = strength[i - 1, m], strength[i, m]
            found[m] = hours[i - 1] + (hours[i] - hours[i - 1]) * (goal - a) / (b - a)
    return found


def _crust(stage: Stage, p: Pieces) -> float:
    """How much the air of a stage asks for a hard crust, 0 to 1, from the surface it leaves."""
    humidity = stage.humidity if stage.humidity is not None else USUAL_HUMIDITY.get(stage.kind, 1.0)
    water0 = law()["water"]["lean"]["value"]
    kelvin = max(stage.celsius(stage.lasts_h), 0.0) + units.ZERO_CELSIUS_K
    aw = water_activity.of_lean(
        _wet(p.water[-1], p.dry_matter[-1]),
        p.solute[-1, 0],
        p.dry_matter[-1],
        kelvin,
        laws.salt_activity(),
        laws.meat_base(),
        fresh=water0 / (1 - water0),
        crystals=True,
    )
    return float(np.quantile(surface_drying.hardening(aw, np.full_like(aw, humidity), laws.hardening()), 0.5))


def _require_temperatures(stages: tuple[Stage, ...]) -> None:
    low, high = law()["salt"]["lean"]["valid_c"]
    for i, stage in enumerate(stages):
        values = (
            [stage.temperature_c]
            if stage.record is None
            else [float(stage.record.celsius.min()), float(stage.record.celsius.max())]
        )
        for value in values:
            if not low <= value <= high:
                raise OutOfRange(
                    f"stage[{i}] ({stage.kind}) is at {value:g} C; the forecast holds from {low:g} to {high:g} C"
                    + (" and for no frozen piece." if value < low else "."),
                    field=f"stage[{i}].temperature",
                    value=f"{value:g} C",
                    limit=f"{low:g} to {high:g} C",
                    remedy="Thaw the piece first."
                    if value < low
                    else "A fridge at 39 is most likely in F: write 39F."
                    if 30 < value < 60
                    else "Use a cooler place.",
                )
