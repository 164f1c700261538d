"""Resting: what is inside evens out between sealed faces (brine poured off, piece wrapped)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ingle.ground.errors import OutOfRange
from ingle.physics.series_roots import enough, order, phi_psi, sealed_roots
from ingle.physics.shapes import Kind
from ingle.physics.special import Floats

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_NODES, _WEIGHTS = (_NODES + 1.0) / 2.0, _WEIGHTS / 2.0
_PROFILE_MODES = 96


def thin_layer(kind: Kind, fourier: ArrayLike, at: ArrayLike) -> Floats:
    """All solute in a thin layer at the outer face at first, faces sealed: value / mean at places ``at``.

    Parameters
    ----------
    fourier : array_like, shape (...)
        X / path^2, above 0 (at 0 the layer has no thickness and its value is infinite).
    at : array_like, shape (P,)
        0 = core (far face of a slab), 1 = face with the layer.

    Returns
    -------
    ndarray, shape (..., P): 1 + 2/(m+1) sum phi(w r)/phi(w) exp(-w^2 Fo), to 1e-9 from Fo = 2e-5 up.
    """
    fo, r = np.asarray(fourier, float), np.asarray(at, float)
    if not (fo > 0).all():
        raise OutOfRange(
            "At Fo = 0 a thin layer has no finite concentration.",
            field="fourier",
            value=float(fo.min()),
            limit="above 0",
            remedy="Ask for a time after the start.",
        )
    w = sealed_roots(kind, enough(fo))
    weight = 2.0 / ((order(kind) + 1) * phi_psi(kind, w)[0])
    decayed = weight * np.exp(-(w * w) * fo[..., None])
    return 1.0 + decayed @ phi_psi(kind, w[:, None] * r)[0]


def rest_profile(
    kind: Kind, fourier: ArrayLike, at: ArrayLike, places: ArrayLike, values: ArrayLike
) -> Floats:
    """Any first profile evening out between sealed faces.

    Parameters
    ----------
    fourier : array_like, shape (...)
        X / path^2 since the faces were sealed.
    at : array_like, shape (P,)
        Where to tell the value, 0 = core, 1 = face.
    places, values : array_like, shape (n,)
        First profile, straight between its points; places rise from 0 to 1, and a place given twice is a jump.

    Returns
    -------
    ndarray, shape (..., P), unit of ``values``. The mean (weighted by r^m) is kept exactly.

    Raises
    ------
    OutOfRange
        Places that do not rise from 0 to 1.
    """
    fo, r = np.asarray(fourier, float), np.asarray(at, float)
    x, v = _profile(places, values)
    mean, w, weight = _project(kind, x, v, min(_PROFILE_MODES, max(24, enough(fo))))
    late = mean + (weight * np.exp(-(w * w) * fo[..., None])) @ phi_psi(kind, w[:, None] * r)[0]
    return np.where(fo[..., None] > 0.0, late, np.interp(r, x, v))


def profile_mean(kind: Kind, places: ArrayLike, values: ArrayLike) -> float:
    """Volume mean of a profile given as in `rest_profile`."""
    x, v = _profile(places, values)
    return _project(kind, x, v, 1)[0]


def _project(kind: Kind, x: Floats, v: Floats, count: int) -> tuple[float, Floats, Floats]:
    """Mean, sealed roots and weights of a piecewise straight profile, by Gauss points in every stretch.

    Stretches are cut until none holds more than about one wave of the highest mode.
    """
    m = order(kind)
    w = sealed_roots(kind, count)
    length = np.diff(x)
    cuts = np.maximum(1, np.ceil(length * w[-1] / 6.0).astype(int))
    part = np.repeat(np.arange(length.size), cuts)
    number = np.arange(part.size) - np.repeat(np.cumsum(cuts) - cuts, cuts)
    s = (number[:, None] + _NODES) / cuts[part][:, None]
    r = (x[:-1][part][:, None] + length[part][:, None] * s).ravel()
    f = (v[:-1][part][:, None] + np.diff(v)[part][:, None] * s).ravel()
    volume = ((length / cuts)[part][:, None] * _WEIGHTS).ravel() * (m + 1) * r**m
    mean = float((volume * f).sum())
    phi_end = phi_psi(kind, w)[0]
    weight = phi_psi(kind, w[:, None] * r)[0] @ (volume * (f - mean)) / (0.5 * (m + 1) * phi_end**2)
    return mean, w, weight


def _profile(places: ArrayLike, values: ArrayLike) -> tuple[Floats, Floats]:
    x, v = np.asarray(places, float), np.asarray(values, float)
    if x.ndim != 1 or x.shape != v.shape or x.size < 2 or not (np.diff(x) >= 0).all() or (x[0], x[-1]) != (0.0, 1.0):
        raise OutOfRange(
            "A profile needs places that rise from 0 (core) to 1 (face), with one value each.",
            field="places",
            value=None if x.size == 0 else (float(x.flat[0]), float(x.flat[-1])),
            limit=(0.0, 1.0),
            remedy="Give core and face, and any places between, in rising order.",
        )
    return x, v
