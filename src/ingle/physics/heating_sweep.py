"""One axis for one step: implicit, second order, L-stable, for all lines and all members at once.

Along an axis  C dT/dt = div(k grad T) + faces  is linear within a step (properties and films are frozen). It is stepped by
the two-stage SDIRK method with gamma = 1 - 1/sqrt(2): both stages have one matrix, so it is factored once.

References
----------
Alexander R., SIAM J. Numer. Anal. 14 (1977) 1006: diagonally implicit Runge-Kutta methods (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ingle.physics.heating_body import Axis

Floats = NDArray[np.float64]

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
_AGAIN = (1.0 - GAMMA) / GAMMA


@dataclass(frozen=True)
class Film:
    """A face's film for one step, linear in the temperature of the cell behind it: flow = conductance (outside - cell)."""

    conductance: Floats  # (other cells..., M) [W/m2K], the half cell in it
    outside: Floats  # [K]


class Lines:
    """The factored matrix of one axis for one length of step."""

    def __init__(
        self, axis: Axis, index: int, conductivity: Floats, capacity: Floats, films: list[Film | None], step: float
    ) -> None:  # fmt: skip
        self.index, self.films = index, films
        n, length = axis.cells, axis.length
        others = (n, *(1,) * (conductivity.ndim - 1))
        r = np.moveaxis(1.0 / conductivity, index, 0)
        c = np.moveaxis(capacity, index, 0)
        half = (np.diff(axis.edges) / 2.0).reshape(others)
        rh = r * half
        # between two cells; times gamma step / length^2
        flow = (axis.area[1:-1].reshape(n - 1, *others[1:]) * (GAMMA * step / length**2)) / (rh[:-1] + rh[1:])
        cell = 1.0 / (c * axis.volume.reshape(others))
        self.lower, upper = flow * cell[1:], flow * cell[:-1]
        main = np.ones(np.broadcast_shapes(c.shape, r.shape))
        main[1:] += self.lower
        main[:-1] += upper
        self.source: list[tuple[int, Floats]] = []
        self.face: list[tuple[int, Floats, Floats]] = []
        for film, i, end in zip(films, (0, n - 1), (0, n), strict=True):
            if film is None:
                continue
            rate = (film.conductance * (axis.area[end] * GAMMA * step) / length) * cell[i]
            main[i] += rate
            self.source.append((i, rate * film.outside))
        # Thomas: factors kept
        self.inverse = np.empty_like(main)
        self.back = np.empty_like(upper)
        self.inverse[0] = 1.0 / main[0]
        for i in range(1, n):
            np.multiply(upper[i - 1], self.inverse[i - 1], out=self.back[i - 1])
            self.inverse[i] = 1.0 / (main[i] - self.lower[i - 1] * self.back[i - 1])
        self.forward = self.lower * self.inverse[1:]

    def _solve(self, right: Floats) -> None:
        """Solve in place; the first axis of ``right`` is the line."""
        right *= self.inverse
        work = np.empty_like(right[0])
        for i in range(1, len(right)):
            np.multiply(self.forward[i - 1], right[i - 1], out=work)
            right[i] += work
        for i in range(len(right) - 2, -1, -1):
            np.multiply(self.back[i], right[i + 1], out=work)
            right[i] += work

    def step(self, values: Floats) -> tuple[Floats, Floats, Floats]:
        """Temperatures after the step, and those of the two stages; the line first, as `numpy.moveaxis` gives it."""
        start = np.moveaxis(values, self.index, 0)
        first = start.copy()
        for i, s in self.source:
            first[i] += s
        self._solve(first)
        second = first - start
        second *= _AGAIN
        second += start
        for i, s in self.source:
            second[i] += s
        self._solve(second)
        return np.moveaxis(second, 0, self.index), first, second
