"""Is growth ruled out by a published limit, here, now: one factor alone, the others at their best."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.safety import germs
from ingle.safety.conditions import Conditions
from ingle.safety.germs import Bound, Range
from ingle.safety.growth_record import GrowthRecord

Floats = NDArray[np.float64]
_WORDS = {"temperature": "temperature", "ph": "pH", "aw": "water activity", "wps": "salt in the water"}


@dataclass(frozen=True)
class Screen:
    """Which places are ruled out all along, with the reading's error counted in, and by which limit."""

    ruled_out: NDArray[np.bool_]  # shape (places,)
    by: tuple[str, ...]  # factor of each place, "" where growth is possible
    bound: Bound | None  # of the place that comes nearest to growth, when every place is ruled out
    factor: str = ""

    @property
    def everywhere(self) -> bool:
        """No place lets it grow."""
        return bool(self.ruled_out.all())

    @property
    def words(self) -> str:
        """``temperature beyond 5.2 C``."""
        return "" if self.bound is None else f"{_WORDS[self.factor]} beyond {self.bound.value:g} {germs.UNITS[self.factor]}".rstrip()


def screen(germ: str, record: GrowthRecord, c: Conditions, probe_error: float = 0.0) -> Screen:
    """Judge every place over the whole record.

    A place is ruled out when one factor stands outside the published range at every reading even with its error counted in.
    """
    count = len(c.places)
    found = germs.ranges(germ)
    warm = np.atleast_2d(record.celsius)
    least, most = warm.min(axis=-1), warm.max(axis=-1)
    beyond = {
        "temperature": _beyond(np.broadcast_to(least, (count,)), np.broadcast_to(most, (count,)), probe_error, found["temperature"]),
        "ph": _beyond(_low(c.ph), _high(c.ph), c.ph_error, found.get("ph", Range())),
        "aw": _beyond(_low(c.aw), _high(c.aw), c.aw_error, found.get("aw", Range())),
        "wps": _beyond(_low(c.wps), _high(c.wps), 0.0, found.get("wps", Range())),
    }
    by: list[str] = []
    bound: Bound | None = None
    factor = ""
    for place in range(count):
        why = next((k for k, v in beyond.items() if v[place] is not None), "")
        by.append(why)
        if why and bound is None:
            bound, factor = beyond[why][place], why
    ruled = np.array([bool(b) for b in by])
    return Screen(ruled, tuple(by), bound if ruled.all() else None, factor if ruled.all() else "")


def _low(x: Floats) -> Floats:
    return x if x.ndim == 1 else x.min(axis=-1)


def _high(x: Floats) -> Floats:
    return x if x.ndim == 1 else x.max(axis=-1)


def _beyond(low: Floats, high: Floats, error: float, allowed: Range) -> list[Bound | None]:
    """The bound that a place stays beyond all along, or None."""
    out: list[Bound | None] = []
    for bottom, top in zip(low, high, strict=True):
        if allowed.least is not None and top + error < allowed.least.value:
            out.append(allowed.least)
        elif allowed.most is not None and bottom - error > allowed.most.value:
            out.append(allowed.most)
        else:
            out.append(None)
    return out
