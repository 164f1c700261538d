"""How much heat does to one organism: a log-linear law (D and z), added up along a record.

Says nothing of which reduction is wanted; that is a rule (``lethality``).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.ground.tables import source, toml_table
from ingle.safety.thermal_record import ThermalRecord

_MINUTE_S = 60.0


@dataclass(frozen=True)
class HeatLaw:
    """Decimal reduction time by temperature: D = d_s * 10^((at_c - T)/z_c).

    ``floor_c`` is where credit begins, ``hottest_c`` the upper end of the source: hotter gives the same rate.
    """

    name: str
    about: str
    d_s: float  # [s]
    at_c: float
    z_c: float
    floor_c: float
    hottest_c: float
    source: str
    clause: str
    sure: str
    doubt: str = ""


@cache
def law(name: str) -> HeatLaw:
    """One law of ``data/limits/lethality_laws.toml``."""
    laws = toml_table("limits", "lethality_laws.toml")
    if name not in laws:
        raise OutOfRange(
            f"heat law {name!r} is not known. There are: {', '.join(laws)}.", field="law", value=name, limit=tuple(laws),
            remedy="Choose one of these.",
        )  # fmt: skip
    said = laws[name]
    source(said["source"])
    return HeatLaw(
        name, said["about"], said["d_min"] * _MINUTE_S, said["at_c"], said["z_c"], said["floor_c"], said["valid_c"][1],
        said["source"], said["clause"], said["sure"], said.get("doubt", ""),
    )  # fmt: skip


def decimal_time(celsius: ArrayLike, heat: HeatLaw) -> NDArray[np.float64]:
    """Time for one decimal reduction; infinite below the floor. [s]"""
    T = np.asarray(celsius, dtype=float)
    D = heat.d_s * 10.0 ** ((heat.at_c - np.minimum(T, heat.hottest_c)) / heat.z_c)
    return np.where(heat.floor_c - 1e-9 <= T, D, np.inf)


def log10_along(record: ThermalRecord, heat: HeatLaw) -> NDArray[np.float64]:
    """Decimal reductions from the start to each reading, shape (n,). [1]

    Exact for straight lines between readings. Nothing below the floor, nothing across a hole.

    Notes
    -----
    Integral of dt / D(T). With R(T) the integral of 1/D over temperature from the floor, a straight line from a to b
    over dt gives dt * (R(b) - R(a)) / (b - a).
    """
    t, a, b = np.diff(record.seconds), record.celsius[:-1], record.celsius[1:]
    flat = np.abs(b - a) < 1e-6
    slope = (_over_temperature(b, heat) - _over_temperature(a, heat)) / np.where(flat, 1.0, b - a)
    rate = np.where(flat, 1.0 / decimal_time((a + b) / 2, heat), slope)
    return np.concatenate(([0.0], np.cumsum(np.where(record.hole, 0.0, rate * t))))


def log10_reduction(record: ThermalRecord, heat: HeatLaw) -> float:
    """Decimal reductions over the whole record. [1]"""
    return float(log10_along(record, heat)[-1])


def _over_temperature(celsius: NDArray[np.float64], heat: HeatLaw) -> NDArray[np.float64]:
    """Integral of 1/D from the floor to a temperature. [K/s]"""
    per_kelvin = np.log(10.0) / heat.z_c
    T = np.clip(celsius, heat.floor_c, heat.hottest_c)
    start = np.exp(per_kelvin * (heat.floor_c - heat.at_c))
    end = np.exp(per_kelvin * (T - heat.at_c))
    beyond = np.maximum(celsius - heat.hottest_c, 0.0) * np.exp(per_kelvin * (heat.hottest_c - heat.at_c))
    return np.asarray(((end - start) / per_kelvin + beyond) / heat.d_s)
