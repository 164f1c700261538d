"""Specific growth rate of each germ that has a published model, by temperature and what the place offers.

Beyond the warm end of a model's range, up to the highest temperature at which the germ has been seen to grow, the fastest rate
known counts and nothing is credited against it: a forecast never falls because a model ended.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.ground.errors import BadBrief
from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S
from ingle.physics import growth_factors as factors
from ingle.safety import germs
from ingle.safety.conditions import Conditions
from ingle.safety.growth_interface import FITTED, interface, law

Floats = NDArray[np.float64]
MEATS = ("pork", "beef", "chicken", "cured-pork")


def rate(germ: str, celsius: Floats, c: Conditions, meat: str = "pork") -> Floats:
    """Growth rate on natural logarithms. ``celsius`` broadcasts against the arrays of ``c``. [C -> 1/s]"""
    T = np.asarray(celsius, float)
    if germ == "perfringens":
        p = perfringens(meat)
        return np.broadcast_to(_cooling(T, p), np.broadcast_shapes(T.shape, c.aw.shape)) / HOUR_S
    p = law(germ)
    by_germ = {"salmonella": _salmonella, "staphylococcus": _staphylococcus, "yersinia": _yersinia}
    mu = p["rate_25c"] * _joined(germ, T, c) if germ in FITTED else by_germ[germ](T, c, p)
    least, most = (_end(germ, e) for e in ("least", "most"))
    ended = np.greater(T, p["valid_c"][1])
    mu = np.where(ended, np.where(np.greater(T, most), 0.0, p["fastest"]), mu)
    return np.asarray(np.where(np.less(T, least), 0.0, mu)) / HOUR_S


def outside(germ: str) -> tuple[float, float]:
    """Warm end of the model and of published growth: between them the fastest rate known counts. [C]"""
    if germ == "perfringens":
        return 53.0, 53.0
    return float(law(germ)["valid_c"][1]), _end(germ, "most")


def perfringens(meat: str) -> dict[str, Any]:
    """Parameters of Clostridium perfringens in one cooked meat."""
    if meat not in MEATS:
        raise BadBrief(f"meat {meat!r} is not known. There are: {', '.join(MEATS)}.", field="meat", value=meat,
                       limit=", ".join(MEATS), remedy=f"Write one of {', '.join(MEATS)}.")  # fmt: skip
    return dict(toml_table("laws", "growth.toml")["perfringens"][meat])


def _end(germ: str, end: str) -> float:
    if end == "least" and germ in FITTED:
        return float(law(germ)["t_min"])  # the equation goes on below the published limit, and is let
    if germ == "lab":
        return 45.0
    bound = getattr(germs.ranges(germ)["temperature"], end)
    return float(bound.value) if end == "most" or germ == "yersinia" else -np.inf


def _joined(germ: str, T: Floats, c: Conditions) -> Floats:
    found = interface(germ, T, c)
    return found.gamma * found.xi


def _salmonella(T: Floats, c: Conditions, p: dict[str, Any]) -> Floats:
    acid = factors.cardinal_ph(c.ph, *p["ph"]) / factors.cardinal_ph(p["ph_at"], *p["ph"])
    return factors.square_root(T, p["slope"], p["t_min"]) * acid * factors.straight(c.aw, p["aw_min"], p["aw_best"]) ** 2


def _staphylococcus(T: Floats, c: Conditions, p: dict[str, Any]) -> Floats:
    cardinal = p["best"] * factors.cardinal_temperature(T, *p["t"])
    root = np.where(p["slope_to_c"] >= T, factors.square_root(T, p["slope"], p["slope_t_min"]), 0.0)
    return np.maximum(cardinal, root) * factors.straight(c.aw, p["aw_min"], p["aw_best"]) * factors.cardinal_ph(c.ph, *p["ph"])


def _yersinia(T: Floats, c: Conditions, p: dict[str, Any]) -> Floats:
    """The polynomial inside its own range; where it would rise again with less water, its best is kept."""
    ph, aw = np.clip(c.ph, *p["valid_ph"]), np.clip(c.aw, *p["valid_aw"])
    b = np.maximum(np.sqrt(1.0 - aw), (p["b"] + p["t_b"] * T) / (-2.0 * p["b_b"]))
    ln_mu = (
        p["one"] + p["t"] * T + p["ph"] * ph + p["b"] * b + p["t_ph"] * T * ph + p["t_b"] * T * b
        + p["t_t"] * T**2 + p["ph_ph"] * ph**2 + p["b_b"] * b**2
    )  # fmt: skip
    return np.exp(np.minimum(ln_mu, 1.0))


def _cooling(T: Floats, p: dict[str, Any]) -> Floats:
    return factors.square_root_with_end(T, p["slope"], p["t_min"], p["fall"], p["t_max"])
