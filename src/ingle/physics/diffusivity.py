"""How fast a solute moves at a temperature, and how far it has come along a temperature record."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange

GAS_CONSTANT = 1.380649e-23 * 6.02214076e23  # J/(mol K); SI 2019, Boltzmann x Avogadro constant, both exact

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(6)
_NODES, _WEIGHTS = (_NODES + 1.0) / 2.0, _WEIGHTS / 2.0  # on 0..1


@dataclass(frozen=True)
class ArrheniusLaw:
    """A diffusivity (or a rate) with its activation energy, range and source.

    ``sure`` is one of quoted, memory, derived, common practice, gap.
    """

    d_ref: float  # value at t_ref [m2/s]
    e_a: float  # activation energy [J/mol]
    t_ref: float  # [K]
    valid: tuple[float, float]  # lowest and highest temperature [K]
    source: str
    sure: str

    def __post_init__(self) -> None:
        if not (np.isfinite(self.d_ref) and self.d_ref > 0.0):
            raise OutOfRange(
                f"d_ref {self.d_ref:g} m2/s is not above zero.",
                field="d_ref",
                value=self.d_ref,
                limit="above 0 m2/s",
                remedy="Give the value at the reference temperature.",
            )
        if not self.e_a >= 0.0:
            raise OutOfRange(
                f"e_a {self.e_a:g} J/mol is below zero: diffusion would slow down with warmth.",
                field="e_a",
                value=self.e_a,
                limit="0 J/mol and more",
                remedy="Give the activation energy in J/mol, as a positive number.",
            )
        low, high = self.valid
        if not 0.0 < low < high:
            raise OutOfRange(
                f"valid range {low:g} to {high:g} K is not a range of temperatures.",
                field="valid",
                value=self.valid,
                limit="0 K < lowest < highest",
                remedy="Give the lowest, then the highest temperature, in K.",
            )

    def require_within(self, temperature: ArrayLike) -> NDArray[np.float64]:
        """The temperature as an array, or OutOfRange when any of it lies outside ``valid``. [K]

        The error carries ``mask`` (True where outside), ``limit`` (the range) and ``source``.
        """
        T = np.asarray(temperature, dtype=float)
        low, high = self.valid
        mask = ~((low <= T) & (high >= T))
        if not mask.any():
            return T
        worst = T[mask].flat[0]
        error = OutOfRange(
            f"temperature {worst:g} K is outside {low:g} to {high:g} K, where the law holds ({self.source}).",
            field="temperature",
            value=float(worst),
            limit=self.valid,
            remedy="Keep the piece within this range, or give a law that holds there.",
        )
        error.mask, error.source = mask, self.source  # type: ignore[attr-defined]
        raise error


def diffusivity(temperature: ArrayLike, law: ArrheniusLaw) -> NDArray[np.float64]:
    """Effective diffusivity of one solute in one tissue.

    Parameters
    ----------
    temperature : array_like, shape (...)
        Tissue temperature. [K]
    law : ArrheniusLaw
        Reference value, activation energy, valid range and source.

    Returns
    -------
    ndarray, shape (...)
        One value per temperature. [m2/s]

    Raises
    ------
    OutOfRange
        A temperature lies outside ``law.valid``. The error keeps the mask, the range and the source.

    Notes
    -----
    D = D_ref exp(-E_a/R (1/T - 1/T_ref)). "Effective" folds in fibre direction, fat and tortuosity: a law
    holds for the muscle and direction it was fitted on, and for no frozen piece.

    Examples
    --------
    >>> lean = ArrheniusLaw(3.0e-10, 20e3, 278.15, (273.15, 298.15), "prior of this project", "derived")
    >>> f"{diffusivity(285.15, lean):.2e}"
    '3.71e-10'
    """
    T = law.require_within(temperature)
    return law.d_ref * np.exp(-law.e_a / GAS_CONSTANT * (1.0 / T - 1.0 / law.t_ref))


def exposure(
    times: ArrayLike, temperatures: ArrayLike, law: ArrheniusLaw, *, between: str = "line"
) -> NDArray[np.float64]:
    """Cumulative integral of D dt along a temperature record: the one clock of every linear case.

    Parameters
    ----------
    times : array_like, shape (n,)
        Rising times. [s]
    temperatures : array_like, shape (n,)
        Tissue temperature at those times. [K]
    law : ArrheniusLaw
    between : {"line", "step"}
        What the temperature does between two readings: goes straight to the next, or holds the earlier.

    Returns
    -------
    ndarray, shape (n,)
        0 at the first time. [m2] With "line" each stretch is integrated by six Gauss points (error below
        1e-12 of the stretch for jumps of 30 K).

    Raises
    ------
    OutOfRange
        Times that do not rise, lengths that differ, fewer than one reading, temperatures outside the law.
    """
    t, T = np.asarray(times, float), np.asarray(temperatures, float)
    if t.ndim != 1 or t.shape != T.shape or t.size == 0:
        raise OutOfRange(
            f"{t.size} times and {T.size} temperatures do not make a record.",
            field="times",
            value=t.shape,
            limit=T.shape,
            remedy="Give one temperature for each time.",
        )
    dt = np.diff(t)
    if not (np.isfinite(t).all() and (dt >= 0).all()):
        raise OutOfRange(
            "The times of the record do not rise.",
            field="times",
            value=float(dt.min()) if dt.size else None,
            limit="each time after the one before",
            remedy="Sort the record by time.",
        )
    if between == "step":
        steps = diffusivity(T, law)[:-1] * dt
    elif between == "line":
        law.require_within(T)
        inside = T[:-1, None] + np.diff(T)[:, None] * _NODES
        steps = diffusivity(inside, law) @ _WEIGHTS * dt
    else:
        raise OutOfRange(
            f"between {between!r} is not known.",
            field="between",
            value=between,
            limit=("line", "step"),
            remedy="Choose line or step.",
        )
    return np.concatenate([[0.0], np.cumsum(steps)])


def exposure_at(
    at: ArrayLike, times: ArrayLike, temperatures: ArrayLike, law: ArrheniusLaw
) -> NDArray[np.float64]:
    """Exposure at any times of a straight-line record, exact between its readings. [m2]

    Before the first reading 0; after the last the last temperature holds on.
    """
    t, T, a = np.asarray(times, float), np.asarray(temperatures, float), np.asarray(at, float)
    X = exposure(t, T, law)
    k = np.clip(np.searchsorted(t, a, side="right") - 1, 0, t.size - 1)
    into = np.maximum(a - t[k], 0.0)
    nxt = np.minimum(k + 1, t.size - 1)
    span = np.where(t[nxt] > t[k], t[nxt] - t[k], 1.0)
    slope = (T[nxt] - T[k]) / span
    inside = T[k][..., None] + (slope * into)[..., None] * _NODES
    return X[k] + diffusivity(inside, law) @ _WEIGHTS * into


def time_of_exposure(
    wanted: ArrayLike, times: ArrayLike, temperatures: ArrayLike, law: ArrheniusLaw
) -> NDArray[np.float64]:
    """Time at which a straight-line record reaches an exposure: the inverse of `exposure_at`. [s]

    After the last reading the last temperature is taken to hold on. An infinite exposure is never reached
    and gives infinity. Newton on the exact exposure from the straight line between readings.
    """
    t, T, want = np.asarray(times, float), np.asarray(temperatures, float), np.asarray(wanted, float)
    X = exposure(t, T, law)
    beyond = want >= X[-1]
    late = t[-1] + (want - X[-1]) / diffusivity(T[-1], law)
    if t.size == 1:
        return late
    aim = np.where(beyond, X[0], want)
    found = np.interp(aim, X, t)
    for _ in range(4):
        miss = exposure_at(found, t, T, law) - aim
        found = np.clip(found - miss / diffusivity(np.interp(found, t, T), law), t[0], t[-1])
    return np.where(beyond, late, found)
