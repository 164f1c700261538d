"""What a heated body is made of: conductivity and enthalpy against temperature, as tables, one row for each member."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange

Floats = NDArray[np.float64]
_CONSTANT_RANGE = (150.0, 900.0)  # [K] of a table of two points, for properties that do not change


@dataclass(frozen=True)
class Matter:
    """Tables on an even grid of temperatures; between its points properties run straight.

    Outside the grid nothing is known: a march that leaves it is refused.
    """

    low: float  # [K]
    step: float  # [K]
    conductivity: Floats  # (M or 1, P) [W/m K]
    enthalpy: Floats  # (M or 1, P) [J/m3], rising

    @property
    def high(self) -> float:
        """End of the grid. [K]"""
        return self.low + self.step * (self.enthalpy.shape[1] - 1)

    @cached_property
    def heat_capacity(self) -> Floats:
        """Slope of the enthalpy between grid points; (M or 1, P - 1). [J/m3K]"""
        return np.diff(self.enthalpy, axis=1) / self.step

    @property
    def constant(self) -> bool:
        """True where the properties do not change."""
        return self.enthalpy.shape[1] == 2


def constant(conductivity: ArrayLike, heat_capacity: ArrayLike) -> Matter:
    """Matter whose conductivity [W/m K] and heat capacity [J/m3K] do not change; (M,) or one number each."""
    k, c = np.broadcast_arrays(np.atleast_1d(np.asarray(conductivity, float)), np.atleast_1d(np.asarray(heat_capacity, float)))
    for name, told in (("conductivity", k), ("heat_capacity", c)):
        _require_positive(name, told)
    low, high = _CONSTANT_RANGE
    ends = np.array([low, high])
    return Matter(low, high - low, np.repeat(k[:, None], 2, axis=1), c[:, None] * ends)


def tabled(temperature: ArrayLike, conductivity: ArrayLike, enthalpy: ArrayLike) -> Matter:
    """Matter from rows of conductivity [W/m K] and enthalpy [J/m3], (M, P) or (P,), over temperatures (P,) [K].

    Raises
    ------
    OutOfRange
        Temperatures that are not evenly spaced and rising, conductivity at or below zero, enthalpy that does not rise.
    """
    t = np.asarray(temperature, float)
    k, h = np.atleast_2d(np.asarray(conductivity, float)), np.atleast_2d(np.asarray(enthalpy, float))
    steps = np.diff(t)
    if t.ndim != 1 or t.size < 3 or (steps <= 0).any() or np.ptp(steps) > 1e-6 * steps[0]:
        raise OutOfRange(
            "The temperatures of a table must rise evenly.", field="temperature", value=t.size, limit="3 or more, evenly spaced",
            remedy="Make the table on an even grid.",
        )  # fmt: skip
    _require_positive("conductivity", k)
    _require_positive("enthalpy, from point to point,", np.diff(h, axis=1))
    return Matter(float(t[0]), float(steps[0]), k, h)


def _require_positive(name: str, told: Floats) -> None:
    if not (np.isfinite(told) & (told > 0.0)).all():
        raise OutOfRange(
            f"{name} {float(told.min()):g} is not above zero.", field=name.replace(" ", "_"), value=float(told.min()), limit="above 0",
            remedy="Give a value above zero.",
        )  # fmt: skip


class Reader:
    """Reads the tables for arrays (..., M); holds flat copies so that each read is a few passes."""

    def __init__(self, matter: Matter, members: int) -> None:
        rows, points = matter.enthalpy.shape
        if rows not in (1, members):
            raise OutOfRange(f"{rows} kinds of matter for {members} bodies.", field="matter", value=rows, limit=members)
        self.matter = matter
        self.first = (np.arange(members) if rows > 1 else np.zeros(members, np.intp)) * points
        self.k = matter.conductivity.ravel()
        self.h = matter.enthalpy.ravel()
        self.last = points - 2
        self.scale = 1.0 / matter.step
        if matter.constant:
            self.k_only = np.broadcast_to(matter.conductivity[:, 0], (members,))
            self.c_only = np.broadcast_to(matter.heat_capacity[:, 0], (members,))
            self.h_low = np.broadcast_to(matter.enthalpy[:, 0], (members,))

    def _at(self, t: Floats) -> tuple[NDArray[np.intp], Floats]:
        x = (t - self.matter.low) * self.scale
        lowest, highest = x.min(), x.max()
        if not (lowest >= 0.0 and highest <= self.last + 1.0):
            worst = float(t.flat[int(np.argmin(x))] if not lowest >= 0.0 else t.flat[int(np.argmax(x))])
            raise OutOfRange(
                f"The body reaches {worst:.1f} K, and its properties are known from {self.matter.low:g} to {self.matter.high:g} K.",
                field="temperature", value=worst, limit=(self.matter.low, self.matter.high),
                remedy="Shorten the stage, cool its air, or give constant properties.",
            )  # fmt: skip
        n = np.minimum(x.astype(np.intp), self.last)
        return n + self.first, x - n

    def enthalpy(self, t: Floats) -> Floats:
        """[K] to [J/m3]."""
        if self.matter.constant:
            return self.h_low + self.c_only * (t - self.matter.low)
        at, part = self._at(t)
        h0 = self.h.take(at)
        return h0 + part * (self.h.take(at + 1) - h0)

    def properties(self, t: Floats) -> tuple[Floats, Floats]:
        """Conductivity [W/m K] and heat capacity [J/m3K] at temperatures [K]."""
        if self.matter.constant:
            return np.broadcast_to(self.k_only, t.shape), np.broadcast_to(self.c_only, t.shape)
        at, part = self._at(t)
        k0 = self.k.take(at)
        return k0 + part * (self.k.take(at + 1) - k0), (self.h.take(at + 1) - self.h.take(at)) * self.scale

    def capacity_between(self, start: Floats, h_start: Floats, end: Floats, least: float = 1e-3) -> Floats:
        """Mean heat capacity from one temperature to another; where they are the same, that of the place. [J/m3K]"""
        if self.matter.constant:
            return np.broadcast_to(self.c_only, start.shape)
        change = end - start
        near = np.abs(change) < least
        change = np.where(near, least, change)
        return np.asarray((self.enthalpy(np.where(near, start + least, end)) - h_start) / change)

    def temperature(self, h: Floats, guess: Floats) -> Floats:
        """The temperature that holds an enthalpy: from a guess by steps from interval to interval. [K]"""
        if self.matter.constant:
            return np.asarray(self.matter.low + (h - self.h_low) / self.c_only)
        n = np.clip(((guess - self.matter.low) * self.scale).astype(np.intp), 0, self.last)
        for _ in range(self.last + 2):
            at = n + self.first
            h0 = self.h.take(at)
            h1 = self.h.take(at + 1)
            down, up = (h < h0) & (n > 0), (h > h1) & (n < self.last)
            if not (down.any() or up.any()):
                break
            n = n + up - down
        return np.asarray(self.matter.low + (n + (h - h0) / (h1 - h0)) * self.matter.step)
