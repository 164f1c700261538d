"""Marching in time: SDIRK2 with its first stage as a way out.

One step of length h, with g = 1 - 1/sqrt(2) (two stages, order 2, L-stable, the last stage is the new state):

    c1 = c + g h f(c1)                    an implicit Euler step of g h
    c2 = c + (1 - g) h f(c1) + g h f(c2)

- *Conservation.* What moved in a stage is written down as content per time (`rate`), taken from the solved
  equations together with what their solver left over. Contents of cells, baths and accounts are all advanced by
  the same flows, so their sum keeps to the last bits whatever the solver's target.
- *Error.* A third weighting of f(c), f(c1), f(c2) is of order 3 for linear problems; the difference, smoothed by
  the preconditioner so that stiff cells do not drown it, is held below the target in every cell and bath.
- *Bounds.* Where the new state leaves the range of the old one and its outside, the step ends after the first
  stage: implicit Euler never leaves it.
- *Laws.* Conductance and storage that depend on the state are frozen at the middle of the step, extrapolated
  from the last one (order 2); how far the frozen law was off counts as error.
- *Dry salt.* A bath is one content. While that is more than water x saturated it stands at saturation; the
  step that would use the last dry grain is shortened until it ends there.
"""

# mypy: allow-untyped-defs

from __future__ import annotations

import numpy as np

from ingle.physics.transport_kernels import conduct, njit
from ingle.physics.transport_laws import content_of, freeze, law_error, mean_factor, potential_of
from ingle.physics.transport_solve import assemble
from ingle.physics.transport_stage import (
    advance,
    choose,
    dry_share,
    estimate,
    leaves_range,
    lost,
    outside,
    stage,
    start_rate,
    total,
    write,
)

GAMMA = 1.0 - 0.5**0.5
# order-3 weights minus the step's own: sum b = 1, sum b c = 1/2, sum b A c = 1/6 with c = (0, g, 1)
_B1 = -1.0 / 12.0 / (GAMMA**2 - GAMMA / 2.0)
_B2 = 0.5 - GAMMA * _B1
E0, E1, E2 = 1.0 - _B1 - _B2, _B1 - (1.0 - GAMMA), _B2 - GAMMA
LONGEST_STRETCH = 4.0  # a step is at most this many times the last one
MOST_REFUSALS = 60  # of one step in a row


@njit(cache=True, no_cfunc_wrapper=True, _nrt=False)
def march(mesh, rim, pools, tissue, clock, watch, plan, work, now, out):
    """From plan.times[0] to plan.times[-1]; fills ``out`` from row 0 on. Returns the step that would come next."""
    size, n_pools, end = now.c.size, now.b.size, plan.times[-1]
    body, loss = tissue.storage.reshape(size), tissue.loss.reshape(size)
    source, material = tissue.source.reshape(size), tissue.material.reshape(size)
    storage3, made_rate = now.storage.reshape(tissue.start.shape), total(source)
    has_content, lossy = tissue.content_law.size > 0, total(loss) > 0.0
    changing = has_content or tissue.conductance_law.size > 0
    filmed = False
    for f in range(rim.cell.size):
        filmed = filmed or rim.resistance[f] > 0.0
    if has_content:
        for n in range(size):
            now.held[n] = body[n] * content_of(tissue.content_law, material[n], tissue.low, tissue.high, now.c[n])
    tally = out.tally  # body now, before, per time; lost, in this step, per time; made, per time
    tally[0], tally[7] = total(now.held), made_rate
    write(out, 0, now, watch, tally, 1.0, 0.0, 0.0, 0.0)

    adaptive, t, h, h_last = plan.fixed.size == 0, plan.times[0], plan.first_step, 0.0
    row, stop, number, refused, fresh, matrix = 1, 0, 0, 0, True, False
    f_now, wear_now, h_now = -1.0, -1.0, -1.0
    while t < end:
        fresh = choose(now, pools, plan.exact) or fresh
        if adaptive:
            while plan.stops[stop] <= t:
                stop += 1
            room = plan.stops[stop] - t
            h = room if h > room * (1.0 - 1e-9) else min(h, max(0.5 * room, h * (h < 0.5 * room)))
        else:
            h = plan.fixed[number] - t
        factor = mean_factor(clock.times, clock.conductance, clock.conductance_sum, t, t + h)
        wear = mean_factor(clock.times, clock.loss, clock.loss_sum, t, t + h)
        a = GAMMA * h
        low, high, lost_1, lost_2 = np.inf, -np.inf, 0.0, 0.0
        stretch = 0.5 * h / h_last if h_last > 0.0 else 0.0
        for turn in range(2 if changing and fresh else 1):
            if changing:
                for n in range(size):
                    now.middle[n] = 0.5 * (now.c[n] + now.x[n])
                    if turn == 0:
                        now.middle[n] = now.c[n] + stretch * (now.c[n] - now.last[n])
                freeze(tissue, now.c, now.middle, now.storage, now.k)
            if changing or not matrix or (filmed and factor != f_now):
                conduct(work, mesh, rim, now.k, factor)
            if changing or fresh or h != h_now or factor != f_now or wear != wear_now:
                assemble(work, rim, storage3, tissue.loss, a * factor, a * wear, pools.water, now.free)
                h_now, f_now, wear_now, matrix = h, factor, wear, True
                out.counts[4] += 1
            if fresh and turn == 0:
                outside(now, pools, t + 1e-9 * h)
                start_rate(work, rim, now, source, a, factor)
            outside(now, pools, t + a)
            guess = a / h_last if h_last > 0.0 and not fresh else 0.0
            for p in range(n_pools):
                before = now.last_content[p] / pools.water[p] if now.free[p] else now.b[p]
                now.xb[p] = now.b[p] + guess * (now.b[p] - before)
                low, high = min(low, now.b[p]), max(high, now.b[p])
            for n in range(size):
                now.x[n] = now.c[n] + guess * (now.c[n] - now.last[n])
            turns = stage(work, rim, pools, now, source, a, factor, 0.0, plan.exact, now.rate_1, now.pool_1)
            out.counts[3] += turns
            lost_1 = lost(now, loss, wear) if lossy else 0.0
            ahead = 1.0 / GAMMA if not fresh else 1.0
            for n in range(size):
                now.first[n] = now.x[n]
                now.x[n] = now.c[n] + ahead * (now.x[n] - now.c[n])
            outside(now, pools, t + h)
            for p in range(n_pools):
                if now.free[p]:
                    now.xb[p] = now.b[p] + ahead * (now.xb[p] - now.b[p])
                else:
                    low, high = min(low, now.b[p]), max(high, now.b[p])
            weight = (1.0 - GAMMA) * h
            turns = stage(work, rim, pools, now, source, a, factor, weight, plan.exact, now.rate_2, now.pool_2)
            out.counts[3] += turns
            lost_2 = lost(now, loss, wear) if lossy else 0.0

        euler, gone, w_1, w_2, off = False, h, (1.0 - GAMMA) * h, GAMMA * h, 0.0
        if adaptive:
            if lossy:
                low, high = min(low, 0.0), max(high, 0.0)
            euler = made_rate == 0.0 and leaves_range(work, now, body, low, high, plan.slack)
            if euler:
                gone, w_1, w_2 = a, a, 0.0
            off = law_error(tissue, now.c, now.first if euler else now.x, now.middle)
            weights = (-0.5 * gone, 0.5 * gone, 0.0) if euler else (E0 * h, E1 * h, E2 * h)
            if has_content:
                for n in range(size):
                    if body[n] > 0.0:
                        moved = w_1 * now.rate_1[n] + w_2 * now.rate_2[n]
                        per, near = (now.held[n] + moved) / body[n], now.x[n]
                        c = potential_of(tissue.content_law, material[n], tissue.low, tissue.high, per, near)
                        off = max(off, abs(c - now.c[n] - moved / now.storage[n]))
            smooth, turns = estimate(work, rim, pools, now, body, weights, 0.1 * plan.target)
            off = max(off, smooth) / plan.target
            out.counts[3] += turns
            share = dry_share(pools, now, w_1, w_2, plan.target)
            if refused < MOST_REFUSALS and (not off <= 1.0 or share < 1.0):
                h *= share if off <= 1.0 else max(0.1, 0.85 * off ** (-0.5 if euler else -1.0 / 3.0))
                refused += 1
                out.counts[1] += 1
                continue

        if not adaptive or (not euler and t + h >= plan.stops[stop] - 1e-9 * h):
            arrive = plan.stops[stop] if adaptive else plan.fixed[number]
        else:
            arrive = t + gone
        tally[1] = tally[0]
        advance(tissue, now, body, material, w_1, w_2)
        tally[0], tally[2] = total(now.held), total(now.rate_0)
        tally[4], tally[5] = w_1 * lost_1 + w_2 * lost_2, lost_1 if euler else lost_2
        tally[3] += tally[4]
        tally[6] += gone * made_rate
        while row < plan.times.size and plan.times[row] <= arrive:
            share = 1.0 if plan.times[row] >= arrive else (plan.times[row] - t) / gone
            write(out, row, now, watch, tally, share, gone, w_1, w_2)
            row += 1
        t, h_last, refused, number = arrive, gone, 0, number + 1
        fresh = adaptive and t == plan.stops[stop]
        out.counts[0] += 1
        out.counts[2] += euler
        if adaptive:
            grow = min(LONGEST_STRETCH, 0.85 * max(off, 1e-9) ** (-1.0 / 3.0))
            grow = min(grow, 1.0) if euler else grow
            h *= grow if grow > 1.2 or grow < 1.0 else 1.0
    return h
