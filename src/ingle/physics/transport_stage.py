"""What one step of the march is made of: where it stands, its stages, its error, its bounds, what is written down."""

# mypy: allow-untyped-defs

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ingle.physics.transport_kernels import inner, inner_no_nan
from ingle.physics.transport_laws import potential_of, value_at
from ingle.physics.transport_solve import apply, solve

MOST_TURNS = 100


class Now(NamedTuple):
    """Where the march stands. Cells are flat; ``rate*`` are contents per time at the start and in both stages."""

    c: np.ndarray
    last: np.ndarray
    middle: np.ndarray
    x: np.ndarray
    first: np.ndarray
    held: np.ndarray
    rate_0: np.ndarray
    rate_1: np.ndarray
    rate_2: np.ndarray
    r: np.ndarray
    storage: np.ndarray  # in use, 1 outside the body
    content: np.ndarray  # of the pools
    last_content: np.ndarray
    b: np.ndarray
    xb: np.ndarray
    rb: np.ndarray
    pool_0: np.ndarray
    pool_1: np.ndarray
    pool_2: np.ndarray
    free: np.ndarray
    k: np.ndarray  # conductivity in use, three-dimensional


def standing(tissue, pools) -> Now:
    """The march at its start."""
    start = tissue.start.ravel()
    n, p = start.size, pools.water.size
    body = tissue.storage.ravel()
    arrays = [
        *(start.copy() for _ in range(4)), np.zeros(n), body * start, *(np.zeros(n) for _ in range(4)),
        np.where(body > 0, body, 1.0), pools.content.copy(), pools.content.copy(),
        *(np.zeros(p) for _ in range(6)), np.zeros(p, bool), tissue.conductance.copy(),
    ]
    return Now(*arrays)


@inner
def choose(now, pools, slack):
    """Which baths are free to weaken: those without dry stuff. True when that has changed."""
    changed = False
    for p in range(pools.water.size):
        water, free = pools.water[p], False
        if water > 0.0:
            free = now.content[p] <= water * (pools.saturated[p] + slack)
        changed = changed or free != now.free[p]
        now.free[p] = free
    return changed


@inner
def outside(now, pools, t):
    """Potentials of the reservoirs at a time; free baths as they stood at the start of the step."""
    for p in range(pools.water.size):
        if pools.water[p] == 0.0:
            now.b[p] = value_at(pools.times, pools.values, pools.first[p], pools.first[p + 1], t)
        elif now.free[p]:
            now.b[p] = now.content[p] / pools.water[p]
        else:
            now.b[p] = pools.saturated[p]


@inner
def flows(work, rim, x, xb, factor, pool_rate):
    """Content per time that enters each reservoir from the body."""
    for p in range(xb.size):
        pool_rate[p] = 0.0
    for f in range(rim.cell.size):
        p = rim.pool[f]
        pool_rate[p] -= factor * work.rim[f] * (xb[p] - x[rim.cell[f]])


@inner
def given(work, rim, now, by, r):
    """Add by x flow from the reservoirs that are not free, at their potentials."""
    for f in range(rim.cell.size):
        if not now.free[rim.pool[f]]:
            r[rim.cell[f]] += by * work.rim[f] * now.b[rim.pool[f]]


@inner
def start_rate(work, rim, now, source, a, factor):
    """Rates at the start of a step from the assembled matrix."""
    apply(work, rim, now.c, now.b, now.r, now.rb, now.free)
    for n in range(now.c.size):
        now.rate_0[n] = (now.storage[n] * now.c[n] - now.r[n]) / a + source[n]
    given(work, rim, now, factor, now.rate_0)
    flows(work, rim, now.c, now.b, factor, now.pool_0)


@inner
def stage(work, rim, pools, now, source, a, factor, weight, exact, rate, pool):
    """Solve a stage that starts from c + weight rate_1; leaves x, xb and writes its rates. Returns turns."""
    n_cells, n_pools = now.c.size, now.b.size
    for n in range(n_cells):
        now.r[n] = now.storage[n] * now.c[n] + weight * now.rate_1[n] + a * source[n]
    given(work, rim, now, a * factor, now.r)
    for p in range(n_pools):
        now.rb[p] = now.content[p] + weight * now.pool_1[p]
        if not now.free[p]:
            now.xb[p] = now.b[p]
    turns = solve(work, rim, now.r, now.rb, now.x, now.xb, pools.water, now.free, exact, MOST_TURNS)
    for n in range(n_cells):
        moved = now.storage[n] * (now.x[n] - now.c[n]) + work.rest[n]
        rate[n] = (moved - weight * now.rate_1[n]) / a
    flows(work, rim, now.x, now.xb, factor, pool)
    return turns


@inner
def lost(now, loss, wear):
    """Content lost per time at the values of a stage."""
    total = 0.0
    for n in range(now.x.size):
        total += now.x[n] * loss[n] * now.storage[n]
    return wear * total


@inner_no_nan
def leaves_range(work, now, body, low, high, slack):
    """Whether the new state leaves the range of the old one and its outside by more than the slack."""
    for n in range(now.c.size):
        if body[n] > 0.0:
            low, high = min(low, now.c[n]), max(high, now.c[n])
    beyond = 0.0
    for n in range(now.c.size):
        if body[n] > 0.0:
            new = now.x[n] + work.rest[n] / now.storage[n]
            beyond = max(beyond, low - new, new - high)
    return beyond > slack


@inner
def estimate(work, rim, pools, now, body, weights, exact):
    """Largest error of the step in any cell or free bath, smoothed by the stage's own matrix. [potential]"""
    e0, e1, e2 = weights
    for n in range(now.c.size):
        now.r[n] = e0 * now.rate_0[n] + e1 * now.rate_1[n] + e2 * now.rate_2[n]
        now.middle[n] = 0.0
    for p in range(now.b.size):
        now.rb[p] = e0 * now.pool_0[p] + e1 * now.pool_1[p] + e2 * now.pool_2[p]
        now.xb[p] = 0.0
    turns = solve(work, rim, now.r, now.rb, now.middle, now.xb, pools.water, now.free, exact, 4)
    off = 0.0
    for n in range(now.c.size):
        if body[n] > 0.0:
            off = max(off, abs(now.middle[n]))
    for p in range(now.b.size):
        if now.free[p]:
            off = max(off, abs(now.xb[p]))
    return off, turns


@inner
def dry_share(pools, now, w_1, w_2, slack):
    """Share of the step after which the first bath runs out of dry stuff; 1 when none does."""
    share = 1.0
    for p in range(pools.water.size):
        if pools.water[p] > 0.0 and not now.free[p]:
            full = pools.water[p] * pools.saturated[p]
            after = now.content[p] + w_1 * now.pool_1[p] + w_2 * now.pool_2[p]
            if after < full - slack * pools.water[p]:
                share = min(share, (now.content[p] - full) / (now.content[p] - after))
    return share


@inner
def advance(tissue, now, body, material, w_1, w_2):
    """Move every content by the flows of the step; the last stage's rates become the start's."""
    for n in range(now.c.size):
        now.last[n] = now.c[n]
        if body[n] > 0.0:
            now.held[n] += w_1 * now.rate_1[n] + w_2 * now.rate_2[n]
            if tissue.content_law.size > 0:
                per = now.held[n] / body[n]
                now.c[n] = potential_of(tissue.content_law, material[n], tissue.low, tissue.high, per, now.x[n])
            else:
                now.c[n] = now.held[n] / body[n]
        now.rate_0[n] = now.rate_2[n] if w_2 > 0.0 else now.rate_1[n]
    for p in range(now.content.size):
        now.last_content[p] = now.content[p]
        now.content[p] += w_1 * now.pool_1[p] + w_2 * now.pool_2[p]
        now.pool_0[p] = now.pool_2[p] if w_2 > 0.0 else now.pool_1[p]


@inner
def total(x):
    total = 0.0
    for n in range(x.size):
        total += x[n]
    return total


@inner
def write(out, row, now, watch, tally, u, gone, w_1, w_2):
    """One output time, a share u into the step just made: a parabola through both ends with the slope of the
    new one. Weights are the same for cells, baths and accounts, so sums stay sums."""
    old, slope = (1.0 - u) * (1.0 - u), -gone * u * (1.0 - u)
    new = 1.0 - old
    out.accounts[row, 0] = new * tally[0] + old * tally[1] + slope * tally[2]
    out.accounts[row, 1] = tally[3] - old * tally[4] + slope * tally[5]
    out.accounts[row, 2] = tally[6] - old * gone * tally[7] + slope * tally[7]
    for p in range(now.content.size):
        moved = w_1 * now.pool_1[p] + w_2 * now.pool_2[p]
        out.baths[row, p] = now.content[p] - old * moved + slope * now.pool_0[p]
    if out.values.size > 0:
        for n in range(now.c.size):
            out.values[row, n] = new * now.c[n] + old * now.last[n] + slope * now.rate_0[n] / now.storage[n]
    for w in range(watch.first.size - 1):
        total = 0.0
        for e in range(watch.first[w], watch.first[w + 1]):
            n = watch.cell[e]
            total += watch.weight[e] * (new * now.c[n] + old * now.last[n] + slope * now.rate_0[n] / now.storage[n])
        out.watched[row, w] = total
