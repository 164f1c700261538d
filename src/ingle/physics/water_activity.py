"""Water activity of brine, of sugared brine and of salted lean meat, and the salt that a wished one needs.

Each dissolved thing lowers the water activity as if it had ALL the water to itself; the factors multiply
(Ross). Knowledge comes in as laws: `PitzerLaw` for common salt, `NorrishLaw` for a sugar, `MeatBase` for what
fresh lean meat already holds dissolved.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange
from ingle.physics.ranges import require_within
from ingle.physics.rootfind import find_root

Floats = NDArray[np.float64]
Coefficients = tuple[float, float, float, float, float, float, float, float]


@dataclass(frozen=True)
class PitzerLaw:
    """Osmotic coefficient of one salt of two single-charged ions, by temperature.

    Each of ``debye``, ``beta_0``, ``beta_1``, ``c_phi`` holds a1 ... a8 of
    a1 + a2 T + a3/T + a4 ln T + a5/(T - 263) + a6 T^2 + a7/(680 - T) + a8/(T - 227), T in K.
    """

    debye: Coefficients  # Debye-Hueckel slope A_phi [kg^1/2 mol^-1/2]
    beta_0: Coefficients  # [kg/mol]
    beta_1: Coefficients  # [kg/mol]
    c_phi: Coefficients  # [kg2/mol2]
    b: float  # [kg^1/2 mol^-1/2]
    alpha: float  # [kg^1/2 mol^-1/2]
    molar_mass: float  # of the salt [kg/mol]
    water_molar_mass: float  # [kg/mol]
    saturation_at: tuple[float, ...]  # rising temperatures [K]
    saturation: tuple[float, ...]  # salt per water there [kg/kg]
    valid_molality: float  # highest the fit may be asked for [mol/kg]
    valid: tuple[float, float]  # [K]
    source: str
    sure: str


@dataclass(frozen=True)
class NorrishLaw:
    """Water activity of one solute without charge: aw = Xw exp(K Xs^2)."""

    name: str
    k: float  # K of ln aw = ln Xw + K Xs^2 [1]
    molar_mass: float  # [kg/mol]
    water_molar_mass: float  # [kg/mol]
    valid_fraction: float  # highest solute per solution [kg/kg]
    source: str
    sure: str


@dataclass(frozen=True)
class MeatBase:
    """What fresh lean meat holds dissolved, apart from added salt; it stays behind when water leaves."""

    osmolality: float  # in the water of fresh meat [mol/kg]
    water_molar_mass: float  # [kg/mol]
    least_water_per_dry: float  # below it protein binds water too, and the aw is lower than told here [kg/kg]
    most_water_per_dry: float  # [kg/kg]
    source: str
    sure: str


@dataclass(frozen=True)
class PhaseSaltPolynomial:
    """aw = 1 - first W - second W^2 with W in hundredths: a second opinion, never the answer."""

    first: float  # per g/100 g [1]
    second: float  # per (g/100 g)^2 [1]
    valid: float  # highest salt in the water phase [kg/kg]
    source: str
    sure: str


def water_phase_salt(salt: ArrayLike, water: ArrayLike) -> Floats:
    """Salt in the water phase z = s/(s + w), of masses or mass fractions on one and the same basis. [kg/kg]

    Raises OutOfRange below zero, and where there is no water.
    """
    s = require_within(salt, (0.0, np.inf), "salt", "kg")
    w = require_within(water, (np.finfo(float).tiny, np.inf), "water", "kg")
    return s / (s + w)


def osmotic_coefficient(molality: ArrayLike, temperature: ArrayLike, law: PitzerLaw) -> Floats:
    """Osmotic coefficient of the salt alone in water.

    Parameters
    ----------
    molality : array_like, shape (...)
        Salt per water. [mol/kg]
    temperature : array_like, broadcast against ``molality``
        [K]
    law : PitzerLaw

    Returns
    -------
    ndarray, shape (...)
        [1]

    Raises
    ------
    OutOfRange
        Molality below 0 or above ``law.valid_molality``, temperature outside ``law.valid``.

    Notes
    -----
    phi = 1 - A sqrt(m)/(1 + b sqrt(m)) + m (beta0 + beta1 exp(-alpha sqrt(m))) + m^2 C, at the pressure of
    the kitchen.

    References
    ----------
    Pitzer and Mayorga, J. Phys. Chem. 77 (1973) 2300 (the form); the law names the source of its numbers.
    """
    m = require_within(molality, (0.0, law.valid_molality), "molality", "mol/kg", law.source)
    T = require_within(temperature, law.valid, "temperature", "K", law.source)
    root = np.sqrt(m)
    A, beta_0, beta_1, C = (_at(a, T) for a in (law.debye, law.beta_0, law.beta_1, law.c_phi))
    return 1.0 - A * root / (1.0 + law.b * root) + m * (beta_0 + beta_1 * np.exp(-law.alpha * root)) + m**2 * C


def saturated(temperature: ArrayLike, law: PitzerLaw) -> Floats:
    """Salt per water of the saturated solution: straight lines between the law's rows. [K -> kg/kg]"""
    T = require_within(temperature, law.valid, "temperature", "K", law.source)
    return np.interp(T, law.saturation_at, law.saturation)


def of_salt(salt_per_water: ArrayLike, temperature: ArrayLike, law: PitzerLaw, *, crystals: bool = False) -> Floats:
    """Water activity of salt in water.

    Parameters
    ----------
    salt_per_water : array_like, shape (...)
        [kg/kg]
    temperature : array_like, broadcast against ``salt_per_water``
        [K]
    law : PitzerLaw
    crystals : bool
        What to make of more salt than dissolves. False: it is refused. True: the rest lies there as crystals,
        and the water activity is that of the saturated solution.

    Returns
    -------
    ndarray, shape (...)
        [1]

    Raises
    ------
    OutOfRange
        Salt below zero or (without ``crystals``) above saturation; temperature outside the law.

    Notes
    -----
    aw = exp(-M_w 2 m phi), exact by the definition of phi.
    """
    T = np.asarray(temperature, float)
    s = require_within(salt_per_water, (0.0, np.inf), "salt per water", "kg/kg")
    full = saturated(T, law)
    if crystals:
        s = np.minimum(s, full)
    over = s > full
    if np.any(over):
        worst, most = (float(np.broadcast_to(x, over.shape)[over].flat[0]) for x in (s, full))
        raise OutOfRange(
            f"salt per water {worst:.4g} kg/kg is more than the {most:.4g} kg/kg that dissolves.",
            field="salt_per_water", value=worst, limit=most,
            remedy="Give at most what dissolves, or count the rest as crystals.",
        )  # fmt: skip
    m = s / law.molar_mass
    return np.exp(-2.0 * law.water_molar_mass * m * osmotic_coefficient(m, T, law))


def of_sugar(sugar_per_water: ArrayLike, law: NorrishLaw) -> Floats:
    """Water activity of one sugar in water, by Norrish. [kg/kg -> 1], any shape.

    Fitted near 25 degC; the effect of temperature from 0 to 40 degC is left out.
    Raises OutOfRange below zero and above ``law.valid_fraction``.
    """
    most = law.valid_fraction / (1.0 - law.valid_fraction)
    s = require_within(sugar_per_water, (0.0, most), f"{law.name} per water", "kg/kg", law.source)
    moles, water = s / law.molar_mass, 1.0 / law.water_molar_mass
    X_s = moles / (moles + water)
    return (1.0 - X_s) * np.exp(law.k * X_s**2)


def of_meat(water_per_dry: ArrayLike, fresh: ArrayLike, law: MeatBase) -> Floats:
    """Factor by which the meat's own juices lower the water activity.

    Parameters
    ----------
    water_per_dry : array_like, shape (...)
        Water per salt-free dry matter now, X. [kg/kg]
    fresh : array_like, broadcast against ``water_per_dry``
        The same when the meat was fresh, X0. [kg/kg]
    law : MeatBase

    Returns
    -------
    ndarray, shape (...)
        exp(-M_w osmolality X0/X). [1]

    Raises
    ------
    OutOfRange
        X below ``law.least_water_per_dry`` (protein then binds water, and the true value is lower), or
        either above ``law.most_water_per_dry``.

    Notes
    -----
    Leaves out what ageing sets free: aged hams lie 0.01 to 0.04 lower.
    """
    ends = (law.least_water_per_dry, law.most_water_per_dry)
    X = require_within(water_per_dry, ends, "water per dry matter", "kg/kg", law.source)
    X0 = require_within(fresh, ends, "fresh water per dry matter", "kg/kg", law.source)
    return np.exp(-law.water_molar_mass * law.osmolality * X0 / X)


def mixed(*factors: ArrayLike) -> Floats:
    """Water activity of things dissolved together, each given as if it had all the water (Ross). [1]"""
    total = np.asarray(1.0)
    for factor in factors:
        total = total * np.asarray(factor, float)
    return total


def of_lean(
    water: ArrayLike,
    salt: ArrayLike,
    dry: ArrayLike,
    temperature: ArrayLike,
    salt_law: PitzerLaw,
    base: MeatBase,
    *,
    fresh: ArrayLike,
    crystals: bool = False,
) -> Floats:
    """Water activity of salted lean meat, of masses of water, salt and salt-free dry matter on one basis.

    ``fresh`` is the water per dry matter before salting and drying [kg/kg]; other arguments, refusals and
    what is left out as in `of_salt` and `of_meat`. Returns [1].
    """
    w = require_within(water, (np.finfo(float).tiny, np.inf), "water", "kg")
    d = require_within(dry, (np.finfo(float).tiny, np.inf), "dry matter", "kg")
    in_brine = of_salt(np.asarray(salt, float) / w, temperature, salt_law, crystals=crystals)
    return mixed(in_brine, of_meat(w / d, fresh, base))


def salt_for(wanted: ArrayLike, temperature: ArrayLike, law: PitzerLaw, *, others: ArrayLike = 1.0) -> Floats:
    """Salt per water that brings the water activity down to a wished one: the inverse of `of_salt`.

    Parameters
    ----------
    wanted : array_like, shape (...)
        Water activity, above 0 and up to 1. [1]
    temperature : array_like, broadcast
        [K]
    law : PitzerLaw
    others : array_like, broadcast
        Product of the factors of everything else dissolved (sugar, the meat itself). [1]

    Returns
    -------
    ndarray, shape (...)
        0 where the others alone suffice. [kg/kg]

    Raises
    ------
    OutOfRange
        Not even a saturated brine gets there.
    """
    want = require_within(wanted, (0.0, 1.0), "water activity", "")
    rest = require_within(others, (np.finfo(float).tiny, 1.0), "water activity of the others", "")
    T = np.asarray(temperature, float)
    target, T = np.broadcast_arrays(np.minimum(want / rest, 1.0), T)
    full = saturated(T, law)
    floor = of_salt(full, T, law)
    short = target < floor
    if short.any():
        aim, low = (float(np.broadcast_to(x, short.shape)[short].flat[0]) for x in (want, floor * rest))
        raise OutOfRange(
            f"water activity {aim:.3f} is out of reach of salt: a saturated brine stands at {low:.3f}.",
            field="water_activity", value=aim, limit=low, remedy="Ask for more, or dry below the reach of salt.",
        )  # fmt: skip
    return find_root(lambda s: of_salt(np.clip(s, 0.0, full), T, law) - target, np.zeros_like(full), full)


def by_polynomial(phase_salt: ArrayLike, law: PhaseSaltPolynomial) -> Floats:
    """Water activity from salt in the water phase by the short polynomial. [kg/kg -> 1], any shape.

    A cross-check only: it stands above the solution throughout, by 0.0006 at most up to 12 %, by 0.004 at 18 %.
    """
    W = 100.0 * require_within(phase_salt, (0.0, law.valid), "salt in the water phase", "kg/kg", law.source)
    return 1.0 - law.first * W - law.second * W**2


def _at(a: Coefficients, T: Floats) -> Floats:
    return (
        a[0] + a[1] * T + a[2] / T + a[3] * np.log(T)
        + a[4] / (T - 263.0) + a[5] * T**2 + a[6] / (680.0 - T) + a[7] / (T - 227.0)
    )  # fmt: skip
