"""A rind through fridge and oven: heat and moisture of every member at once, through a chain of stages.

The balance is `rind_flow`; here it is marched in time: a two-stage Rosenbrock method, L-stable and of second order, with steps
chosen from the difference to its first stage (Verwer et al. 1999, from memory). Water and heat are themselves what is marched,
so both close to rounding: what left at each node is marched beside them.

Shapes: members M, nodes N, of which the first S are skin.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ingle.physics.ranges import require_within
from ingle.physics.rind_flow import Slab, celsius_of, heat_of, rates, slab
from ingle.physics.rind_laws import Around, RindLaws, Rinds

__all__ = ["Path", "State", "march", "mean_water", "start", "weighed"]

Floats = NDArray[np.float64]
GAMMA = 1.0 - np.sqrt(0.5)
_SHORTEST_S = 1e-5
_LEASH = 20.0  # how far beyond the tolerance a member that is not heeded may go
_COLOURS = 3  # a node touches its two neighbours only


@dataclass(frozen=True)
class State:
    """All members at one moment."""

    body: Slab
    water: Floats  # (M, N) [kg/m3]
    heat: Floats  # (M, N) [J/m3]
    water_gone: Floats  # (M, N) by the node at which it left [kg/m2]
    heat_gone: Floats  # (M, N) net of what came in [J/m2]
    puffed: Floats  # (M, N) 1 where the skin has been hot and moist enough
    hot: Floats  # (M, N) 1 where it has been hot
    moist_when_hot: Floats  # (M, N) water per dry matter when it first was; nan before [kg/kg]
    dose: Floats  # (M,) degrees above melting times time, mean over the fat [K s]
    puffed_at: Floats  # (M,) time at which half the skin had puffed; nan before [s]
    boiled: Floats  # (M,) water per dry matter of the skin that boiled off inside before it puffed [kg/kg]
    seconds: float = 0.0

    def celsius(self, laws: RindLaws) -> Floats:
        """Temperature of every node. [degC]"""
        return celsius_of(self.heat, self.water, self.body, laws)

    def leaky(self) -> NDArray[np.bool_]:
        """Skins that boiled so much off inside that steam has its own ways out. (M,)"""
        return np.asarray(self.boiled >= self.body.leaks)

    def open(self) -> Floats:
        """1 where steam gets out: skin that puffed or leaks. (M, N)"""
        return np.asarray(np.maximum(self.puffed, self.leaky()[:, None] * self.body.is_skin))


@dataclass(frozen=True)
class Path:
    """What a stage went through; the first row is its start."""

    seconds: Floats  # (K,) since the very start [s]
    water: Floats  # (K, M) water per dry matter of the skin, its mean [kg/kg]
    celsius: Floats  # (K, M) mean of the skin [degC]
    face: Floats  # (K, M) upper face [degC]
    puffed: Floats  # (K, M) share of the skin that has puffed [1]
    end: State
    steps: int


def start(rinds: Rinds, celsius: Floats | float, laws: RindLaws, *, skin: int = 11, fat: int = 3) -> State:
    """Rinds at one temperature, water even. [degC]"""
    body = slab(rinds, laws, skin, fat)
    t = np.broadcast_to(np.asarray(celsius, float)[..., None] if np.ndim(celsius) else celsius, body.water.shape)
    none = np.zeros_like(body.water)
    nan = np.full(len(body.water), np.nan)
    return State(
        body, body.water.copy(), heat_of(t, body.water, body, laws), none, none.copy(), none.copy(), none.copy(),
        np.full_like(none, np.nan), np.zeros(len(body.water)), nan, np.zeros(len(body.water)),
    )  # fmt: skip


def mean_water(state: State) -> Floats:
    """Water per dry matter of the skin without the fat layer, (M,). [kg/kg]"""
    b, S = state.body, state.body.skin
    return np.asarray((state.water * b.width)[:, :S].sum(-1) / (b.dry * b.width)[:, :S].sum(-1))


def weighed(state: State, water: Floats, laws: RindLaws, celsius: Floats | float | None = None) -> State:
    """The same rinds with their skin's mean water put to what a scale told; its profile keeps its shape.

    Parameters
    ----------
    water : ndarray, shape (M,)
        Water per dry matter of the skin. [kg/kg]
    celsius : optional
        A new, even temperature; left out: each node keeps its own. [degC]
    """
    S, now, first = state.body.skin, mean_water(state), state.body.water[:, :1] / state.body.dry[:, :1]
    down = np.minimum(water / now, 1.0)[:, None]
    up = np.clip((first[:, 0] - water) / np.maximum(first[:, 0] - now, 1e-9), 0.0, 1.0)[:, None]
    X = state.water[:, :S] / state.body.dry[:, :S]
    told = np.where(down < 1.0, X * down, first - (first - X) * up)
    fresh = np.where(water[:, None] > first, water[:, None], told)
    t = state.celsius(laws) if celsius is None else np.full_like(state.water, 0.0) + _column(celsius)
    w = state.water.copy()
    w[:, :S] = fresh * state.body.dry[:, :S]
    return replace(state, water=w, heat=heat_of(t, w, state.body, laws))


def march(state: State, around: Around, laws: RindLaws, *, rows: int = 60, tolerance: float = 2e-3, heed: float = 1.0) -> Path:
    """Take all members through one stage.

    Parameters
    ----------
    rows : int
        How many times are told, evenly spread.
    tolerance : float
        Of one step: share of the water, and of 50 K.
    heed : float
        Share of the members that must keep it: steps of an ensemble need not follow its last member. Balances close all the same.

    Raises
    ------
    OutOfRange
        Air outside ``laws.valid``, no time, convection or vapour pressure below 0.
    """
    require_within(around.air_c, laws.valid, "air temperature", "C", "the laws of air, water and skin end there")
    require_within(around.seconds, (1e-9, 1e7), "time of the stage", "s")
    require_within(around.convection, (0.0, laws.air.most_transfer), "convection", "W/m2K", laws.air.source)
    require_within(around.vapour_pressure, (0.0, laws.air.pressure), "vapour pressure", "Pa")
    told = [_row(state, laws)]
    longest = around.step or around.seconds / 60.0
    h, steps = min(1.0, longest), 0
    begun = state.seconds
    for until in begun + around.seconds * np.arange(1, rows + 1) / rows:
        while state.seconds < until - 1e-6:
            take = min(h, longest, until - state.seconds)
            with np.errstate(all="ignore"):  # a step that is too long may run away; it is not kept
                nxt, error = _step(state, around, laws, take, tolerance, heed)
            steps += 1
            grow = 0.9 / np.sqrt(max(error, 1e-6))
            if error > 1.0:
                if take < _SHORTEST_S:
                    raise FloatingPointError(f"no step of the rind's march keeps its tolerance at {state.seconds:g} s")
                h = take * max(0.2, grow)
                continue
            state = _seen(state, nxt, laws, take)
            h = max(h, take) if take < h and grow > 1.0 else take * min(3.0, grow)  # a step cut short by a row says little
        told.append(_row(state, laws))
    seconds, water, celsius, face, puffed = zip(*told, strict=True)
    return Path(np.array(seconds), np.array(water), np.array(celsius), np.array(face), np.array(puffed), state, steps)


def _row(state: State, laws: RindLaws) -> tuple[float, Floats, Floats, Floats, Floats]:
    S, wide = state.body.skin, state.body.width[:, : state.body.skin]
    t = state.celsius(laws)
    part = wide / wide.sum(-1, keepdims=True)
    return state.seconds, mean_water(state), (t[:, :S] * part).sum(-1), t[:, 0], (state.puffed[:, :S] * part).sum(-1)


def _step(state: State, around: Around, laws: RindLaws, h: float, tolerance: float, heed: float) -> tuple[State, float]:
    """One step of ROS2 and its error as a share of the tolerance, the worst of the members heeded."""
    body = state.body
    M, N = state.water.shape
    f, A, f_out, A_out = _slopes(state, around, laws)
    inverse = np.linalg.inv(np.eye(2 * N) - GAMMA * h * A)
    k1 = np.einsum("mij,mj->mi", inverse, f)
    w1 = state.water + h * k1[:, :N]
    q1 = state.heat + h * k1[:, N:]
    g = rates(w1, q1, state.open(), body, around, laws)
    k2 = np.einsum("mij,mj->mi", inverse, np.concatenate(g[:2], -1) - 2.0 * k1)
    out1 = f_out + GAMMA * h * _leaving(A_out, k1, N)
    out2 = np.stack(g[2:], -1) - 2.0 * out1 + GAMMA * h * _leaving(A_out, k2, N)
    rise = h * (1.5 * k1 + 0.5 * k2)
    out = h * (1.5 * out1 + 0.5 * out2)
    off = 0.5 * h * (k1 + k2)
    scale = np.concatenate(
        [tolerance * (state.water + 0.02 * body.dry), np.full((M, N), 50.0 * tolerance) * (1500.0 * body.dry + 4186.0 * state.water)], -1
    )
    each = np.sqrt(((off / scale) ** 2).mean(-1))
    error = max(float(np.quantile(each, heed)), float(each.max()) / _LEASH)
    after = replace(
        state, water=state.water + rise[:, :N], heat=state.heat + rise[:, N:], water_gone=state.water_gone + out[..., 0],
        heat_gone=state.heat_gone + out[..., 1], seconds=state.seconds + h,
    )  # fmt: skip
    return after, error if np.isfinite(error) else 1e6


def _slopes(state: State, around: Around, laws: RindLaws) -> tuple[Floats, Floats, Floats, Floats]:
    """Rates (M, 2N), their slopes (M, 2N, 2N), what leaves (M, N, 2) and its slopes with its own node (M, N, 2, 2).

    Slopes by differences: every third node is moved at once, for a node touches its neighbours only.
    """
    M, N = state.water.shape
    nudge = np.stack([1e-7 * (state.water + 0.01 * state.body.dry), 1e-7 * (np.abs(state.heat) + 1e6)])
    w, q = (np.repeat(x[None], 1 + 2 * _COLOURS, 0) for x in (state.water, state.heat))
    for c in range(_COLOURS):
        w[1 + c, :, c::_COLOURS] += nudge[0, :, c::_COLOURS]
        q[1 + _COLOURS + c, :, c::_COLOURS] += nudge[1, :, c::_COLOURS]
    dw, dq, ow, oq = rates(w, q, state.open(), state.body, around, laws)
    f = np.concatenate([dw[0], dq[0]], -1)
    A = np.zeros((M, 2 * N, 2 * N))
    A_out = np.zeros((M, N, 2, 2))
    for v, base in enumerate((1, 1 + _COLOURS)):
        for j in range(N):
            at = base + j % _COLOURS
            near = slice(max(j - 1, 0), min(j + 2, N))
            A[:, near, v * N + j] = (dw[at] - dw[0])[:, near] / nudge[v, :, j : j + 1]
            A[:, near.start + N : near.stop + N, v * N + j] = (dq[at] - dq[0])[:, near] / nudge[v, :, j : j + 1]
            A_out[:, j, 0, v] = (ow[at] - ow[0])[:, j] / nudge[v, :, j]
            A_out[:, j, 1, v] = (oq[at] - oq[0])[:, j] / nudge[v, :, j]
    return f, A, np.stack([ow[0], oq[0]], -1), A_out


def _leaving(A_out: Floats, k: Floats, N: int) -> Floats:
    return np.asarray(np.einsum("mnab,mnb->mna", A_out, np.stack([k[:, :N], k[:, N:]], -1)))


def _seen(before: State, after: State, laws: RindLaws, h: float) -> State:
    """Note what has puffed, how moist it was when it first got hot, and how long the fat was warm."""
    body, S = after.body, after.body.skin
    t = after.celsius(laws)
    X = after.water / body.dry
    most = 1.02 * laws.held  # boiling ends there, not quite below
    first = (t >= laws.puff_c) & (before.hot < 0.5)
    moist = np.abs(X - 0.5 * (laws.puff_low + most)) <= 0.5 * (most - laws.puff_low)
    fit = (t >= laws.puff_c) & moist & ~before.leaky()[:, None]
    puffed = np.where(fit & (body.is_skin > 0), 1.0, before.puffed)
    wide = body.width[:, :S]
    share = (puffed[:, :S] * wide).sum(-1) / wide.sum(-1)
    fat = body.fat * body.width
    gone = (after.water_gone - before.water_gone)[:, 1 : S - 1] * (before.puffed[:, 1 : S - 1] < 0.5)  # at the faces water need not boil
    warm = np.maximum(t - laws.render_c, 0.0)
    return replace(
        after, puffed=puffed, hot=np.maximum(before.hot, first), moist_when_hot=np.where(first, X, before.moist_when_hot),
        dose=before.dose + h * (warm * fat).sum(-1) / np.maximum(fat.sum(-1), 1e-12),
        boiled=before.boiled + gone.sum(-1) / (body.dry * body.width)[:, :S].sum(-1),
        puffed_at=np.where(np.isnan(before.puffed_at) & (share >= 0.5), after.seconds, before.puffed_at),
    )  # fmt: skip


def _column(x: Floats | float) -> Floats:
    a = np.asarray(x, dtype=float)
    return a[:, None] if a.ndim else a
