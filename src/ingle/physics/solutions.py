"""Salt and sugar in water: strength, density, and the way back from a float's reading.

Knowledge comes in: a `DensityTable` (measured) or a `DensityPolynomial` (fitted) is handed over by the
caller. Strength is always a mass fraction of the whole solution unless the name says "per water".
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange


@dataclass(frozen=True)
class DensityTable:
    """Measured density of one solute in water at one temperature, with its slope in temperature."""

    fraction: tuple[float, ...]  # solute per solution, rising [kg/kg]
    density: tuple[float, ...]  # at `temperature` [kg/m3]
    slope: tuple[float, ...]  # density lost per kelvin of warming, near `temperature` [kg/m3/K]
    temperature: float  # [K]
    valid_temperature: tuple[float, float]  # [K]
    valid_fraction: float  # highest strength the last two rows may be carried on to [kg/kg]
    source: str


@dataclass(frozen=True)
class DensityPolynomial:
    """Density of a solution as water plus powers of the strength and of the temperature.

    ``excess[k][m]`` multiplies ``((T - T0) / 100 K)**k * w**(m + 1)``; ``water`` holds six numerator
    powers of T - 273.15 K and then the one of the denominator.
    """

    excess: tuple[tuple[float, ...], ...]  # [kg/m3]
    water: tuple[float, ...]  # [kg/m3, kg/m3/K, ...], last one [1/K]
    temperature: float  # T0 [K]
    zero: float  # 0 degC [K]
    valid_temperature: tuple[float, float]  # [K]
    valid_fraction: float  # [kg/kg]
    source: str


def solute_per_water(fraction: ArrayLike) -> NDArray[np.float64]:
    """Solute per water from solute per solution. [kg/kg -> kg/kg], any shape; 1 and more is refused."""
    w = np.asarray(fraction, float)
    _within(w, (0.0, float(np.nextafter(1.0, 0.0))), "strength", "kg/kg", "A solution needs some water.")
    return w / (1.0 - w)


def density(fraction: ArrayLike, temperature: ArrayLike, law: DensityTable | DensityPolynomial) -> NDArray[np.float64]:
    """Density of a solution.

    Parameters
    ----------
    fraction : array_like, shape (...)
        Solute per solution. [kg/kg]
    temperature : array_like, broadcast against ``fraction``
        [K]
    law : DensityTable or DensityPolynomial

    Returns
    -------
    ndarray, shape (...)
        [kg/m3]

    Raises
    ------
    OutOfRange
        Strength or temperature outside the law's range.

    Notes
    -----
    A table is read by straight lines between its rows (between 2 % steps of salt the true curve sags by
    less than 0.03 kg/m3) and carried on past its last row no further than ``valid_fraction``.
    """
    w, temp = np.asarray(fraction, float), np.asarray(temperature, float)
    _within(w, (0.0, law.valid_fraction), "strength", "kg/kg", law.source)
    _within(temp, law.valid_temperature, "temperature", "K", law.source)
    if isinstance(law, DensityPolynomial):
        return water_density(temp, law) + _excess(w, temp, law)
    slope = np.interp(w, law.fraction, law.slope)
    return _carried_on(w, law) + slope * (law.temperature - temp)


def water_density(temperature: ArrayLike, law: DensityPolynomial) -> NDArray[np.float64]:
    """Density of pure water by the law's own polynomial. [K -> kg/m3]"""
    t = np.asarray(temperature, float) - law.zero
    numerator = sum(a * t**k for k, a in enumerate(law.water[:-1]))
    return numerator / (1.0 + law.water[-1] * t)


def specific_gravity(fraction: ArrayLike, temperature: float, law: DensityPolynomial) -> NDArray[np.float64]:
    """Density of the solution over that of water, both at ``temperature`` and in vacuum. [1]"""
    return density(fraction, temperature, law) / water_density(temperature, law)


def fraction_from_density(wanted: float, temperature: float, law: DensityTable | DensityPolynomial) -> float:
    """Strength of a solution of known density. [kg/m3, K -> kg/kg]; the inverse of `density`."""
    low, high = (float(density(w, temperature, law)) for w in (0.0, law.valid_fraction))
    if not low <= wanted <= high:
        raise OutOfRange(
            f"density {wanted:.1f} kg/m3 is outside {low:.1f} to {high:.1f} kg/m3, this solution's range.",
            field="density", value=wanted, limit=(low, high), remedy="Measure again at a known temperature.",
        )  # fmt: skip
    a, b = 0.0, law.valid_fraction
    for _ in range(60):
        middle = 0.5 * (a + b)
        a, b = (middle, b) if float(density(middle, temperature, law)) < wanted else (a, middle)
    return 0.5 * (a + b)


def _excess(w: NDArray[np.float64], temp: NDArray[np.float64], law: DensityPolynomial) -> NDArray[np.float64]:
    tau = (temp - law.temperature) / 100.0
    rows = (sum(b * w ** (m + 1) for m, b in enumerate(row)) * tau**k for k, row in enumerate(law.excess))
    return sum(rows, np.zeros(np.broadcast(w, tau).shape))


def _carried_on(w: NDArray[np.float64], law: DensityTable) -> NDArray[np.float64]:
    last, before = law.fraction[-1], law.fraction[-2]
    rise = (law.density[-1] - law.density[-2]) / (last - before)
    return np.interp(w, law.fraction, law.density) + rise * np.maximum(w - last, 0.0)


def _within(value: NDArray[np.float64], ends: tuple[float, float], what: str, unit: str, why: str) -> None:
    low, high = ends
    if not bool(np.all((value >= low) & (value <= high))):
        worst = value[~((value >= low) & (value <= high))].flat[0] if value.ndim else float(value)
        raise OutOfRange(
            f"{what} {worst:g} {unit} is outside {low:g} to {high:g} {unit}. {why}",
            field=what, value=worst, limit=(low, high),
            remedy=f"Give a {what} between {low:g} and {high:g} {unit}.",
        )  # fmt: skip
