"""Growth work at every place along a record, with the spread of the model and of the readings.

With steady conditions at a place the work is the sum over temperatures of rate times time spent there (`physics.dwell`): the
record is counted once, whatever its length. Where conditions move along the record the rate is summed reading by reading.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ingle.ground.tables import toml_table
from ingle.physics import dwell
from ingle.physics.special import erfc
from ingle.safety.conditions import PAGE, Conditions
from ingle.safety.growth_interface import FITTED, interface
from ingle.safety.growth_rate import rate
from ingle.safety.growth_record import GrowthRecord

Floats = NDArray[np.float64]
WIDTH_C = 0.02  # of the nominal sum: rates curve so little that the work is within 1e-5 of the straight sum
SPREAD_WIDTH_C = 0.25  # of the spread: within 1e-3, far below the spread itself
_HERMITE = (np.array([0.0, math.sqrt(3.0), -math.sqrt(3.0)]), np.array([2 / 3, 1 / 6, 1 / 6]))  # exact to the fifth moment


@dataclass(frozen=True)
class Work:
    """Growth work per place, shape (places,): as told, and its 5 and 95 % ends. Least psi along the record, where fitted."""

    likely: Floats
    low: Floats
    high: Floats
    psi: Floats | None

    @property
    def worst(self) -> int:
        """The place with the most growth at its upper end, then as told, then the first."""
        return int(np.lexsort((-np.arange(self.high.size), self.likely, self.high))[-1])


def dwells(record: GrowthRecord) -> tuple[dwell.Dwell, dwell.Dwell]:
    """The record counted finely for the sum and coarsely for the spread."""
    fine = dwell.dwell(record.seconds, record.celsius, WIDTH_C)
    return fine, dwell.coarser(fine, SPREAD_WIDTH_C)


def work(
    germ: str, record: GrowthRecord, c: Conditions, *, meat: str = "pork", probe_error: float = 0.0,
    counted: tuple[dwell.Dwell, dwell.Dwell] | None = None,
) -> Work:  # fmt: skip
    """Growth work of one germ at every place. ``probe_error`` is a half width, 5 to 95 %, of the whole record. [K]"""
    if c.moves:
        return _along(germ, record, c, meat, probe_error)
    fine, coarse = counted or dwells(record)
    likely = _summed(germ, fine, c, meat, 0.0)
    psi = _least_psi(germ, fine, c)
    members, weights = [], []
    for shift_aw, w_aw in _points(c.aw_error):
        for shift_ph, w_ph in _points(c.ph_error):
            moved = replace(c, aw=np.clip(c.aw + shift_aw, 0.0, 1.0), ph=c.ph + shift_ph)
            for shift_t, w_t in _points(probe_error):
                members.append(_summed(germ, coarse, moved, meat, shift_t))
                weights.append(w_aw * w_ph * w_t)
    return _with_spread(likely, np.array(members), np.array(weights), psi)


def course(germ: str, record: GrowthRecord, c: Conditions, at: int, meat: str = "pork") -> tuple[Floats, Floats]:
    """Growth work at one place as time goes on, rates straight between readings. [s], [1], shape (n,)"""
    one = c.node(at)
    row = record.celsius if record.celsius.ndim == 1 else record.celsius[at]
    seconds, celsius = (record.seconds, row) if c.moves else dwell.finer(record.seconds, row, SPREAD_WIDTH_C)
    mu = rate(germ, celsius, wide(one) if not c.moves else one, meat)[0]
    steps = np.diff(seconds) * (mu[1:] + mu[:-1]) / 2.0
    return seconds, np.concatenate([[0.0], np.cumsum(steps)])


def wide(c: Conditions) -> Conditions:
    """Steady conditions with an axis for temperatures."""
    return replace(c, **{k: getattr(c, k)[:, None] for k in ("aw", "ph", "wps", "nitrite", "lactate", "phenol")})


def _summed(germ: str, counted: dwell.Dwell, c: Conditions, meat: str, shift: float) -> Floats:
    return np.broadcast_to(counted.integral(rate(germ, counted.temperature + shift, wide(c), meat)), (len(c.places),))


def _least_psi(germ: str, counted: dwell.Dwell, c: Conditions) -> Floats | None:
    if germ not in FITTED:
        return None
    stood = counted.temperature[np.atleast_2d(counted.seconds).sum(axis=0) > 0]
    return np.asarray(interface(germ, stood, wide(c)).psi.min(axis=-1))


def _along(germ: str, record: GrowthRecord, c: Conditions, meat: str, probe_error: float) -> Work:
    steps = np.diff(record.seconds)

    def total(moved: Conditions, shift: float) -> Floats:
        mu = rate(germ, record.celsius + shift, moved, meat)
        return np.asarray(((mu[:, 1:] + mu[:, :-1]) / 2.0 * steps).sum(-1))

    psi = np.asarray(interface(germ, record.celsius, c).psi.min(axis=-1)) if germ in FITTED else None
    members, weights = [], []
    for shift_aw, w_aw in _points(c.aw_error):
        for shift_ph, w_ph in _points(c.ph_error):
            moved = replace(c, aw=np.clip(c.aw + shift_aw, 0.0, 1.0), ph=c.ph + shift_ph)
            for shift_t, w_t in _points(probe_error):
                members.append(total(moved, shift_t))
                weights.append(w_aw * w_ph * w_t)
    return _with_spread(total(c, 0.0), np.array(members), np.array(weights), psi)


def _points(half_width: float) -> list[tuple[float, float]]:
    if half_width == 0.0:
        return [(0.0, 1.0)]
    return [(float(x) * half_width / PAGE, float(w)) for x, w in zip(*_HERMITE, strict=True)]


def _with_spread(likely: Floats, members: Floats, weights: Floats, psi: Floats | None) -> Work:
    ln_gsd = math.log(toml_table("laws", "growth.toml")["spread"]["rate_gsd"])
    low, high = (_quantile(members, weights, ln_gsd, q) for q in (0.05, 0.95))
    return Work(np.asarray(likely), np.minimum(low, likely), np.maximum(high, likely), psi)


def _quantile(members: Floats, weights: Floats, ln_gsd: float, chance: float) -> Floats:
    """Quantile of a mixture of log-normal spreads about each member, by halving in the logarithm. Members (m, places)."""
    out = np.zeros(members.shape[1])
    grows = members > 0.0
    some = (weights[:, None] * ~grows).sum(axis=0) < chance  # else the quantile is no growth at all
    if not some.any():
        return out
    ln = np.log(np.where(grows, members, 1.0))[:, some]
    mass = weights[:, None] * grows[:, some]
    still = weights.sum() - mass.sum(axis=0)
    low = np.where(mass > 0, ln, np.inf).min(axis=0) - 8 * ln_gsd
    high = np.where(mass > 0, ln, -np.inf).max(axis=0) + 8 * ln_gsd
    for _ in range(40):
        middle = (low + high) / 2.0
        under = still + (mass * 0.5 * erfc((ln - middle) / (ln_gsd * math.sqrt(2.0)))).sum(axis=0)
        low, high = np.where(under < chance, middle, low), np.where(under < chance, high, middle)
    out[some] = np.exp((low + high) / 2.0)
    return out
