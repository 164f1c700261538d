"""Fermentation as a dose: relative rate, summed along the temperature a mass really has."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange


@dataclass(frozen=True)
class RateLaw:
    """Relative rate of a ferment: straight in ln(rate) between knots, then a straight fall to nothing."""

    name: str
    temperature: tuple[float, ...]  # knots, rising [K]
    rate: tuple[float, ...]  # at the knots, any scale, positive [1]
    reference: float  # temperature at which the rate is 1 [K]
    falls_from: float  # above the last knot's plateau the rate falls ... [K]
    stops_at: float  # ... to nothing here [K]
    valid: tuple[float, float]  # [K]


def relative_rate(temperature: ArrayLike, law: RateLaw) -> NDArray[np.float64]:
    """Rate over the rate at ``law.reference``. [K -> 1], any shape.

    Raises
    ------
    OutOfRange
        Outside ``law.valid``: frozen dough does not follow this, and a hot one is an oven's.
    """
    temp = np.asarray(temperature, float)
    low, high = law.valid
    if not bool(np.all((temp >= low) & (temp <= high))):
        raise OutOfRange(
            f"a ferment between {temp.min():.1f} K and {temp.max():.1f} K leaves the range of the rate law "
            f"{law.name!r}, {low:.1f} to {high:.1f} K.",
            field="temperature", value=(float(temp.min()), float(temp.max())), limit=law.valid,
            remedy="Give temperatures of an unfrozen, unbaked dough.",
        )  # fmt: skip
    return _shape(temp, law) / _shape(np.asarray(law.reference), law)


def _shape(temp: NDArray[np.float64], law: RateLaw) -> NDArray[np.float64]:
    fall = np.clip((law.stops_at - temp) / (law.stops_at - law.falls_from), 0.0, 1.0)
    return np.exp(np.interp(temp, law.temperature, np.log(law.rate))) * fall


def lumped_temperature(time: ArrayLike, start: float, around: float, time_constant: float) -> NDArray[np.float64]:
    """Mean temperature of a mass left in surroundings of constant temperature. [s, K, K, s -> K]"""
    return around + (start - around) * np.exp(-np.asarray(time, float) / time_constant)


def ball_time_constant(mass: float, density: float, specific_heat: float, conductivity: float, transfer: float) -> float:
    """Time constant of the mean temperature of a ball, its own resistance included.

    Parameters
    ----------
    mass, density, specific_heat, conductivity, transfer : float
        [kg], [kg/m3], [J/kg/K], [W/m/K], [W/m2/K]

    Returns
    -------
    float
        [s]

    Notes
    -----
    rho c R/3 (1/h + R/(5 k)). The second term is the difference of mean and surface under a parabolic
    profile; without it (a plain lump) a loaf would seem to cool too fast. Against the slowest mode of the
    exact series it is 1.3 % quick at Bi = 1. A flat basket of the same mass cools faster.
    """
    radius = (3.0 * mass / (4.0 * np.pi * density)) ** (1.0 / 3.0)
    return float(density * specific_heat * radius / 3.0 * (1.0 / transfer + radius / (5.0 * conductivity)))


def dose(time: ArrayLike, temperature: ArrayLike, law: RateLaw) -> NDArray[np.float64]:
    """Running sum of the relative rate: how long the same work takes at the reference temperature.

    Parameters
    ----------
    time, temperature : array_like, shape (n,)
        Rising times [s] and the temperature of the dough itself [K].

    Returns
    -------
    ndarray, shape (n,)
        [s at ``law.reference``], 0 at the first time. Trapezoids between the given times.
    """
    t, rate = np.asarray(time, float), relative_rate(temperature, law)
    if t.ndim != 1 or t.shape != rate.shape or bool(np.any(np.diff(t) < 0)):
        raise OutOfRange(
            f"rising times, one temperature each, are needed; got {t.shape} and {rate.shape}.",
            field="time", value=t.shape, limit=rate.shape, remedy="Sort the record by time.",
        )  # fmt: skip
    steps = 0.5 * (rate[1:] + rate[:-1]) * np.diff(t)
    return np.concatenate(([0.0], np.cumsum(steps)))
