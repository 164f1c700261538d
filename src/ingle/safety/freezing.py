"""Was pork frozen cold enough for long enough against Trichinella spiralis: printed tables and one study, side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.tables import toml_table
from ingle.ground.units import HOUR_S, hours, show_hours
from ingle.safety.cooling_clock import without_holes
from ingle.safety.lethality_rules import Row, rows_of
from ingle.safety.probe_runs import Marked, air, marked, with_holes
from ingle.safety.thermal_record import ThermalRecord, held_below, read, require_error
from ingle.safety.verdict import Verdict

LONGEST_GAP_S = 6 * HOUR_S  # ours: a freezer's air comes and goes within hours; a day without a reading is a hole
PLACES = ("core", "room")
NEVER_CHECKED = (
    "kinds of Trichinella that bear frost (T. nativa and others): game and pigs that met it", "toxoplasma and tapeworm, which have lines of their own",
    "bacteria and their toxins: frost halts them, and most live on",
)  # fmt: skip
_RANK = {"within": 0, "near": 1, "cannot_say": 2, "over": 3}


def judge(
    seconds: ArrayLike,
    celsius: ArrayLike,
    *,
    place: str,
    thickness_mm: float | None = None,
    game: bool = False,
    probe_error_c: float = 0.0,
    longest_gap_s: float = LONGEST_GAP_S,
    countries: Sequence[str] = (),
    moved: bool | None = None,
) -> tuple[Verdict, ...]:
    """Judge a record of freezing against trichinae.

    Parameters
    ----------
    seconds, celsius : array_like, shape (n,)
        Rising times [s] and temperatures [C].
    place : str
        What the temperature is of: ``core`` (centre of the piece) or ``room`` (air of the freezer).
    thickness_mm : float, optional
        Thickness of the piece or pack [mm]; asked by the table of room temperatures.
    game : bool
        Bear, walrus, boar and other game carry species that bear frost: nothing is credited.
    probe_error_c : float
        How far the probe may be off [K]; added to every reading.
    countries : sequence of str
        ``us``, ``eu``; empty: all, and a study beside them.
    moved : bool, optional
        Whether the probe was moved; see `cooling.judge`. A stretch that only readings break which none can have shown is cannot_say.

    Returns
    -------
    tuple of Verdict
        Hours held in one stretch beside the hours of the best row. Rules of one country are ways to one end: `level`.
    """
    if place not in PLACES:
        raise BadBrief(
            f"place {place!r} is not known. There are: {', '.join(PLACES)}.", field="place", value=place,
            limit=", ".join(PLACES), remedy="Say core for a probe in the piece, room for the air of the freezer.",
        )  # fmt: skip
    record, error = read(seconds, celsius, longest_gap_s=longest_gap_s), require_error(probe_error_c)
    seen = _marked(record, place, thickness_mm) if moved is not False else Marked(record)
    found = []
    for key, said in toml_table("limits", "freezing.toml").items():
        if said["place"] == place and _fits(said, thickness_mm) and (not countries or said.get("country", "") in (*countries, "")):
            found.append(_verdict(key, said, seen, error, game, thickness_mm))
    if not found:
        raise OutOfRange(
            f"thickness {thickness_mm:g} mm: no table of freezing goes so far.", field="thickness_mm", value=thickness_mm,
            limit=f"above 0, at most {max(s.get('up_to_mm', 0.0) for s in toml_table('limits', 'freezing.toml').values()):g} mm", remedy="Freeze it in thinner pieces, or judge a probe in its core (place=\"core\").",
        )  # fmt: skip
    return tuple(found)


def _peaks(record: ThermalRecord, celsius: float) -> int:
    """How often a record rose above a temperature between two stretches below it."""
    below = record.celsius <= celsius + 1e-9
    first, last = (int(np.argmax(below)), below.size - int(np.argmax(below[::-1]))) if below.any() else (0, 0)
    return int((np.diff(below[first:last].astype(int)) == -1).sum())


def hold_time(key: str, celsius: float) -> float | None:
    """Time a freezing table asks at a steady temperature: the warmer row's. [s] None above its warmest row."""
    met = [row.seconds for row in rows_of(key) if row.celsius >= celsius - 1e-9]
    return met[0] if met else None


def countries() -> tuple[str, ...]:
    """Countries with rules on freezing here."""
    return tuple(dict.fromkeys(said["country"] for said in toml_table("limits", "freezing.toml").values() if "country" in said))


def level(verdicts: Sequence[Verdict]) -> tuple[str, str]:
    """Level of the whole and the rule that decides: of one country's ways the best, of the countries the worst; a study decides nothing."""
    best: dict[str, Verdict] = {}
    for v in verdicts:
        if v.country and (v.country not in best or _RANK[v.level] < _RANK[best[v.country].level]):
            best[v.country] = v
    worst = max(best.values(), key=lambda v: _RANK[v.level], default=None)
    return ("cannot_say", "") if worst is None else (worst.level, worst.rule)


def _marked(record: ThermalRecord, place: str, thickness: float | None) -> Marked:
    if place == "core":
        return marked(record, thickness)
    false, asked = air(record.seconds, record.celsius)
    return Marked(with_holes(record, false), (), "", (asked,)) if asked else Marked(record)


def _fits(said: dict[str, float], thickness: float | None) -> bool:
    """A table for this thickness; where none was told, the one for thick pieces, which asks the longer time."""
    if "up_to_mm" not in said:
        return True
    if thickness is None:
        return said["over_mm"] > 0
    return said["over_mm"] < thickness <= said["up_to_mm"]


def _share(record: ThermalRecord, row: Row) -> float:
    return held_below(record, row.celsius) / row.seconds


def _verdict(key: str, said: dict[str, Any], seen: Marked, error: float, game: bool, thickness: float | None) -> Verdict:
    record = seen.record
    taken, rows = record.shifted(error), rows_of(key)
    row = max(rows, key=lambda r: (_share(taken, r), -r.celsius))
    share = _share(taken, row)
    if share == 0:
        row = rows[-1]
    met, plain = share >= 1 - 1e-6, any(_share(record, r) >= 1 - 1e-6 for r in rows)
    level = "within" if met else "near" if plain else "over"
    lacking = [*seen.asked, *record.notes, *said.get("asks", ())]
    joined = without_holes(taken)
    if level == "over" and taken.hole.any() and any(_share(joined, r) >= 1 - 1e-6 for r in rows):
        level = "cannot_say"
        lacking = ["what happened in the holes of the record: it would decide", *lacking]
    if seen.torn:
        level = "cannot_say"
    if share < 1 and (peaks := _peaks(taken, row.celsius)):
        lacking.insert(0, f"whether the meat thawed when the air came warmer than {row.celsius:.1f} C, {peaks} times: a probe in the meat shows it")
    if game:
        level = "cannot_say"
        lacking.insert(0, "species that bear frost, which game carries: freezing is no measure against them")
    if thickness is None and said["place"] == "room":
        lacking.append("the thickness: none was told, the longer times are asked")
    if not error:
        lacking.append("the error of the thermometer: none was given")
    lacking += NEVER_CHECKED
    return Verdict(
        rule=key, title=f"{said['about']}: {row.printed} held", level=level, country=said.get("country", ""), value=hours(held_below(taken, row.celsius)),
        limit=hours(row.seconds), unit="h", clause=said["clause"], source=said["source"], sure=said["sure"], kind=said["kind"],
        basis="one unbroken stretch", doubt=said["doubt"], not_checked=tuple(lacking),
        act=f"Freeze on: {show_hours(hours(row.seconds))} at {row.celsius:.1f} C or colder, in one stretch." if level in ("over", "near") else "",
        more={"side": "min", "at_c": row.celsius, "at_printed": row.printed, "organism": "Trichinella spiralis",
              "held_s": held_below(taken, row.celsius), "required_s": row.seconds,
              "share": share if math.isfinite(share) else None},
    )  # fmt: skip
