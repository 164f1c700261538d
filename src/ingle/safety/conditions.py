"""What the places of a food offer a germ: water activity, pH, salt, nitrite, and which of it nobody measured."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.ground.errors import BadBrief
from ingle.ground.tables import toml_table
from ingle.ground.units import PER_HUNDRED, ZERO_CELSIUS_K
from ingle.physics import water_activity
from ingle.physics.ranges import require_within
from ingle.safety.water_laws import salt_activity

Floats = NDArray[np.float64]
PAGE = 1.6448536269514722  # standard deviations from the middle of a normal spread to its 5 and 95 % ends

_HIGH_END = {"ph": "the high end of usual meat", "ph_dark": "the high end of dark, firm and sticky meat", "ph_acid": "as if it were not acid"}


@dataclass(frozen=True)
class Conditions:
    """Arrays of shape (places,), or (places, n) where they change along a record of n readings.

    ``nitrite`` is what is left at that place [mg NaNO2 per kg], never what went in. ``wps`` is the salt in the water phase
    [%], NaN where not told. ``aw_error`` and ``ph_error`` are half widths, 5 to 95 %; 0 for a factor that stands at an end of
    what it could be because nobody measured it (``unmeasured``).
    """

    aw: Floats
    ph: Floats
    wps: Floats
    nitrite: Floats
    lactate: Floats  # in the water phase [mg/kg]
    phenol: Floats  # [mg/kg]
    places: tuple[str, ...]
    aw_error: float
    ph_error: float
    unmeasured: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    kind: str = "ph"  # which ends an unmeasured pH has: ph, ph_dark, ph_acid

    @property
    def moves(self) -> bool:
        """Whether anything changes along the record."""
        return self.aw.ndim == 2

    def at_other_end(self, factor: str) -> Conditions:
        """The same with an unmeasured factor at the end that favours growth least."""
        other = ends(self.kind if factor == "ph" else factor)[1]
        changed: dict[str, Floats] = {factor: np.full_like(self.aw, other)}
        return replace(self, **changed)  # type: ignore[arg-type]

    def node(self, at: int) -> Conditions:
        """One place alone."""
        cut = {k: getattr(self, k)[at : at + 1] for k in ("aw", "ph", "wps", "nitrite", "lactate", "phenol")}
        return replace(self, places=(self.places[at],), **cut)


def ends(factor: str) -> tuple[float, float]:
    """Ends of what an unmeasured factor can be: favouring growth, then not."""
    favours, other = toml_table("laws", "growth.toml")["unmeasured"][factor]
    return float(favours), float(other)


def conditions(
    *,
    aw: ArrayLike | None = None,
    ph: ArrayLike | None = None,
    nitrite: ArrayLike | None = None,
    wps: ArrayLike | None = None,
    lactate: ArrayLike | None = None,
    phenol: ArrayLike | None = None,
    places: tuple[str, ...] | list[str] = (),
    aw_error: float | None = None,
    ph_error: float | None = None,
    dark: bool = False,
    acid: bool = False,
    readings: int = 0,
) -> Conditions:
    """Put together what is known of the places.

    Parameters
    ----------
    aw, ph, nitrite, wps, lactate, phenol : array_like, shape (), (places,) or (places, readings)
        Left out: ``aw`` is told from ``wps``, or taken at the end that favours growth; ``ph`` likewise; nitrite, lactate and
        phenol count as none. ``wps`` in percent.
    dark : bool
        The meat is dark, firm and sticky: a high pH.
    acid : bool
        A food that is called acid: its pH can be anything from low to that of meat until it is measured.

    Raises
    ------
    BadBrief, OutOfRange
        Shapes that do not match, values outside what they can be.
    """
    given = {"aw": aw, "ph": ph, "nitrite": nitrite, "wps": wps, "lactate": lactate, "phenol": phenol}
    shapes = {k: np.shape(v) for k, v in given.items() if v is not None and np.ndim(v) > 0}
    count = max([1, len(places), *(s[0] for s in shapes.values())])
    moving = any(len(s) == 2 for s in shapes.values())
    shape = (count, readings) if moving else (count,)
    for key, s in shapes.items():
        if s not in ((count,), (1,), shape) or len(s) > 2:
            raise BadBrief(f"{key} has the shape {s}; there are {count} places" + (f" and {readings} readings." if moving else "."),
                           field=key, value=s, limit=shape, remedy="Give one value for each place.")  # fmt: skip
    if places and len(places) != count:
        raise BadBrief(f"{len(places)} places are named and {count} are told of.", field="places", value=len(places), limit=count,
                       remedy="Name every place.")  # fmt: skip
    spread = toml_table("laws", "growth.toml")["inputs"]
    kind = "ph_acid" if acid else "ph_dark" if dark else "ph"
    unmeasured, assumed = [], []
    salt = np.full(shape, np.nan) if wps is None else _spread(require_within(wps, (0.0, 26.6), "salt in the water phase", "%"), shape)
    error = float(spread["aw"]) if aw_error is None else aw_error
    if aw is not None:
        told_aw = _spread(require_within(aw, (0.3, 1.0), "water activity", ""), shape)
    elif wps is not None:
        told_aw = aw_of_salt(salt)
        error = max(error, PAGE * float(toml_table("laws", "water_activity.toml")["spread"]["value"])) if aw_error is None else aw_error
        assumed.append("water activity reckoned from the salt in the water alone")
    else:
        told_aw, error = np.full(shape, ends("aw")[0]), 0.0
        unmeasured.append("aw")
        assumed.append(f"water activity not known: taken as {ends('aw')[0]:g}, as in fresh meat")
    ph_off = float(spread["ph"]) if ph_error is None else ph_error
    if ph is not None:
        told_ph = _spread(require_within(ph, (2.0, 12.0), "pH", ""), shape)
    else:
        favours = ends(kind)[0]
        told_ph, ph_off = np.full(shape, favours), 0.0
        unmeasured.append("ph")
        assumed.append(f"pH not known: taken as {favours:g}, {_HIGH_END[kind]}")
    assumed.append("nitrite left at that place not known, so not counted" if nitrite is None else "nitrite as told to be left at that place")
    assumed.append("every place told of taken to hold germs, as in pierced, rolled or minced meat")
    zero = np.zeros(shape)
    more = {
        k: zero if v is None else _spread(require_within(v, (0.0, most), k, "mg/kg"), shape)
        for k, v, most in (("nitrite", nitrite, 5000.0), ("lactate", lactate, 60000.0), ("phenol", phenol, 500.0))
    }
    for what, size, most in (("aw_error", error, 0.2), ("ph_error", ph_off, 2.0)):
        require_within(size, (0.0, most), what, "")
    names = tuple(places) or (("everywhere",) if count == 1 else tuple(f"place {i + 1}" for i in range(count)))
    return Conditions(told_aw, told_ph, salt, more["nitrite"], more["lactate"], more["phenol"], names, error, ph_off,
                      tuple(unmeasured), tuple(assumed), kind)  # fmt: skip


def _spread(value: Floats, shape: tuple[int, ...]) -> Floats:
    if value.ndim == 1 and len(shape) == 2:
        value = value[:, None]
    return np.array(np.broadcast_to(value, shape))


def aw_of_salt(wps: Floats, celsius: float = 25.0) -> Floats:
    """Water activity of salt in water, from percent of the water phase; what else is dissolved is left out, which errs to growth."""
    share = np.asarray(wps, float) / PER_HUNDRED
    law = salt_activity()
    most = float(water_activity.saturated(celsius + ZERO_CELSIUS_K, law))
    return water_activity.of_salt(np.minimum(share / (1.0 - share), most), celsius + ZERO_CELSIUS_K, law)
