"""Factors of a growth rate by temperature, pH, water activity and inhibitors, and how they act together.

A family of factors goes with the parameters fitted in it and is never mixed with another. Temperatures of one call are all on
one scale (degC or K): only differences enter.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def cardinal_temperature(temperature: ArrayLike, least: float, best: float, most: float) -> Floats:
    """Cardinal temperature factor with inflection: 1 at the best temperature, 0 outside. [K or degC -> 1]

    References
    ----------
    Rosso, Lobry and Flandrois, J. Theor. Biol. 162 (1993) 447.
    """
    warm = np.asarray(temperature, float)
    inside = (warm > least) & (warm < most)
    t = np.where(inside, warm, best)
    below = (best - least) * ((best - least) * (t - best) - (best - most) * (best + least - 2.0 * t))
    return np.where(inside, (t - most) * (t - least) ** 2 / below, 0.0)


def cardinal_ph(ph: ArrayLike, least: float, best: float, most: float) -> Floats:
    """Cardinal pH factor: 1 at the best pH, 0 outside. [1]

    References
    ----------
    Rosso, Lobry, Bajard and Flandrois, Appl. Environ. Microbiol. 61 (1995) 610.
    """
    x = np.asarray(ph, float)
    inside = (x > least) & (x < most)
    p = np.where(inside, x, best)
    both = (p - least) * (p - most)
    return np.where(inside, both / (both - (p - best) ** 2), 0.0)


def straight(value: ArrayLike, least: float, best: float) -> Floats:
    """Factor rising straight from 0 at ``least`` to 1 at ``best``, 1 beyond. [1]"""
    return np.clip((np.asarray(value, float) - least) / (best - least), 0.0, 1.0)


def square_root(temperature: ArrayLike, slope: float, least: float) -> Floats:
    """Rate of a square-root law, (slope (T - least))^2, 0 below. [1/h for a slope in h^-1/2 K^-1]

    References
    ----------
    Ratkowsky et al., J. Bacteriol. 149 (1982) 1.
    """
    return (slope * np.maximum(np.asarray(temperature, float) - least, 0.0)) ** 2


def square_root_with_end(temperature: ArrayLike, slope: float, least: float, fall: float, most: float) -> Floats:
    """Rate (slope (T - least))^2 (1 - exp(fall (T - most))), 0 outside: the form of the cooling papers. [1/h]"""
    warm = np.asarray(temperature, float)
    inside = (warm > least) & (warm < most)
    t = np.where(inside, warm, least)
    return np.where(inside, (slope * (t - least)) ** 2 * -np.expm1(fall * (t - most)), 0.0)


def undissociated(total: ArrayLike, ph: ArrayLike, pka: float) -> Floats:
    """Share of a weak acid that is not split into ions, times its total. [unit of ``total``]"""
    return np.asarray(total, float) / (1.0 + 10.0 ** (np.asarray(ph, float) - pka))


def distance(factor: ArrayLike) -> Floats:
    """phi = (1 - sqrt(gamma))^2, the distance from the best conditions in the family of Mejlholm and Dalgaard. [1]"""
    return (1.0 - np.sqrt(np.clip(np.asarray(factor, float), 0.0, 1.0))) ** 2


def together(distances: Sequence[ArrayLike]) -> Floats:
    """psi = sum of phi_i/(2 prod over the others of (1 - phi_j)): from 1 on, no growth in that model. [1]

    Infinite where two factors each rule growth out. Every distance must come from one family.

    References
    ----------
    Le Marc et al., Int. J. Food Microbiol. 73 (2002) 219.
    """
    phi = np.broadcast_arrays(*(np.asarray(d, float) for d in distances))
    total = np.zeros(phi[0].shape)
    with np.errstate(divide="ignore", invalid="ignore"):
        for i, own in enumerate(phi):
            others = np.ones(own.shape)
            for j, other in enumerate(phi):
                if j != i:
                    others = others * (1.0 - other)
            total = total + np.where(own == 0.0, 0.0, own / (2.0 * others))
    return total


def interaction(psi: ArrayLike) -> Floats:
    """xi: 1 up to psi 0.5, then falling straight to 0 at psi 1. [1]"""
    return np.clip(2.0 * (1.0 - np.asarray(psi, float)), 0.0, 1.0)
