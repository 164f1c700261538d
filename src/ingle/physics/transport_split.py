"""The march in three dimensions: every step is parted along the axes, so that its cost grows as the cells do.

`transport_march` solves all axes of a step at once and needs more turns the finer the cells are. Here each step takes
the rate as it stands and corrects it along one axis after the other (the stabilising corrections of Douglas 1962,
Numerische Mathematik 4, 41-63; Hundsdorfer and Verwer 2003, Numerical Solution of Time-Dependent
Advection-Diffusion-Reaction Equations, IV.5.1). With S the storage, D(c) the content that comes in per time and K_j
the conductances along axis j,

    S e_0 = h D(c)        (S + h/2 K_j) e_j = S e_(j-1)        c + e_3 is the new state

- *Order 2*, without bound on the step; what stands still stays, since it begins from the whole rate.
- *Conservation.* Every correction only moves content between neighbours, or between a cell and its bath; the baths are
  solved with the lines that end at them.
- *Error.* What the parting of the axes missed is put right once, by the same corrections from what is left of the
  undivided step; as much as that changed counts as error, and so does h^3/12 times the third derivative, told from
  the last four states. Steps given by the caller are not put right.
- *Start.* The first three steps after a jump are so short that the cell which feels it most is followed. Steps that
  are given by the caller begin with two pairs of implicit half steps instead, which damp what a jump excites.
- *Bounds.* Where a new state leaves the range of the old one and its outside, the step is made again as half an
  implicit step along each axis in turn, which never leaves it.

Dry salt, laws of the conductance, records and accounts are as in `transport_march`. Storage that depends on the state
is left to it.
"""

# mypy: allow-untyped-defs

from __future__ import annotations

import numpy as np

from ingle.physics.transport_axes import along_all, assemble_axes, baths, rates, settle
from ingle.physics.transport_kernels import conduct, inner, inner_no_nan, njit
from ingle.physics.transport_laws import freeze, law_error, mean_factor
from ingle.physics.transport_march import LONGEST_STRETCH, MOST_REFUSALS
from ingle.physics.transport_stage import choose, dry_share, outside, total, write

SHORT = 3  # steps after a jump before the error can be told from the states
SAME = 1e-9  # of a step: given steps that differ by their rounding share their factors
DAMPED = 2  # given steps after a jump that are made of implicit halves


@njit(cache=True, no_cfunc_wrapper=True, _nrt=False)
def march_split(mesh, rim, pools, tissue, clock, watch, plan, work, axes, now, out):
    """From plan.times[0] to plan.times[-1]; fills ``out`` from row 0 on. Returns the step that would come next."""
    size, n_pools, end = now.c.size, now.b.size, plan.times[-1]
    body, loss, source = tissue.storage.reshape(size), tissue.loss.reshape(size), tissue.source.reshape(size)
    mass, inverse = work.mass.reshape(size), work.inverse.reshape(size)
    for n in range(size):
        mass[n], inverse[n] = now.storage[n], 1.0 / now.storage[n]
    made_rate, lossy, changing = total(source), total(loss) > 0.0, tissue.conductance_law.size > 0
    filmed, shape, turns, least, most = False, tissue.start.shape, 0, 0.0, 0.0
    for f in range(rim.cell.size):
        filmed = filmed or rim.resistance[f] > 0.0
    tally = out.tally  # body now, before, per time; lost, in this step, per time; made, per time
    tally[0], tally[7] = total(now.held), made_rate
    c_low, c_high = _range(now.c, body)
    write(out, 0, now, watch, tally, 1.0, 0.0, 0.0, 0.0)

    adaptive, t, h, h_1, h_2 = plan.fixed.size == 0, plan.times[0], plan.first_step, 0.0, 0.0
    row, stop, number, refused, fresh, matrix, since, told = 1, 0, 0, 0, True, False, 0, False
    f_now, wear_now, a_now = -1.0, -1.0, -1.0
    while t < end:
        if choose(now, pools, plan.exact):
            fresh, since, a_now = True, 0, -1.0
        if adaptive:
            while plan.stops[stop] <= t:
                stop += 1
            room = plan.stops[stop] - t
            h = room if h > room * (1.0 - 1e-9) else min(h, max(0.5 * room, h * (h < 0.5 * room)))
        else:
            h = plan.fixed[number] - t
        factor = mean_factor(clock.times, clock.conductance, clock.conductance_sum, t, t + h)
        wear = mean_factor(clock.times, clock.loss, clock.loss_sum, t, t + h) if lossy else 0.0
        told = told and not fresh and not changing and factor == f_now and wear == wear_now
        if changing:
            for n in range(size):
                now.middle[n] = now.c[n] + (0.5 * h / h_1 * (now.c[n] - now.last[n]) if h_1 > 0.0 else 0.0)
            freeze(tissue, now.c, now.middle, now.storage, now.k)
        if changing or not matrix or (filmed and factor != f_now):
            conduct(work, mesh, rim, now.k, factor)
            matrix, a_now = True, -1.0
        outside(now, pools, t + 1e-9 * h if fresh else t)
        for p in range(n_pools):
            axes.start[p] = now.b[p]
        if not told:
            rates(work, rim, shape, now.c, now.b, factor, wear, loss, now.storage, source,
                  now.rate_0, now.pool_0)
        f_now, wear_now, told = factor, wear, True
        if adaptive and since == 0:
            longest = _first(now, body, inverse, n_pools, plan.target)
            if h > longest:
                h = longest
                continue
        a = 0.5 * h * factor
        if abs(a - a_now) > SAME * a:
            assemble_axes(work, axes, rim, a, pools.water, now.free)
            out.counts[4] += 1
            a_now = a
        a = a_now

        euler, gone, off, halves = False, h, 0.0, not adaptive and since < DAMPED
        if not halves:
            lost_now, least, most = _whole(work, axes, rim, pools, now, body, loss, t, h, wear, a)
            if adaptive:
                least, most, off = _put_right(
                    work, axes, rim, pools, now, body, loss, source, shape, h, factor, wear, a)
                lost_now, turns, off = axes.lost[0], turns + 1, off / plan.target
            if made_rate == 0.0:
                low, high = _reach(now, axes, lossy)
                euler = least < min(low, c_low) - plan.slack or most > max(high, c_high) + plan.slack
        if halves or euler:
            lost_now, least, most = _half(work, axes, rim, pools, now, body, now.c, loss, source, t, h, wear, a, False)
            if adaptive:
                gone = 0.5 * h
            else:
                lost_then, least, most = _half(
                    work, axes, rim, pools, now, body, now.x, loss, source, t + 0.5 * h, h, wear, a, True)
                lost_now, turns = lost_now + lost_then, turns + 1
        turns += 1
        if adaptive:
            if since >= SHORT:
                off = max(off, _error(now, axes, body, pools, gone, h_1, h_2, euler) / plan.target)
            if changing:
                off = max(off, law_error(tissue, now.c, now.x, now.middle) / plan.target)
            for p in range(n_pools):
                now.pool_1[p] = axes.flow[p] / gone
            share = dry_share(pools, now, gone, 0.0, plan.target)
            if refused < MOST_REFUSALS and (not off <= 1.0 or share < 1.0):
                h *= share if off <= 1.0 else max(0.1, 0.85 * off ** (-0.5 if euler else -1.0 / 3.0))
                refused += 1
                out.counts[1] += 1
                continue

        if not adaptive or (not euler and t + h >= plan.stops[stop] - 1e-9 * h):
            arrive = plan.stops[stop] if adaptive else plan.fixed[number]
        else:
            arrive = t + gone
        c_low, c_high = least, most
        tally[1], tally[0] = tally[0], _accept(now, axes, body, gone, adaptive)
        outside(now, pools, arrive)
        rates(work, rim, shape, now.c, now.b, factor, wear, loss, now.storage, source,
              now.rate_0, now.pool_0)
        if row < plan.times.size and plan.times[row] <= arrive:
            tally[2] = total(now.rate_0)
        tally[4], tally[5] = lost_now, _losing(now.c, loss, now.storage, wear) if lossy else 0.0
        tally[3] += lost_now
        tally[6] += gone * made_rate
        while row < plan.times.size and plan.times[row] <= arrive:
            part = 1.0 if plan.times[row] >= arrive else (plan.times[row] - t) / gone
            write(out, row, now, watch, tally, part, gone, gone, 0.0)
            row += 1
        t, h_2, h_1, refused, number, since = arrive, h_1, gone, 0, number + 1, since + 1
        fresh = adaptive and t == plan.stops[stop]
        out.counts[0] += 1
        out.counts[2] += euler
        if fresh:
            since = 0
        if adaptive and since > SHORT:
            grow = min(LONGEST_STRETCH, 0.85 * max(off, 1e-9) ** (-1.0 / 3.0))
            grow = min(grow, 1.0) if euler else grow
            h *= grow if grow > 1.2 or grow < 1.0 else 1.0
    out.counts[3] += turns
    return h


@inner_no_nan
def _first(now, body, inverse, pools, target):
    """Longest first step that follows the cell which feels a jump most. [s]"""
    low, high, most = now.b[0] if pools else now.c[0], now.b[0] if pools else now.c[0], 0.0
    for p in range(pools):
        low, high = min(low, now.b[p]), max(high, now.b[p])
    for n in range(body.size):
        if body[n] > 0.0:
            low, high = min(low, now.c[n]), max(high, now.c[n])
            most = max(most, abs(now.rate_0[n]) * inverse[n])
    if not most > 0.0 or not high > low:
        return np.inf
    return min(0.5, (6.0 * target / (high - low)) ** (1.0 / 3.0)) * (high - low) / most


@inner
def _whole(work, axes, rim, pools, now, body, loss, t, h, wear, a):
    """One step of stabilising corrections; leaves the new state in now.x, what came into each pool in axes.flow.

    Returns the content lost, and the lowest and highest new state."""
    e, c, rate, inverse, gone, size = now.x, now.c, now.rate_0, work.inverse.reshape(now.c.size), 0.0, now.c.size
    for n in range(size):
        e[n] = h * rate[n] * inverse[n]
    if wear > 0.0:
        for n in range(size):
            e[n] /= 1.0 + 0.5 * h * wear * loss[n]
            gone += h * wear * loss[n] * now.storage[n] * (now.c[n] + 0.5 * e[n])
    outside(now, pools, t + h)
    for p in range(now.b.size):
        axes.flow[p] = h * now.pool_0[p]
        axes.beta[p] = 0.0 if now.free[p] else now.b[p] - axes.start[p]
    along_all(work, axes, rim, a, e, axes.beta)
    baths(axes, pools.water, now.free)
    low, high, _ = settle(axes, now.free, e, c, e, body)
    return gone, low, high


@inner
def _put_right(work, axes, rim, pools, now, body, loss, source, shape, h, factor, wear, a):
    """What the parting of the axes missed, put right once; `axes.lost` becomes the content lost.

    Returns the lowest and highest new state, and the largest change: as much counts as left, and is more. [potential]"""
    c, x, middle, d, size = now.c, now.x, now.rate_2, now.r, now.c.size
    rate, inverse = now.rate_1, work.inverse.reshape(now.c.size)
    for n in range(size):
        middle[n] = 0.5 * (c[n] + x[n])
    for p in range(now.b.size):
        axes.middle[p] = axes.start[p] + 0.5 * axes.beta[p]
    rates(work, rim, shape, middle, axes.middle, factor, wear, loss, now.storage, source, rate, now.pool_1)
    for p in range(now.b.size):
        axes.flow[p] = h * now.pool_1[p]
    for n in range(size):
        d[n] = h * rate[n] * inverse[n] - (x[n] - c[n])
    axes.lost[0] = 0.0
    if wear > 0.0:
        axes.lost[0] = h * _losing(middle, loss, now.storage, wear)
        for n in range(size):
            d[n] /= 1.0 + 0.5 * h * wear * loss[n]
            axes.lost[0] += 0.5 * h * wear * loss[n] * now.storage[n] * d[n]
    along_all(work, axes, rim, a, d, axes.still)
    baths(axes, pools.water, now.free)
    return settle(axes, now.free, d, x, x, body)


@inner
def _half(work, axes, rim, pools, now, body, begin, loss, source, t, h, wear, a, second):
    """Half a step, implicit along each axis in turn, from ``begin`` into now.x. Returns as `_whole`."""
    x, gone, size, inverse = now.x, 0.0, now.c.size, work.inverse.reshape(now.c.size)
    for n in range(size):
        x[n] = (begin[n] + 0.5 * h * source[n] * inverse[n]) / (1.0 + 0.5 * h * wear * loss[n])
        if wear > 0.0:
            gone += 0.5 * h * wear * loss[n] * now.storage[n] * x[n]
    outside(now, pools, t + 0.5 * h)
    for p in range(now.b.size):
        axes.gone[p] = axes.flow[p] if second else 0.0
        axes.flow[p] = now.content[p] + axes.gone[p] if now.free[p] else 0.0
        axes.beta[p] = 0.0 if now.free[p] else now.b[p]
    along_all(work, axes, rim, a, x, axes.beta)
    baths(axes, pools.water, now.free)
    low, high, _ = settle(axes, now.free, x, axes.nothing, x, body)
    for p in range(now.b.size):
        axes.flow[p] += axes.gone[p] * (not now.free[p]) - now.content[p] * now.free[p]
    return gone, low, high


@inner
def _reach(now, axes, lossy):
    """Lowest and highest of what stands outside during the step."""
    low, high = np.inf, -np.inf
    for p in range(now.b.size):
        low, high = min(low, axes.start[p], now.b[p]), max(high, axes.start[p], now.b[p])
    return (min(low, 0.0), max(high, 0.0)) if lossy else (low, high)


@inner_no_nan
def _range(c, body):
    """Lowest and highest potential of the body."""
    low, high = 1e300, -1e300
    for n in range(c.size):
        low = min(low, c[n] if body[n] > 0.0 else 1e300)
        high = max(high, c[n] if body[n] > 0.0 else -1e300)
    return low, high


@inner_no_nan
def _error(now, axes, body, pools, h, h_1, h_2, euler):
    """Largest error of the step in any cell or free bath, from the last states. [potential]"""
    most = 0.0
    for n in range(body.size):
        if body[n] > 0.0:
            rate, rate_1 = (now.x[n] - now.c[n]) / h, (now.c[n] - now.last[n]) / h_1
            rate_2 = (now.last[n] - now.first[n]) / h_2
            most = max(most, _missed(rate, rate_1, rate_2, h, h_1, h_2, euler))
    for p in range(now.b.size):
        if now.free[p]:
            water = pools.water[p]
            rate, rate_1 = axes.flow[p] / water / h, (now.content[p] - axes.before[0, p]) / water / h_1
            rate_2 = (axes.before[0, p] - axes.before[1, p]) / water / h_2
            most = max(most, _missed(rate, rate_1, rate_2, h, h_1, h_2, euler))
    return most


@inner_no_nan
def _missed(rate, rate_1, rate_2, h, h_1, h_2, euler):
    """What a step of length h misses, from the mean rates of it and of the two before (lengths h_1, h_2). [potential]

    Divided differences tell the derivatives: c'' = 2 bend, c''' = 6 (bend - bend_1) / (h + h_1 + h_2). An implicit Euler
    step misses h^2/2 c'', a step of order 2 h^3/12 c'''.
    """
    bend = (rate - rate_1) / (h + h_1)
    if euler:
        return abs(h**2 * bend)
    bend_1 = (rate_1 - rate_2) / (h_1 + h_2)
    return abs(0.5 * h**3 / (h + h_1 + h_2) * (bend - bend_1))


@inner
def _accept(now, axes, body, gone, kept):
    """The new state becomes the present one; ``kept``: the one before the last stays too. Returns the body's content."""
    content, c, x, last, first = 0.0, now.c, now.x, now.last, now.first
    if kept:
        for n in range(c.size):
            first[n] = last[n]
    for n in range(c.size):
        last[n] = c[n]
        c[n] = x[n]
        content += body[n] * x[n]
    for p in range(now.content.size):
        axes.before[1, p], axes.before[0, p] = axes.before[0, p], now.content[p]
        now.last_content[p] = now.content[p]
        now.pool_1[p] = axes.flow[p] / gone
        now.content[p] += axes.flow[p]
    return content


@inner
def _losing(c, loss, storage, wear):
    """Content lost per time."""
    sum_ = 0.0
    for n in range(c.size):
        sum_ += loss[n] * storage[n] * c[n]
    return wear * sum_
