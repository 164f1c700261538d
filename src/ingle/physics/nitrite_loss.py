"""How fast nitrite is used up in meat: a half-life by temperature and pH, and what it leaves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.ranges import require_within

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class HalfLifeLaw:
    """log10(half-life) = at_reference - per_kelvin (T - t_ref) + per_ph pH."""

    at_reference: float  # log10 of the half-life in seconds at t_ref and pH 0 [1]
    per_kelvin: float  # [1/K]
    per_ph: float  # [1]
    t_ref: float  # [K]
    valid: tuple[float, float]  # [K]
    valid_ph: tuple[float, float]  # [1]
    most_accelerated: float  # largest factor an accelerator may have [1]
    source: str
    sure: str


def half_life(temperature: ArrayLike, ph: ArrayLike, law: HalfLifeLaw, *, accelerated: ArrayLike = 1.0) -> Floats:
    """Time in which half of the nitrite is gone.

    Parameters
    ----------
    temperature : array_like, shape (...)
        Temperature of the meat. [K]
    ph : array_like, broadcast
        pH of the meat. [1]
    law : HalfLifeLaw
    accelerated : array_like, broadcast
        By how much ascorbate or erythorbate speeds the loss; 1 without. [1]

    Returns
    -------
    ndarray, shape (...)
        [s]

    Raises
    ------
    OutOfRange
        Temperature, pH or factor outside the law.

    Notes
    -----
    First order in nitrite, whatever becomes of it: colour, gas, nitrate, bound nitrite are not told apart.
    Microbes that eat nitrite are left out.
    """
    T = require_within(temperature, law.valid, "temperature", "K", law.source)
    acid = require_within(ph, law.valid_ph, "pH", "", law.source)
    factor = require_within(accelerated, (1.0, law.most_accelerated), "accelerating factor", "", law.source)
    return 10.0 ** (law.at_reference - law.per_kelvin * (T - law.t_ref) + law.per_ph * acid) / factor


def loss_rate(temperature: ArrayLike, ph: ArrayLike, law: HalfLifeLaw, *, accelerated: ArrayLike = 1.0) -> Floats:
    """Rate k of dn/dt = -k n: ln 2 over `half_life`, same arguments and refusals. [1/s]"""
    return np.log(2.0) / half_life(temperature, ph, law, accelerated=accelerated)


def share_left(
    times: ArrayLike, temperatures: ArrayLike, ph: float, law: HalfLifeLaw, *, accelerated: float = 1.0
) -> Floats:
    """Share of the nitrite still there along a temperature record, transport left out.

    Parameters
    ----------
    times : array_like, shape (n,)
        Rising times. [s]
    temperatures : array_like, shape (n,)
        Temperature of the meat at those times, straight lines between. [K]
    ph : float
        [1]
    law : HalfLifeLaw
    accelerated : float
        As in `half_life`. [1]

    Returns
    -------
    ndarray, shape (n,)
        1 at the first time. [1] Exact on each straight line, where k is an exponential of time.

    Raises
    ------
    OutOfRange
        Times that do not rise, lengths that differ; values outside the law.
    """
    t, T = np.asarray(times, float), np.asarray(temperatures, float)
    if t.ndim != 1 or t.shape != T.shape or t.size == 0 or not bool(np.all(np.diff(t) >= 0.0)):
        raise OutOfRange(
            f"{t.size} times and {T.size} temperatures do not make a record of rising times.",
            field="times", value=t.shape, limit=T.shape, remedy="Sort the record; give one temperature each.",
        )  # fmt: skip
    k = loss_rate(T, ph, law, accelerated=accelerated)
    turn = np.log(k[1:] / k[:-1])
    small = np.abs(turn) < 1e-6
    mean = k[:-1] * np.where(small, 1.0 + turn / 2.0, np.expm1(turn) / np.where(small, 1.0, turn))
    return np.exp(-np.concatenate([[0.0], np.cumsum(mean * np.diff(t))]))
