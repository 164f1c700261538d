"""The march for one even tissue in a body of crossed axes: every mode of the same finite volumes fades by itself.

Where storage and conductance are one number in a box, a rectangle or a short cylinder, and one reservoir stands at all
open sides, the matrix of the finite volumes is a sum over the axes of small symmetric ones. Their eigenvectors part the
body into modes that do not meet (fast diagonalisation: Lynch, Rice and Thomas 1964, Numerische Mathematik 6, 185-199).
With v = what the body lacks of its outside, and an outside b that goes straight from b0 to b1 over a step whose
exposure is tau,

    v(tau) = exp(-L tau) (v + a w) - a w        a = (b1 - b0) / tau        w = 1 / L

is exact, however long the step. A finite bath closes it: the content of bath and body together stays, which is one
equation for b1. Only the straight b is an approximation, of second order; where the outside is held, none is left.

Grid, targets, accounts and results are those of ``transport_march``; only NumPy is needed, nothing is compiled.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.physics.transport_faces import Bath, Held, Outside, Record
from ingle.physics.transport_grid import Grid
from ingle.physics.transport_shapes import Clock, Out, Plan, Rim, Tissue, Watch

Floats = NDArray[np.float64]
WIDEST = 160  # cells along an axis: beyond that the eigenvectors cost more than marching
MOST_POINTS = 500  # of a record of the outside; each is met by a step
LONGEST_STRETCH, MOST_REFUSALS = 4.0, 60


@dataclass
class Modes:
    """The body in its own modes. ``to`` and ``back``: matrices of each axis, ``fades``: its eigenvalues [1/exposure]."""

    to: tuple[Floats, ...]
    back: tuple[Floats, ...]
    fades: tuple[Floats, ...]
    ones: tuple[Floats, ...]  # a body of 1 in the modes of each axis
    lag: Floats  # w: a body of 1 over all its eigenvalues
    dot: Floats  # ones x lag
    all: float  # sum of dot

    def into(self, values: Floats) -> Floats:
        """Cells to modes, three-dimensional."""
        return _along(self.to, values)

    def out_of(self, modes: Floats) -> Floats:
        """Modes to cells."""
        return _along(self.back, modes)

    def left(self, tau: float) -> tuple[Floats, ...]:
        """What is left of each mode after an exposure, by axis."""
        return tuple(np.exp(-fade * tau) for fade in self.fades)

    def lagged(self, left: Sequence[Floats]) -> float:
        """Sum over the modes of (1 - left) x ones x lag."""
        x, y, z = left
        return self.all - float(x @ ((self.dot @ z) @ y))

    def sum(self, modes: Floats, left: Sequence[Floats]) -> float:
        """Content of a body after its modes have faded, per storage."""
        x, y, z = (one * e for one, e in zip(self.ones, left, strict=True))
        return float(x @ ((modes @ z) @ y))


def suits(grid: Grid, tissue: Tissue, outside: Sequence[Outside], clock: Clock) -> bool:
    """Whether a run is one even tissue in crossed axes with one outside, so that this march gives it."""
    shape = grid.volume.shape
    if sum(n > 1 for n in shape) < 2 or max(shape) > WIDEST or len(outside) != 1:
        return False
    (pool,) = outside
    if tissue.conductance_law.size or tissue.content_law.size or tissue.loss.any() or tissue.source.any():
        return False
    k, store = tissue.conductance, tissue.storage / np.where(grid.inside, grid.volume, 1.0)
    if not grid.inside.all() or np.ptp(k) > 0.0 or k.flat[0] == 0.0 or np.ptp(store) > 1e-12 * store.flat[0]:
        return False
    steady = float(np.ptp(clock.conductance)) == 0.0
    if np.isfinite(pool.transfer) and not steady:
        return False
    if isinstance(pool, Held):
        return not isinstance(pool.value, Record) or (steady and np.size(pool.value.times) <= MOST_POINTS)
    return pool.dry == 0.0 and (pool.saturated is None or max(pool.start, float(tissue.start.max())) <= pool.saturated)


def parted(grid: Grid, tissue: Tissue, rim: Rim, factor: float) -> Modes:
    """Modes of the finite volumes; ``factor`` is the clock's, for sides with a film."""
    k, even = float(tissue.conductance.flat[0]), float(tissue.storage.flat[0] / grid.volume.flat[0])
    corner = float(grid.volume.flat[0])
    to, back, fades, ones = [], [], [], []
    for axis in range(3):
        first = tuple(slice(None) if way == axis else 0 for way in range(3))
        mass, area, half = grid.volume[first], grid.area[axis][first], grid.halves[axis]
        stiff = np.zeros((mass.size, mass.size))
        between = np.arange(mass.size - 1)
        through = k * area[1:-1] / (half[:-1] + half[1:])
        stiff[between, between + 1] = stiff[between + 1, between] = -through
        stiff[between, between] += through
        stiff[between + 1, between + 1] += through
        _open(stiff, grid, rim, axis, k, factor)
        root = np.sqrt(mass * even)
        fade, vectors = np.linalg.eigh(stiff / np.outer(root, root))
        share = 1.0 if axis == 0 else corner  # the corner's volume is in each axis's own masses: once is right
        to.append(vectors.T * np.sqrt(mass / share))
        back.append((vectors.T / np.sqrt(mass / share)).T)
        fades.append(np.maximum(fade, 0.0))
        ones.append(to[-1].sum(axis=1))
    slow = fades[0][:, None, None] + fades[1][None, :, None] + fades[2][None, None, :]
    one = ones[0][:, None, None] * ones[1][None, :, None] * ones[2][None, None, :]
    lag = one / slow
    return Modes(tuple(to), tuple(back), tuple(fades), tuple(ones), lag, one * lag, float(np.vdot(one, lag)))


def march_modes(
    grid: Grid, tissue: Tissue, rim: Rim, pool: Outside, clock: Clock, watch: Watch, plan: Plan, out: Out
) -> tuple[Floats, float]:
    """From plan.times[0] to plan.times[-1]; fills ``out`` as `transport_march.march` does.

    Returns the values of the cells at the end and the step that would come next.
    """
    modes = parted(grid, tissue, rim, float(clock.conductance[0]))
    even = float(tissue.storage.flat[0] / grid.volume.flat[0])
    whole = even * float(grid.volume.sum())
    bath = pool if isinstance(pool, Bath) else None
    water = 0.0 if bath is None else bath.water
    straight = _straight(pool, plan)
    values, baths, accounts, watched = out.values, out.baths, out.accounts, out.watched
    told, looks = plan.times, _looks(modes, watch, grid)

    t, end, row, number = float(told[0]), float(told[-1]), 1, 0
    b = _held(pool, t) if bath is None else bath.start
    body = float((tissue.storage * tissue.start).sum())
    total = body + water * b
    v = modes.into(tissue.start - b)
    values[:1], accounts[0, 0] = tissue.start.ravel(), body
    baths[0, 0] = 0.0 if bath is None else bath.content
    watched[0] = [float(np.vdot(look, v)) + b * share for look, share in looks]
    h, last, b_last, refused = plan.first_step, 0.0, b, 0  # last: exposure of the last step
    while t < end:
        fixed = plan.fixed.size > 0
        stop = float(plan.fixed[number]) if fixed else float(straight[np.searchsorted(straight, t, side="right")])
        if fixed or (bath is None) or h >= (stop - t) * (1.0 - 1e-9):
            arrive = stop
        else:
            arrive = t + min(h, max(0.5 * (stop - t), h * (h < 0.5 * (stop - t))))
        gone, tau = arrive - t, _exposure(clock, t, arrive)
        left = modes.left(tau)
        if bath is None:
            b1 = _held(pool, arrive, after=False)
        else:
            p, q = even * modes.sum(v, left), even * modes.lagged(left) / max(tau, 1e-300)
            b1 = (total - p - b * q) / (whole + water - q) if tau > 0.0 else b  # p + b1 (whole + water) - (b1 - b) q = total
        off = 0.0
        if not fixed and tau > 0.0 and last > 0.0:
            bend = abs((b1 - b) / tau - (b - b_last) / last) / (tau + last)
            off = bend * tau**2 / plan.target  # four times what the chord misses: the misses of many steps add up
            if off > 1.0 and refused < MOST_REFUSALS:
                h, refused = gone * max(0.1, 0.85 * off**-0.5), refused + 1
                out.counts[1] += 1
                continue
        a = (b1 - b) / tau if tau > 0.0 else 0.0
        v += a * modes.lag
        while row < told.size and told[row] < arrive:
            u = _exposure(clock, t, float(told[row]))
            here = b + a * u
            _write(out, row, modes, v, a, modes.left(u), here, even, whole, total, bath, looks)
            row += 1
        _fade(v, left)
        v -= a * modes.lag
        if bath is None and arrive < end:  # a jump of the outside is met between two steps
            jump = _held(pool, arrive) - b1
            if jump:
                v -= jump * modes.into(np.ones(grid.volume.shape))
                b1 += jump
        if row < told.size and told[row] <= arrive:
            _write(out, row, modes, v, 0.0, modes.left(0.0), b1, even, whole, total, bath, looks)
            row += 1
        last, b_last, t, b, refused, number = tau, b, arrive, b1, 0, number + 1
        out.counts[0] += 1
        h = max(h, gone) if bath is None else gone * min(LONGEST_STRETCH, 0.85 * max(off, 1e-9) ** -0.5)
    return modes.out_of(v) + b, h


def _open(stiff: Floats, grid: Grid, rim: Rim, axis: int, k: float, factor: float) -> None:
    """Add what the open sides across an axis let through, seen from its row of cells at the corner."""
    shape = grid.volume.shape
    place = np.unravel_index(rim.cell, shape)
    corner = rim.axis == axis
    for way in range(3):
        if way != axis:
            corner = corner & (place[way] == 0)
    for f in np.flatnonzero(corner):
        n = place[axis][f]
        stiff[n, n] += rim.area[f] * k / (rim.half[f] + rim.resistance[f] * factor * k)


def _along(matrices: Sequence[Floats], values: Floats) -> Floats:
    """A matrix along each axis."""
    x, y, z = matrices
    found = np.tensordot(x, values, axes=(1, 0))
    return np.ascontiguousarray(np.matmul(y, found) @ z.T)


def _fade(v: Floats, left: Sequence[Floats]) -> None:
    """All modes by what is left of them, in place."""
    x, y, z = left
    v *= x[:, None, None]
    v *= y[:, None] * z


def _looks(modes: Modes, watch: Watch, grid: Grid) -> list[tuple[Floats, float]]:
    """Each watched value as weights on the modes, and the sum of its weights."""
    found = []
    for first, last in zip(watch.first[:-1], watch.first[1:], strict=True):
        cells = np.zeros(grid.volume.size)
        np.add.at(cells, watch.cell[first:last], watch.weight[first:last])
        back = tuple(matrix.T for matrix in modes.back)
        found.append((_along(back, cells.reshape(grid.volume.shape)), float(cells.sum())))
    return found


def _write(
    out: Out, row: int, modes: Modes, v: Floats, a: float, left: Sequence[Floats], b: float, even: float,
    whole: float, total: float, bath: Bath | None, looks: Sequence[tuple[Floats, float]],
) -> None:
    """One output time: modes v (the lag added) faded by ``left``, beside an outside b."""
    values, baths, accounts, watched = out.values, out.baths, out.accounts, out.watched
    body = whole * b + even * modes.sum(v, left) - a * even * modes.all
    accounts[row, 0] = body
    baths[row, 0] = total - body if bath is not None else accounts[0, 0] - body
    if values.size or looks:
        now = v.copy()
        _fade(now, left)
        now -= a * modes.lag
        watched[row] = [float(np.vdot(look, now)) + b * share for look, share in looks]
        if values.size:
            values[row] = (modes.out_of(now) + b).ravel()


def _held(pool: Outside, t: float, *, after: bool = True) -> float:
    """Value of a held outside at a time; at a jump the value after it, or before."""
    assert isinstance(pool, Held)
    if not isinstance(pool.value, Record):
        return float(pool.value)
    times, values = np.asarray(pool.value.times, float), np.asarray(pool.value.values, float)
    n = int(np.searchsorted(times, t, side="right" if after else "left"))
    if n == 0:
        return float(values[0])
    if n == times.size:
        return float(values[-1])
    share = (t - times[n - 1]) / (times[n] - times[n - 1])
    return float(values[n - 1] + share * (values[n] - values[n - 1]))


def _straight(pool: Outside, plan: Plan) -> Floats:
    """Times at which a step must end: between them a held outside is straight in exposure."""
    times = [plan.stops]
    if isinstance(pool, Held) and isinstance(pool.value, Record):
        times.append(np.asarray(pool.value.times, float))
    every = np.unique(np.concatenate(times))
    return np.asarray(every[(every > plan.times[0]) & (every <= plan.times[-1])])


def _exposure(clock: Clock, start: float, end: float) -> float:
    """Integral of the clock's factor over a step."""
    if clock.times.size == 1:
        return float(clock.conductance[0]) * (end - start)
    return _integral(clock, end) - _integral(clock, start)


def _integral(clock: Clock, t: float) -> float:
    """Integral of the factor from the clock's first point."""
    n = int(np.searchsorted(clock.times, t, side="left"))
    if n == 0:
        return float((t - clock.times[0]) * clock.conductance[0])
    last = float(clock.conductance[n - 1])
    if n == clock.times.size:
        return float(clock.conductance_sum[n - 1] + (t - clock.times[n - 1]) * last)
    here = last + (t - clock.times[n - 1]) / (clock.times[n] - clock.times[n - 1]) * (clock.conductance[n] - last)
    return float(clock.conductance_sum[n - 1] + (t - clock.times[n - 1]) * 0.5 * (last + here))

