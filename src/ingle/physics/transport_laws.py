"""What changes along a run, for the kernels: records in time, and properties that follow the potential."""

# mypy: allow-untyped-defs

from __future__ import annotations

from ingle.physics.transport_kernels import inner


@inner
def _before(times, first, end, t):
    """How many of times[first:end] lie before t."""
    low, high = first, end
    while low < high:
        middle = (low + high) // 2
        if times[middle] < t:
            low = middle + 1
        else:
            high = middle
    return low - first


@inner
def value_at(times, values, first, end, t):
    """A record at a time: straight between points, constant outside, at a jump the value before it."""
    n = first + _before(times, first, end, t)
    if n == first:
        return values[first]
    if n == end:
        return values[end - 1]
    share = (t - times[n - 1]) / (times[n] - times[n - 1])
    return values[n - 1] + share * (values[n] - values[n - 1])


@inner
def _integral(times, values, sums, t):
    """Integral of a record from its first point to t."""
    n = _before(times, 0, times.size, t)
    if n == 0:
        return (t - times[0]) * values[0]
    if n == times.size:
        return sums[n - 1] + (t - times[n - 1]) * values[n - 1]
    return sums[n - 1] + (t - times[n - 1]) * 0.5 * (values[n - 1] + value_at(times, values, 0, times.size, t))


@inner
def mean_factor(times, values, sums, start, end):
    """Mean of a record over a step."""
    if times.size == 1:
        return values[0]
    return (_integral(times, values, sums, end) - _integral(times, values, sums, start)) / (end - start)


@inner
def _law(table, row, low, high, c):
    """A law by its table, constant outside."""
    last = table.shape[1] - 1
    at = (min(max(c, low), high) - low) / (high - low) * last
    n = min(int(at), last - 1)
    return table[row, n] + (table[row, n + 1] - table[row, n]) * (at - n)


@inner
def content_of(table, row, low, high, c):
    """Integral of the storage law up to c; its end slopes go on outside the table."""
    last = table.shape[1] - 1
    at = (c - low) / (high - low) * last
    n = int(min(max(at, 0.0), last - 1.0))
    return table[row, n] + (table[row, n + 1] - table[row, n]) * (at - n)


@inner
def potential_of(table, row, low, high, content, near):
    """The potential that holds a content: `content_of` backwards, searched from a potential near it."""
    last = table.shape[1] - 1
    n = int(min(max((near - low) / (high - low) * last, 0.0), last - 1.0))
    while n < last - 1 and table[row, n + 1] < content:
        n += 1
    while n > 0 and table[row, n] > content:
        n -= 1
    return low + (high - low) / last * (n + (content - table[row, n]) / (table[row, n + 1] - table[row, n]))


@inner
def freeze(tissue, start, middle, storage, k):
    """Properties for a step: conductance at its middle, storage as content over potential from end to end."""
    low, high, size = tissue.low, tissue.high, start.size
    s0, k0 = tissue.storage.reshape(size), tissue.conductance.reshape(size)
    material, used = tissue.material.reshape(size), k.reshape(size)
    for n in range(size):
        if s0[n] == 0.0:
            continue
        if tissue.conductance_law.size > 0:
            used[n] = k0[n] * _law(tissue.conductance_law, material[n], low, high, middle[n])
        if tissue.content_law.size > 0:
            least = (high - low) / (tissue.content_law.shape[1] - 1)
            reach = middle[n] - start[n]
            reach = reach if abs(reach) > 0.5 * least else 0.5 * least
            above = content_of(tissue.content_law, material[n], low, high, middle[n] + reach)
            below = content_of(tissue.content_law, material[n], low, high, middle[n] - reach)
            storage[n] = s0[n] * (above - below) / (2.0 * reach)


@inner
def law_error(tissue, old, new, middle):
    """How far the frozen conductance was off, times the change it acted on. [potential]"""
    most, size = 0.0, old.size
    if tissue.conductance_law.size == 0:
        return most
    material, s0 = tissue.material.reshape(size), tissue.storage.reshape(size)
    for n in range(size):
        if s0[n] > 0.0:
            used = _law(tissue.conductance_law, material[n], tissue.low, tissue.high, middle[n])
            right = _law(tissue.conductance_law, material[n], tissue.low, tissue.high, 0.5 * (old[n] + new[n]))
            most = max(most, abs(right - used) / used * abs(new[n] - old[n]))
    return most
