"""Runs of readings that no food can have shown: marked and asked about, neither believed nor dropped in silence.

A core cannot move faster than the body around it lets it. The middle of a ball of radius L, the thinnest body a piece of thickness 2 L can be
taken for, moves by at most 5.92 a / L^2 of the difference between what surrounds it: whatever the surroundings do. Where no thickness is told
a run is known by its two ends, a jump away and a jump back. Oven doors and fridge doors move air, and a core behind it slowly:
no such jump.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.ground.errors import OutOfRange
from ingle.safety.thermal_record import (
    JUMP_K_PER_S,
    SPIKE_K,
    SPIKE_K_PER_S,
    Floats,
    ThermalRecord,
    into,
    without_spikes,
)

BALL = 5.9221  # largest slope of the middle of a ball after a step at its face, over the Fourier number (Carslaw and Jaeger, 9.3)
FASTEST_M2_PER_S = 1.7e-7  # diffusivity of water at 100 C: no wet food passes heat faster (derived from IAPWS values)
WIDEST_K = 100.0  # between ice and boiling water: what can surround food that holds water
LEAST_JUMP_K = 15.0  # ours: without a thickness a jump without a way back counts from here, at `JUMP_K_PER_S`
WARMEST_ROOM_C = 45.0  # ours: no kitchen's air is hotter, nor a fridge's in it
COLDEST_FRIDGE_C, COLDEST_FREEZER_C, _FROZEN_C = -25.0, -60.0, -5.0  # ours: air beside a fridge's evaporator, a freezer's
END_SHARE = 0.1  # ours: so much of a record's time at either end may be a probe put in or taken out
_MOST_JUMPS, _PASSES = 50, 8  # steps looked at for the way back; rounds
_MOST_READINGS = 100_000
MOST_OF_IT = 0.5  # ours: a false run is entered at one step, food comes and goes over many
BACK_OF_IT, NEAR_AGAIN = 1.0 / 3.0, 0.2  # ours: left so, for the food went on meanwhile
THINNER = "the thickness of the piece: told, a moved probe shows at slower jumps"
ONE_COLUMN = "whether two probes were swapped: one column does not show it"


@dataclass(frozen=True)
class Run:
    """Readings that stand apart. Times [s], temperatures [C]."""

    from_s: float
    to_s: float
    readings: int
    lowest_c: float
    highest_c: float

    def as_dict(self) -> dict[str, Any]:
        """Plain keys and values for ``--json``."""
        return dict(vars(self))

    @property
    def words(self) -> str:
        """What is asked of it."""
        span = f"{self.lowest_c:.1f} C" if self.highest_c - self.lowest_c < 0.05 else f"{self.lowest_c:.1f} to {self.highest_c:.1f} C"
        return (
            f"whether the probe was moved or failed: {self.readings} readings of {span} from {into(self.from_s)} to {into(self.to_s)} into the record jump further than "
            "the middle of food can; they are taken as a hole until somebody says"
        )


@dataclass(frozen=True)
class Marked:
    """A record whose runs are holes. ``torn``: why the food's part cannot be told from the other; "" where it can."""

    record: ThermalRecord
    runs: tuple[Run, ...] = ()
    torn: str = ""
    told: tuple[str, ...] = ()  # of a record of air

    @property
    def asked(self) -> tuple[str, ...]:
        """What has to be asked, in the order of the record."""
        return (*filter(None, (self.torn,)), *(run.words for run in self.runs), *self.told)


def fastest_core(thickness_mm: float) -> float:
    """Fastest change in the middle of a piece so thick, whatever surrounds it between ice and boiling water. [mm -> K/s]

    Raises
    ------
    OutOfRange
        A thickness that is none.
    """
    if not 1.0 <= thickness_mm <= 1000.0:
        raise OutOfRange(f"thickness is {thickness_mm:g} mm.", field="thickness_mm", value=thickness_mm, limit="1 to 1000 mm",
                         remedy="Give the thinnest way through the thickest place, in mm.")  # fmt: skip
    return BALL * FASTEST_M2_PER_S / (thickness_mm / 2000.0) ** 2 * WIDEST_K


def marked(record: ThermalRecord, thickness_mm: float | None = None) -> Marked:
    """Single readings that stand alone left out, runs of them made holes.

    Parameters
    ----------
    record : ThermalRecord
        Of the middle of food.
    thickness_mm : float, optional
        Of the piece; with it slower jumps are known for what they are. [mm]
    """
    t, c = record.seconds, record.celsius
    rate, least = (JUMP_K_PER_S, LEAST_JUMP_K) if thickness_mm is None else (fastest_core(thickness_mm), SPIKE_K)
    pair = SPIKE_K_PER_S if thickness_mm is None else rate
    false = np.zeros(t.size, bool)
    for _ in range(_PASSES):  # readings that flap leave some behind, which stand apart in their turn
        rest = np.flatnonzero(~false)
        more = _there_and_back(t[rest], c[rest], pair)
        if not more.any():
            break
        false[rest[more]] = True
    rest = np.flatnonzero(~false)
    jumps = np.abs(np.diff(c[rest])) > np.maximum(least, rate * np.diff(t[rest]))
    torn = ""
    if jumps.any():
        food = _food(t[rest], c[rest], jumps, rate, least)
        false[rest[~food]] = True
        torn = _torn(t, false, rest[:-1][jumps])
    if not torn:  # one that stands alone is left out, as everywhere, and its neighbours joined
        around = np.concatenate(([True], false, [True]))
        false &= around[:-2] | around[2:]
    return Marked(without_spikes(with_holes(record, false)), _runs(t, c, false), torn)


def air(t: Floats, c: Floats) -> tuple[NDArray[np.bool_], str]:
    """Readings that the air of a cold place cannot have shown, and what is asked of them; "" where there are none.

    Hotter than any room or colder than any evaporator; or a jump down and back. Warm peaks below that are doors, defrosts and food that was
    out: they are believed. Shapes (n,), times [s], temperatures [C].
    """
    beyond = (c > WARMEST_ROOM_C) | (c < (COLDEST_FREEZER_C if np.median(c) < _FROZEN_C else COLDEST_FRIDGE_C))
    plain = np.flatnonzero(~beyond)
    if plain.size < 2:
        return np.zeros(t.size, bool), ""
    down = _there_and_back(t[plain], c[plain], SPIKE_K_PER_S, 2.0 * SPIKE_K)
    before = np.maximum.accumulate(np.where(down, -np.inf, c[plain]))
    beyond[plain[down & (c[plain] < before)]] = True
    if not beyond.any():
        return beyond, ""
    i, many = int(np.argmax(beyond)), int(beyond.sum())
    return beyond, (
        f"{many} {'reading' if many == 1 else 'readings'} that no air of a cold place shows, the first {c[i]:.1f} C {into(t[i])} into the record, taken as lost: "
        "did the logger fail, or was it elsewhere?"
    )


def _there_and_back(t: Floats, c: Floats, rate: float, least: float = SPIKE_K) -> NDArray[np.bool_]:
    """Readings between a jump away, most of how far the run goes, and a jump back towards where it came from."""
    false, at = np.zeros(t.size, bool), np.flatnonzero(np.abs(np.diff(c)) > np.maximum(least, rate * np.diff(t)))
    ways_back = np.flatnonzero(np.abs(np.diff(c)) > SPIKE_K)  # at any pace: the food moved meanwhile, so the way back is shorter
    past = -1
    for i in at:
        if i < past:
            continue
        past = max(past, _way_back(t, c, int(i), ways_back, rate))
        false[i + 1 : max(past, i + 1)] = True
    return false


def _way_back(t: Floats, c: Floats, i: int, ways_back: NDArray[np.intp], rate: float) -> int:
    """First reading after the run that a jump behind reading i begins: the first that is near again, else the first on its way; -1 for none."""
    away, loose = c[i + 1] - c[i], -1
    k = int(np.searchsorted(ways_back, i, side="right"))
    for j in ways_back[k : k + _MOST_JUMPS]:
        back, gone = c[j + 1] - c[j], abs(c[j + 1] - c[i])
        reach = float(np.abs(c[i + 1 : j + 1] - c[i]).max())
        if abs(away) < MOST_OF_IT * reach:
            break
        if abs(back) < BACK_OF_IT * reach or gone > max(SPIKE_K, rate * (t[j + 1] - t[i])):
            continue
        if gone <= NEAR_AGAIN * reach:
            return int(j + 1)
        if loose < 0 and back * away < 0 and gone <= (1.0 - BACK_OF_IT) * reach:
            loose = int(j + 1)
    return loose


def _food(t: Floats, c: Floats, jumps: NDArray[np.bool_], rate: float, least: float) -> NDArray[np.bool_]:
    """The longest stretch without a jump, and every other that food can have come to from it in the time between."""
    ends = np.append(np.flatnonzero(jumps), t.size - 1)
    begins = np.append(0, ends[:-1] + 1)
    lasts = t[ends] - t[begins]
    longest = int(np.argmax(lasts))
    keep = np.zeros(t.size, bool)
    keep[begins[longest] : ends[longest] + 1] = True
    last = ends[longest]
    for k in range(longest + 1, begins.size):
        if abs(c[begins[k]] - c[last]) <= max(least, rate * (t[begins[k]] - t[last])):
            keep[begins[k] : ends[k] + 1] = True
            last = ends[k]
    first = begins[longest]
    for k in range(longest - 1, -1, -1):
        if abs(c[first] - c[ends[k]]) <= max(least, rate * (t[first] - t[ends[k]])):
            keep[begins[k] : ends[k] + 1] = True
            first = begins[k]
    return keep


def _torn(t: Floats, false: NDArray[np.bool_], jumps: NDArray[np.intp]) -> str:
    """A part that does not come back, and is more than a probe put in or taken out at an end, may as well be the food."""
    kept = np.flatnonzero(~false)
    before, behind = t[kept[0]] - t[0], t[-1] - t[kept[-1]]
    longest = max(before, behind)
    if longest <= END_SHARE * (t[-1] - t[0]):
        return ""
    at = jumps[-1] if behind >= before else jumps[0]
    return (
        f"which part is the food: {into(t[at + 1])} into the record the readings jump further than the middle of food can, and do not come back. Was the probe "
        "pulled out, put in late, or another one taken? Give the part of the food alone"
    )


def with_holes(record: ThermalRecord, false: NDArray[np.bool_]) -> ThermalRecord:
    """The record without some of its readings, a hole where they stood."""
    keep = ~false
    at = np.flatnonzero(keep)
    hole = np.logical_or.reduceat(record.hole, at[:-1]) | (np.diff(at) > 1)
    return replace(record, seconds=record.seconds[keep], celsius=record.celsius[keep], hole=hole)


def _runs(t: Floats, c: Floats, false: NDArray[np.bool_]) -> tuple[Run, ...]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], false, [False])).astype(int)))
    return tuple(
        Run(float(t[a]), float(t[b - 1]), int(b - a), float(c[a:b].min()), float(c[a:b].max())) for a, b in zip(edges[::2], edges[1::2], strict=True)
    )


def swings(record: ThermalRecord, least_k: float = 1.0, often: int = 6) -> bool:
    """Whether a record goes up and down like air under a thermostat, as the middle of a piece does not."""
    some = record.celsius[:: max(1, record.celsius.size // _MOST_READINGS)]
    turned, last, way = 0, float(some[0]), 0
    for value in some:
        if abs(value - last) < least_k:
            continue
        now = 1 if value > last else -1
        turned += bool(way) and now != way
        way, last = now, float(value)
    return turned >= often
