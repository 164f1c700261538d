"""A rind through fridge and oven, told with its spread: weights, water, temperature, when it can puff and what stops it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.crafts._lines import band, require
from ingle.crafts.skin.laws import rind, rind_laws
from ingle.crafts.skin.members import MEMBERS, SALT_KEPT, Members, Programme, area_m2, draw
from ingle.crafts.skin.things import Skin
from ingle.ground.things import Band
from ingle.ground.units import HOUR_S, grams
from ingle.physics import rind as march_of
from ingle.physics.rind import Path, State
from ingle.physics.rind_laws import Around, activity

Floats = NDArray[np.float64]
_TOLERANCE, _HEED = 5e-3, 0.95  # of a step, and the share of members that must keep it: chances as with all of them at 2e-3
_MINUTE_S = 60.0


@dataclass(frozen=True)
class Curve:
    """5, 50 and 95 % along the oven, from when it goes in."""

    minutes: tuple[float, ...]
    water_pct: tuple[tuple[float, float, float], ...]  # of the skin without its fat layer [g/100 g]
    celsius: tuple[tuple[float, float, float], ...]  # mean of the skin
    puffed: tuple[float, ...]  # share of members [1]


@dataclass(frozen=True)
class Told:
    """The forecast of one rind."""

    raw_g: float
    after_fridge_g: Band | None  # forecast, also where it was weighed
    fridge_curve: tuple[tuple[float, float, float, float], ...]  # h, low, likely, high [g]
    weighed_g: float | None
    into_oven_pct: Band  # water of the skin as it goes into the oven [g/100 g]
    curve: Curve
    chance: float  # that half the skin or more puffs [1]
    puff_min: Band | None  # minute in the oven, of those that do
    causes: dict[str, float]  # share of members: wet when the oven cools, never hot enough, boiled inside, too dry to blow up [1]
    water_end_pct: Band
    rendered: float  # share of the fat that has run off: an order, not a measurement [1]
    crackling_g: Band
    face_above_200_min: float  # likely minutes the face stands above 200 degC
    recrisp_min: Band | None  # minute at which soft crackling is crisp again
    recrisp_chance: float | None


def forecast(
    skin: Skin, programme: Programme, *, fat_mm: float = 0.0, salt_rubbed_g: float = 0.0, dried_g: float | None = None,
    water_known: bool = False, thickness_known: bool = True, members: int = MEMBERS,
) -> Told:  # fmt: skip
    """March an ensemble of one rind through its programme.

    Parameters
    ----------
    fat_mm : float
        Layer of fat left below the skin, beside the skin's own thickness; its weight is part of ``skin.raw_g``.
    salt_rubbed_g : float
        Rubbed on before the fridge; half of it is taken to stay (assumed).
    dried_g : float, optional
        Weighed after the fridge, salt brushed off: overrides the forecast.
    water_known : bool
        Whether ``skin.water_per_skin`` was measured; else it is spread over its band.
    thickness_known : bool
        Whether the thickness was measured; else it is spread over 2 to 4 mm.
    """
    require(fat_mm, "fat layer", 0.0, 10.0, "mm", "Scrape it down to 2 to 5 mm.")
    require(salt_rubbed_g, "salt rubbed on", 0.0, 0.3 * skin.raw_g, "g")
    kept = SALT_KEPT * salt_rubbed_g
    all_of = draw(skin, programme, fat_mm, kept, dried_g, water_known, thickness_known, members)
    laws = rind_laws()
    state = march_of.start(all_of.rinds, all_of.fridge_c, laws)
    area = area_m2(skin, _per_area(state), kept)
    after: Band | None = None
    rows: tuple[tuple[float, float, float, float], ...] = ()
    if all_of.fridge is not None:
        path, weights = _fridge(state, all_of.fridge, area)
        state, after = path.end, _band(weights[-1])
        rows = tuple((float(s) / HOUR_S, *_three(w)) for s, w in zip(path.seconds, weights, strict=True))
    if dried_g is not None:
        S = state.body.skin
        dry = (state.body.dry * state.body.width)[:, :S].sum(-1)
        rest = _per_area(state) - (state.water * state.body.width)[:, :S].sum(-1) - dry
        state = march_of.weighed(state, np.maximum((dried_g / grams(1.0) / area - rest - dry) / dry, 0.005), laws)
    into = march_of.mean_water(state)
    begun = state.seconds
    paths, state, wet, hot = _oven(state, all_of)
    puffed = np.isfinite(state.puffed_at)
    rendered = _rendered(state.dose)
    fat = (state.body.fat * state.body.width).sum(-1)
    share, whole = band("skin", "fat_run_off"), _per_area(state)
    mass = [grams(1.0) * area * (whole - r * fat) for r in (share.high, float(np.median(rendered)), share.low)]
    crisp_min, crisp_chance = _crisp_again(state, all_of)
    return Told(
        raw_g=skin.raw_g, after_fridge_g=after, fridge_curve=rows, weighed_g=dried_g, into_oven_pct=_percent(into),
        curve=_curve(paths, begun), chance=float(puffed.mean()),
        puff_min=_band((state.puffed_at[puffed] - begun) / _MINUTE_S) if puffed.any() else None,
        causes=_causes(state, wet, hot), water_end_pct=_percent(march_of.mean_water(state)), rendered=float(np.median(rendered)),
        crackling_g=Band(float(np.quantile(mass[0], 0.05)), float(np.median(mass[1])), float(np.quantile(mass[2], 0.95))),
        face_above_200_min=_minutes_above(paths, 200.0), recrisp_min=crisp_min, recrisp_chance=crisp_chance,
    )  # fmt: skip


def _fridge(state: State, around: Around, area: Floats) -> tuple[Path, list[Floats]]:
    path = march_of.march(state, around, rind_laws(), rows=24, tolerance=_TOLERANCE, heed=_HEED)
    S = state.body.skin
    dry = (state.body.dry * state.body.width)[:, :S].sum(-1)
    rest = _per_area(path.end) - march_of.mean_water(path.end) * dry  # fat layer's water stays in the cold
    return path, [grams(1.0) * area * (rest + X * dry) for X in path.water]


def _oven(state: State, all_of: Members) -> tuple[list[Path], State, Floats, NDArray[np.bool_]]:
    """Paths of the stages, the end, the water left when the oven last was hot enough to puff [kg/kg], and whether it ever was."""
    laws, paths = rind_laws(), []
    wet = march_of.mean_water(state)
    hot: NDArray[np.bool_] = np.any([stage.air_c >= laws.puff_c for stage in all_of.oven], axis=0)
    for stage in all_of.oven:
        rows = max(4, min(40, round(stage.seconds / _MINUTE_S)))
        path = march_of.march(state, stage, laws, rows=rows, tolerance=_TOLERANCE, heed=_HEED)
        state = path.end
        wet = np.where(stage.air_c >= laws.puff_c, path.water[-1], wet)
        paths.append(path)
    return paths, state, wet, hot


def _causes(state: State, wet: Floats, hot: NDArray[np.bool_]) -> dict[str, float]:
    """Share of members by what kept half their skin from puffing."""
    laws, S = rind_laws(), state.body.skin
    part = state.body.width[:, :S] / state.body.width[:, :S].sum(-1, keepdims=True)
    failed = ~np.isfinite(state.puffed_at)
    boiled = failed & state.leaky() & hot
    dry = failed & ~boiled & ((part * (state.moist_when_hot[:, :S] < laws.puff_low)).sum(-1) > 0.25)
    damp = failed & ~boiled & ~dry & (wet > 1.02 * laws.held)
    cool = failed & ~boiled & ~dry & ~damp
    return {k: float(v.mean()) for k, v in (("wet", damp), ("cool", cool), ("boiled", boiled), ("dry", dry))}


def _crisp_again(state: State, all_of: Members) -> tuple[Band | None, float | None]:
    """Soft crackling, at the activity where its brittleness goes, through the second oven: when it is below that span."""
    if all_of.recrisp is None:
        return None, None
    laws, said = rind_laws(), rind("crisp")
    salt, protein = (x[:, :1] / state.body.dry[:, :1] for x in (state.body.salt, state.body.protein))
    X = np.linspace(1e-4, 1.0, 400)[None, :]
    a = activity(X, salt, protein, np.asarray(25.0), laws)
    soft, done = (np.array([np.interp(level, row, X[0]) for row in a]) for level in (said["middle"], said["middle"] - said["span"]))
    begun = march_of.weighed(state, np.minimum(soft, 0.9 * state.body.water[:, 0] / state.body.dry[:, 0]), laws, 20.0)
    path = march_of.march(begun, all_of.recrisp, laws, rows=30, tolerance=_TOLERANCE, heed=_HEED)
    below = path.water <= done[None, :]
    ok = below.any(0)
    at = (path.seconds[below.argmax(0)] - path.seconds[0]) / _MINUTE_S
    return (_band(at[ok]) if ok.any() else None), float(ok.mean())


def _rendered(dose: Floats) -> Floats:
    """Share of the fat run off, between the ends of its band: only its order is modelled. [1]"""
    share, half = band("skin", "fat_run_off"), rind("rendering")["half_k_h"] * HOUR_S
    return np.asarray(share.low + (share.high - share.low) * dose / (dose + half))


def _per_area(state: State) -> Floats:
    """Weight of skin and fat layer. [kg/m2]"""
    return np.asarray(((state.body.dry + state.water) * state.body.width).sum(-1))


def _curve(paths: list[Path], begun: float) -> Curve:
    keep = [slice(0 if i == 0 else 1, None) for i in range(len(paths))]
    seconds = np.concatenate([p.seconds[k] for p, k in zip(paths, keep, strict=True)])
    X = np.concatenate([p.water[k] for p, k in zip(paths, keep, strict=True)])
    t = np.concatenate([p.celsius[k] for p, k in zip(paths, keep, strict=True)])
    done = np.concatenate([p.puffed[k] for p, k in zip(paths, keep, strict=True)])
    return Curve(
        tuple(float(m) for m in (seconds - begun) / _MINUTE_S), tuple(_three(100.0 * x / (1.0 + x)) for x in X),
        tuple(_three(x) for x in t), tuple(float(x) for x in (done >= 0.5).mean(-1)),
    )  # fmt: skip


def _minutes_above(paths: list[Path], line: float) -> float:
    spans = [(np.diff(p.seconds)[:, None] * (p.face[1:] > line)).sum(0) for p in paths]
    return float(np.median(np.sum(spans, 0)) / _MINUTE_S)


def _percent(X: Floats) -> Band:
    return _band(100.0 * X / (1.0 + X))


def _three(x: Floats) -> tuple[float, float, float]:
    low, likely, high = np.quantile(x, [0.05, 0.5, 0.95])
    return float(low), float(likely), float(high)


def _band(x: Floats) -> Band:
    return Band(*_three(x))

