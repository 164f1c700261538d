"""One check for every law: is each value inside the range in which the law holds."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import OutOfRange


def require_within(
    value: ArrayLike, ends: tuple[float, float], what: str, unit: str, because: str = "", remedy: str = ""
) -> NDArray[np.float64]:
    """The value as an array of floats, or OutOfRange when any of it lies outside ``ends`` or is no number.

    Parameters
    ----------
    value : array_like, shape (...)
    ends : tuple of float
        Lowest and highest, both allowed.
    what, unit : str
        Name of the quantity and its unit, as the error tells them; a pure number has the unit "".
    because : str
        Where the range comes from.
    remedy : str
        The act that helps; left out: the range is told once more.

    Raises
    ------
    OutOfRange
        Carries the first offending value, ``limit`` (the range) and ``mask`` (True where outside).
    """
    x = np.asarray(value, dtype=float)
    low, high = ends
    mask = ~((x >= low) & (x <= high))
    if not mask.any():
        return x
    worst = float(x[mask].flat[0])
    tail = f" {unit}" if unit else ""
    allowed = _words(low, high, tail)
    error = OutOfRange(
        f"{what} {worst:.6g}{tail} is not {allowed}" + (f", where the law holds ({because})." if because else "."),
        field=what.replace(" ", "_"),
        value=worst,
        limit=ends,
        remedy=remedy or f"The {what} must be {allowed}.",
    )
    error.mask = mask  # type: ignore[attr-defined]
    raise error


def _words(low: float, high: float, tail: str) -> str:
    if np.isinf(high):
        return f"above 0{tail}" if 0.0 < low < 1e-300 else f"{low:.6g}{tail} or more"
    return f"within {low:.6g} to {high:.6g}{tail}"
