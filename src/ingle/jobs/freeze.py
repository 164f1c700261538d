"""Was pork frozen cold enough for long enough against trichinae: a freezer in a cook's words, or a log of it, by every named rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.units import HOUR_S
from ingle.jobs.thermal_log import Log, log_of
from ingle.notebook.logs_things import Sighting
from ingle.safety import freezing
from ingle.safety.limits import countries as country_keys
from ingle.safety.verdict import Verdict

LONGEST_D = 3650.0
COLDEST_C, WARMEST_C = -90.0, -5.0  # a freezer: warmer, no rule on freezing speaks
CAUTIONS = (
    "Frost halts bacteria, and most live on: thawed, their clock goes on.",
    "Game, and pigs that met it, can carry kinds of Trichinella that bear frost: only heat or an examination answers them.",
    "Pork that is cooked through to 71 C needs no freezing against trichinae.",
)


@dataclass(frozen=True)
class FreezeAnswer:
    """The answer to `freeze` and `freeze_log`."""

    place: str  # room | core
    thickness_mm: float | None
    game: bool
    verdicts: tuple[Verdict, ...]
    level: str
    strictest: str
    log: Log | None
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def not_checked(self) -> tuple[str, ...]:
        """All that was not checked, once each."""
        return tuple(dict.fromkeys(n for v in self.verdicts for n in v.not_checked))

    @property
    def deciding(self) -> str:
        """The strictest rule as people call it, with its country; a study has none."""
        return next((f"{v.title.rsplit(':', 1)[0]} ({v.country.upper() or 'study'})" for v in self.verdicts if v.rule == self.strictest), "")

    @property
    def not_needed(self) -> tuple[str, ...]:
        """Rules not met whose country has another way that is."""
        met = {v.country for v in self.verdicts if v.level == "within"}
        return tuple(v.rule for v in self.verdicts if v.level != "within" and v.country and v.country in met)

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/chill.md)."""
        told: dict[str, Any] = {
            "level": self.level, "strictest": self.strictest, "place": self.place, "thickness_mm": self.thickness_mm, "game": self.game,
            "freezing": [v.as_dict() for v in self.verdicts], "not_needed": list(self.not_needed), "not_checked": list(self.not_checked),
            "stages": [], "remedies": [], "assumed": [], "not_in_it": [], "cautions": list(self.cautions),
        }  # fmt: skip
        if self.log is not None:
            told["log"] = {"readings": int(self.log.celsius.size), "from": self.log.begun, "lost": int(np.isnan(self.log.celsius).sum())}
        return told


def freeze(
    freezer_c: float, days: float, *, thickness_mm: float | None = None, game: bool = False, countries: Sequence[str] = (), probe_error_c: float = 0.0
) -> FreezeAnswer:
    """Judge so many days in a freezer that was so cold.

    Parameters
    ----------
    freezer_c : float
        Warmest air of the freezer in that time. [C]
    days : float
        In one stretch. [d]
    thickness_mm : float, optional
        Of the piece, or of pieces that touch together; left out, the longest times are asked. [mm]

    Raises
    ------
    OutOfRange
        A freezer that freezes nothing, no time at all, a thickness that no table knows.
    """
    if not COLDEST_C <= freezer_c <= WARMEST_C:
        raise OutOfRange(
            f"freezer is {freezer_c:g} C.", field="freezer", value=f"{freezer_c:g} C", limit=f"{COLDEST_C:g} to {WARMEST_C:g} C",
            remedy=f"Is the minus missing? Write -{abs(freezer_c):g}C." if freezer_c > 0 else "Give the warmest air of the freezer.",
        )  # fmt: skip
    if not 0.0 < days <= LONGEST_D:
        raise OutOfRange(f"days is {days:g}.", field="days", value=days, limit=f"above 0, at most {LONGEST_D:g}", remedy="Give the days in one stretch.")
    seconds = days * 24.0 * HOUR_S
    found = freezing.judge(
        [0.0, seconds], [freezer_c, freezer_c], place="room", thickness_mm=thickness_mm, game=game, probe_error_c=probe_error_c,
        longest_gap_s=2.0 * seconds, countries=_named(countries), moved=False,
    )  # fmt: skip
    return _answer("room", thickness_mm, game, found, None, countries)


def freeze_log(
    log: Log, *, place: str, thickness_mm: float | None = None, game: bool = False, countries: Sequence[str] = (), probe_error_c: float = 0.0,
    moved: bool | None = None,
) -> FreezeAnswer:  # fmt: skip
    """Judge a log of the freezer's air (``room``) or of the middle of the piece (``core``)."""
    found = freezing.judge(
        log.seconds, log.celsius, place=place, thickness_mm=thickness_mm, game=game, probe_error_c=probe_error_c, countries=_named(countries), moved=moved
    )
    return _answer(place, thickness_mm, game, found, log, countries)


def freeze_seen(seen: Sighting, *, place: str = "", **more: Any) -> tuple[FreezeAnswer, str]:
    """Judge a logger's file that was understood, by one of its probes; also the name of that probe.

    Parameters
    ----------
    place : {"", "room", "core"}
        What the temperature is of; left out: of the middle where a probe was in it, else of the freezer's air.
    more
        As `freeze_log`.

    Raises
    ------
    BadBrief
        A file that still asks something, or that holds no temperature.
    """
    if seen.questions:
        raise BadBrief(
            f"{seen.name} asks first: {seen.questions[0].text}", field="log", value=seen.name, limit="a file that is understood",
            remedy="Bring it in under Loggers, where it can be answered, then choose it here.",
        )  # fmt: skip
    dry = [t for t in seen.tracks if not t.wet and t.ms.size > 1]
    if not dry:
        raise BadBrief(f"{seen.name} holds no temperature.", field="log", value=seen.name, limit="a log of temperatures", remedy="Choose another one.")
    where = place or ("core" if any(t.kind == "core" for t in dry) else "room")
    fits = [t for t in dry if (t.kind == "core") is (where == "core")] or dry
    warmest = max(fits, key=lambda t: float(t.values.mean()))
    return freeze_log(log_of(warmest), place=where, **more), warmest.name


def _named(countries: Sequence[str]) -> tuple[str, ...]:
    """Of the countries named those with rules here; none, all."""
    named = country_keys(list(countries)) if countries else ()
    return tuple(k for k in named if k in freezing.countries())


def _answer(place: str, thickness: float | None, game: bool, found: tuple[Verdict, ...], log: Log | None, countries: Sequence[str]) -> FreezeAnswer:
    level, strictest = freezing.level(found)
    if not countries:
        why = "no country was named: all rules are shown, the strictest is marked"
    elif not _named(countries):
        why = f"rules of {', '.join(countries)}: none on freezing is carried here, so all others are shown"
    else:
        why = ""
    other = "the middle of the piece: no probe was in it" if place == "room" else ""
    told = tuple(replace(v, not_checked=(*v.not_checked, *filter(None, (other, why)))) for v in found)
    return FreezeAnswer(place, thickness, game, told, level, strictest, log)
