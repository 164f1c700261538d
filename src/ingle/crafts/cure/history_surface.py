"""What a stage does to the surface: what is put on or poured off, what the brine and the air ask."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure import laws
from ingle.crafts.cure.forecast_draw import law
from ingle.crafts.cure.history_draw import Members, kelvin_of, pace_of
from ingle.crafts.cure.history_stage import AIR, WET, Stage
from ingle.ground import units
from ingle.ground.spread import median
from ingle.physics import histories, surface_drying, water_activity
from ingle.physics.histories import Depth, Pieces, Surface

Floats = NDArray[np.float64]
FILM = 0.003  # water of the wet surface in which a rub first dissolves, per green weight (derived, docs/models/cure.md)
SOAK_WATER = 3.0  # water of a soak when none is given, per green weight (common practice)
USUAL_HUMIDITY = {"pellicle": 0.75, "smoke": 0.75}  # common practice, told as assumed
SATURATED = np.array([np.nan, np.inf, np.inf, np.inf])


def begin(share: Floats, now: Pieces, stage: Stage, grams: float, drawn: Members) -> tuple[Pieces, Floats]:
    """What happens at the start of a stage: pour, add, wet, pump. Returns the pieces and what was given, shape (K, M).

    ``share``: the part of what is pumped that comes into each cell, shape (N,).
    """
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
    water = np.full(count, water_given(stage, grams))
    if stage.kind == "pump":
        return histories.pump(share, now, water, put), put
    if stage.kind in ("drain", "rinse", "soak", "immerse", "rest", *AIR):
        now = histories.pour(now)
    if stage.kind in ("rub", "bag", "top-up", "turn") and not agents.grams("water"):
        put = put * drawn.taken[None]
        wet = np.maximum(FILM - now.brine, 0.0)  # the surface wets the rub with its own water
        share = 1 - wet / now.water.sum(0)
        now = replace(now, water=now.water * share[None], brine=now.brine + wet)
    return histories.add(now, water, put), put


def water_given(stage: Stage, grams: float) -> float:
    """Water that is put on or in with a stage, per green weight."""
    water = stage.add.grams("water")
    return SOAK_WATER if stage.kind == "soak" and not water else water / grams


def area_of(cells: Depth, drawn: Members) -> Floats:
    """Open face per green weight, shape (M,). [m2/kg]"""
    return cells.order / (law()["density"]["value"] * drawn.path)


def surface_of(stage: Stage, drawn: Members, area: Floats) -> tuple[Surface, bool, list[str]]:
    """What the surface meets, whether it dries, and what was assumed. ``area``: face per green weight, as `area_of`."""
    saturated = law()["salt"]["saturated"]["value"]
    ceiling = SATURATED.copy()
    ceiling[0] = saturated
    water0 = law()["water"]["lean"]["value"]

    def tends(strength: Floats) -> Floats:
        weak = drawn.swelling * (1 - strength / drawn.neutral)
        strong = -drawn.shrinking * (strength - drawn.neutral) / (saturated - drawn.neutral)
        return water0 - drawn.purge + np.where(strength < drawn.neutral, weak, strong)

    if stage.kind in WET:
        middle = pace_of(stage, drawn)(stage.lasts_h * units.HOUR_S / 2)[0]
        return Surface(saturated=ceiling, exchange=tends, exchange_s=drawn.slow / middle), False, []
    if stage.kind == "rinse":
        return Surface(endless=True), False, []
    humidity = stage.humidity if stage.humidity is not None else USUAL_HUMIDITY.get(stage.kind)
    said = (
        []
        if stage.humidity is not None or humidity is None
        else [f"humidity of the air while it hangs ({stage.kind}): {units.show_fraction(humidity, 0)}"]
    )
    if humidity is None or stage.kind not in (*AIR, "rest"):
        return Surface(open=False), False, said
    return Surface(open=False, drying=drying_of(stage, humidity, drawn, area)), True, said


def drying_of(stage: Stage, humidity: float, drawn: Members, area: Floats) -> Callable[[Floats, Floats], Floats]:
    """Water that leaves a kg of green weight in a second, from the state of the outermost cell."""
    kelvin = np.maximum(kelvin_of(stage, stage.lasts_h / 2, drawn), units.ZERO_CELSIUS_K)
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


def wet_of(water: Floats, dry: Floats) -> Floats:
    """Water within the range of the law for meat's own solutes. [kg/kg]"""
    base = laws.meat_base()
    driest, wettest = base.least_water_per_dry, base.most_water_per_dry
    return np.clip(water, driest * dry, wettest * dry)


def activity_of(water: Floats, salt: Floats, dry: Floats, celsius: float) -> Floats:
    """Water activity of lean anywhere in a piece, from what a place holds [kg/kg], shapes alike."""
    water0 = law()["water"]["lean"]["value"]
    kelvin = max(celsius, 0.0) + units.ZERO_CELSIUS_K
    return water_activity.of_lean(
        wet_of(water, dry),
        salt,
        dry,
        kelvin,
        laws.salt_activity(),
        laws.meat_base(),
        fresh=water0 / (1 - water0),
        crystals=True,
    )


def crusts_of(stage: Stage, water: Floats, salt: Floats, dry: Floats) -> Floats:
    """How much the air of a stage asks each member for a hard crust, 0 to 1, from what its surface holds at the end [kg/kg]."""
    humidity = stage.humidity if stage.humidity is not None else USUAL_HUMIDITY.get(stage.kind, 1.0)
    aw = activity_of(water, salt, dry, stage.celsius(stage.lasts_h))
    return np.asarray(surface_drying.hardening(aw, np.full_like(aw, humidity), laws.hardening()))


def crust_of(stage: Stage, water: Floats, salt: Floats, dry: Floats) -> float:
    """The same for the likely member."""
    return float(median(crusts_of(stage, water, salt, dry)))
