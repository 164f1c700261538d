"""From what the parts want to what is bought: packs that are sold, with the fewest grams left."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction

from ingle.planning.parts import Bought
from ingle.planning.plan import ShoppingLine

_GRID = 5000  # the largest pack in steps; packs are told apart to one part in so many
_BEYOND = 12  # packs of the largest size that are still mixed with smaller ones


@dataclass(frozen=True)
class Want:
    """One part's wish for one item [g]."""

    bought: Bought
    part: str
    step: str  # key of the step that takes it
    need_g: float  # at the low yield
    likely_g: float
    as_named_g: tuple[float, ...] = ()  # bought as these very pieces


def cover(need_g: float, packs_g: tuple[float, ...]) -> tuple[int, ...]:
    """How many of each pack: the fewest grams left, then the fewest packs.

    Returns
    -------
    tuple of int
        One count for each size, in their order; together at least ``need_g``.

    Examples
    --------
    >>> cover(734.0, (300.0, 600.0))
    (1, 1)
    """
    largest = max(packs_g)
    step = _common_step(packs_g)
    sizes = [max(1, math.floor(p / step + 1e-6)) for p in packs_g]
    bulk = max(0, math.floor(need_g / largest) - _BEYOND)
    wanted = math.ceil((need_g - bulk * largest) / step - 1e-6)
    counts = _fewest(max(0, wanted), sizes)
    counts[packs_g.index(largest)] += bulk
    return tuple(counts)


def _common_step(packs_g: tuple[float, ...]) -> float:
    """The greatest mass that divides every pack, or a fine grid where there is none worth using."""
    exact = [Fraction(p).limit_denominator(1000) for p in packs_g]
    below = math.lcm(*(f.denominator for f in exact))
    step = math.gcd(*(int(f * below) for f in exact)) / below
    whole = all(abs(float(f) - p) < 1e-9 * p for f, p in zip(exact, packs_g, strict=True))
    return step if whole and max(packs_g) / step <= 10 * _GRID else max(packs_g) / _GRID


def _fewest(wanted: int, sizes: list[int]) -> list[int]:
    """Counts whose sum is at least ``wanted`` and nearest to it, with the fewest packs."""
    far = wanted + max(sizes)
    never = far + 1  # more packs than any sum needs
    packs = [0] + [never] * far
    last = [0] * (far + 1)
    for total in range(1, far + 1):
        for i, size in enumerate(sizes):
            if total >= size and packs[total - size] + 1 < packs[total]:
                packs[total], last[total] = packs[total - size] + 1, i
    total = next(t for t in range(wanted, far + 1) if packs[t] < never)
    counts = [0] * len(sizes)
    while total:
        counts[last[total]] += 1
        total -= sizes[last[total]]
    return counts


def shopping_lines(wants: tuple[Want, ...]) -> tuple[ShoppingLine, ...]:
    """One line for each item, over all parts that take it."""
    by_item: dict[str, list[Want]] = {}
    for want in wants:
        by_item.setdefault(want.bought.item, []).append(want)
    return tuple(_line(item, asked) for item, asked in sorted(by_item.items()))


def _line(item: str, wants: list[Want]) -> ShoppingLine:
    sold = next((w.bought for w in wants if w.bought.packs_g), wants[0].bought)
    need, likely = sum(w.need_g for w in wants), sum(w.likely_g for w in wants)
    named = [g for w in wants for g in w.as_named_g]
    loose = need - sum(named)
    bought = need
    packs: tuple[str, ...] = ()
    if sold.packs_g and loose > 1e-9:
        counts = cover(loose, sold.packs_g)
        bought = sum(named) + sum(n * g for n, g in zip(counts, sold.packs_g, strict=True))
        packs = tuple(_pack(n, name, sold) for n, name in zip(counts, sold.pack_names, strict=True) if n)
    per = sold.g_per_unit
    allergens = dict.fromkeys(a for w in wants for a in w.bought.allergens)
    return ShoppingLine(
        item,
        sold.name,
        bought / per,
        sold.unit,
        need / per,
        likely / per,
        packs,
        (bought - need) / per,
        parts=tuple(dict.fromkeys(w.part for w in wants)),
        allergens=tuple(allergens),
        note=sold.note,
    )


def dated(
    lines: tuple[ShoppingLine, ...], wants: tuple[Want, ...], starts: Mapping[str, datetime]
) -> tuple[ShoppingLine, ...]:
    """The lines with the hours between which each item is bought.

    Parameters
    ----------
    starts : mapping of str to datetime
        Start of every step of the plan by its task id, "part.step".

    Notes
    -----
    ``buy_by`` is the start of the first step that takes the item. ``buy_from`` is the earliest hour
    from which it keeps until the last one; where no single hour serves both, the first
    step rules and the note says so.
    """
    out = []
    for line in lines:
        taken = [
            (starts[f"{w.part}.{w.step}"], w)
            for w in wants
            if w.bought.item == line.item and f"{w.part}.{w.step}" in starts
        ]
        if not taken:
            out.append(line)
            continue
        buy_by = min(start for start, _ in taken)
        keeps = [
            (start - timedelta(minutes=w.bought.buy_within_min), w)
            for start, w in taken
            if w.bought.buy_within_min is not None
        ]
        late = [w.part for earliest, w in keeps if earliest > buy_by]
        in_time = [earliest for earliest, _ in keeps if earliest <= buy_by]
        again = f"buy again for {', '.join(late)}: it does not keep that long" if late else ""
        note = "; ".join(n for n in (line.note, again) if n)
        out.append(replace(line, buy_by=buy_by, buy_from=max(in_time, default=None), note=note))
    return tuple(out)


def _pack(count: int, name: str, sold: Bought) -> str:
    if sold.unit == "pieces":
        return f"{count} of about {sold.g_per_unit:g} g"
    return f"{count} x {name}"
