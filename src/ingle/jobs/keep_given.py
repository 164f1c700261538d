"""What is known of a food that is kept: its guidance, what its places offer, and the record of its fridge."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

import numpy as np

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.spread import median
from ingle.ground.tables import data_path, toml_table
from ingle.ground.units import HOUR_S, show_fraction, show_hours
from ingle.jobs.thermal_log import Floats, Log
from ingle.planning.part_file import load_parts, read_part
from ingle.planning.parts import Part, main_give
from ingle.safety import germs, keeping
from ingle.safety.conditions import Conditions, conditions
from ingle.safety.growth_record import GrowthRecord, tidy
from ingle.safety.keeping import DAY_H, Food

UNKNOWN_FRIDGE_C = (3.0, 7.0)  # nobody measured it
FREEZER_C = -18.0
METER_PH = 0.05  # a kitchen meter with two points calibrated, as in data/limits/sauce.toml
WARMEST_PLACE_C = 35.0  # ours: a broken fridge in summer; the slowest germ's rate falls from about 37 C on
LONGEST_H = 3650 * DAY_H


@dataclass(frozen=True)
class Kept:
    """What is known of the food and how it is kept. Contents as `growth.judge` takes them."""

    part: str
    log: Log | None = None
    fridge_c: tuple[float, float] | None = None
    scale: str | None = None  # of the log, when it is said: "c" or "f"
    since: datetime | None = None
    now: datetime | None = None
    packed: str = "air"
    opened: bool = False
    frozen: bool = False
    cooked_already: bool = False
    eaten_uncooked: bool = False
    aw: float | None = None
    ph: float | None = None
    wps: float | None = None
    nitrite: float | None = None
    dark: bool = False
    heated: bool = False
    room_c: float | None = None
    probe_error_c: float | None = None
    parts: tuple[Path, ...] = ()


def food_of(kept: Kept) -> tuple[Food, Part | None]:
    """What the guidance calls it, and the part it is, if it is one."""
    part: Part | None = None
    given = kept.part.strip()
    if given in keeping.foods():
        of = keeping.food(given)
    else:
        part = _part(given, kept.parts)
        of = keeping.food_of_part(part.key) or _food_by_part(part)
    if kept.cooked_already:
        cooked = keeping.days(of, "cooked")
        of = keeping.food("leftovers") if cooked is None or of.germs else of
    if kept.eaten_uncooked and of.cooked:
        of = replace(of, cooked=False)
    return of, part


def _part(given: str, folders: tuple[Path, ...]) -> Part:
    if given.endswith(".toml"):
        return read_part(Path(given))
    alone = data_path("parts", f"{given}.toml")
    if not folders and alone.is_file() and (part := read_part(alone)).key == given:
        return part  # the others need not be read
    known = load_parts(folders)
    if given not in known:
        both = ", ".join([*known, *keeping.foods()])
        raise BadBrief(f"part {given!r} is not known. There are: {both}.", field="part", value=given, limit=both,
                       remedy="Name a part, a part file, or a food of this list.")  # fmt: skip
    return known[given]


def _food_by_part(part: Part) -> Food:
    """A cook's own part: by its cure, else by what its file says of keeping."""
    if part.cure is not None:
        return replace(keeping.food("home-cured"), cooked=part.cure.cooked)
    give = main_give(part)
    return Food(part.key, give.name, False, germs.FORECAST, False, False, True, "")


def conditions_of(kept: Kept, of: Food, part: Part | None) -> tuple[Conditions, tuple[str, ...]]:
    """What the places offer, and what was taken for it."""
    wps, more = kept.wps, []
    if kept.wps is None and kept.aw is None and part is not None and part.cure is not None and not kept.cooked_already:
        salt = part.cure.salt_per_green_weight * keeping.core_share()
        water = float(toml_table("laws", "tissues.toml")["lean"]["water"]["high"])
        wps = 100.0 * salt / (salt + water)
        more.append(f"salt in the core's water taken as {wps:.1f} %: {show_fraction(keeping.core_share(), 0)} of the part's cure, evened out")
    c = conditions(aw=kept.aw, ph=kept.ph, wps=wps, nitrite=kept.nitrite, dark=kept.dark, acid=of.acid, places=("core",) if more else (),
                   ph_error=None if kept.ph is None else METER_PH)  # fmt: skip
    return c, (*more, *c.assumed)


def records_of(kept: Kept) -> tuple[GrowthRecord, GrowthRecord, datetime | None, tuple[str, ...]]:
    """Record at the cold and at the warm end (the same one for a log), start of keeping, and what was said of it."""
    if kept.log is not None:
        celsius = _in_celsius(kept.log, kept.scale)
        record = tidy(kept.log.seconds, celsius, expect="cold" if kept.scale else "fridge", room_c=kept.room_c)
        _require_cool(float(median(record.celsius)), "record")
        begun = _begun(kept.log)
        record, start, more = _since(record, begun, kept.since)
        return record, record, start, (*record.notes, *more)
    notes: tuple[str, ...] = ()
    ends = kept.fridge_c
    if ends is None:
        ends = (FREEZER_C, FREEZER_C) if kept.frozen else UNKNOWN_FRIDGE_C
        notes = (f"fridge not measured: {ends[0]:g} to {ends[1]:g} C taken",) if not kept.frozen else (f"freezer taken at {FREEZER_C:g} C",)
    if kept.frozen and ends[1] > keeping.FROZEN_C:
        raise BadBrief(f"frozen, and up to {ends[1]:g} C: which one holds?", field="fridge", value=f"{ends[1]:g} C", limit=f"at most {keeping.FROZEN_C:g} C",
                       remedy="Give the freezer's own readings, or leave --frozen out.")  # fmt: skip
    if ends[0] > ends[1]:
        raise BadBrief(f"fridge {ends[0]:g} C to {ends[1]:g} C: the lower one comes first.", field="fridge", value=ends, limit="like 3C..7C", remedy="Swap them.")
    _require_cool(ends[1], "fridge")
    day = np.array([0.0, DAY_H * HOUR_S])
    cold, warm = (GrowthRecord(day, np.full(2, float(end))) for end in ends)
    return cold, warm if ends[0] < ends[1] else cold, kept.since, notes


def _require_cool(celsius: float, field: str) -> None:
    """Above, germs begin to stop growing for the heat: days in a fridge say nothing there, and the warm end is not the worst."""
    if celsius > WARMEST_PLACE_C:
        raise OutOfRange(f"{field} is {celsius:.0f} C: no place where food keeps.", field=field, value=f"{celsius:.0f} C", limit=f"at most {WARMEST_PLACE_C:g} C",
                         remedy="Was it Fahrenheit? Else throw away what stood there for hours.")  # fmt: skip


def _in_celsius(log: Log, said: str | None) -> Floats:
    """Readings in degrees Celsius where the scale said differs from the header's: the numbers as written, on the scale said."""
    if said is None or said == log.scale:
        return log.celsius
    if log.scale == "k":
        raise BadBrief(f"The log's header says kelvin and the unit {said.upper()}.", field="unit", value=said.upper(), limit="as the header, or none",
                       remedy="Leave the unit out, or put the header right.")  # fmt: skip
    written = log.celsius * 1.8 + 32.0 if log.scale == "f" else log.celsius
    return (written - 32.0) / 1.8 if said == "f" else written


def _begun(log: Log) -> datetime | None:
    try:
        return datetime.fromisoformat(log.begun)
    except ValueError:
        return None


def _since(record: GrowthRecord, begun: datetime | None, since: datetime | None) -> tuple[GrowthRecord, datetime | None, tuple[str, ...]]:
    if since is None or begun is None:
        return record, since or begun, ()
    if begun.tzinfo is not None and since.tzinfo is None:
        since = since.replace(tzinfo=begun.tzinfo)
    if since.tzinfo is not None and begun.tzinfo is None:
        begun = begun.replace(tzinfo=since.tzinfo)
    ahead = (begun - since).total_seconds()
    if ahead > LONGEST_H * HOUR_S or -ahead >= record.seconds[-1]:
        raise BadBrief(f"since {since.date()} lies {'long before' if ahead > 0 else 'after'} the record.", field="since", value=since.isoformat(),
                       limit=begun.isoformat(), remedy="Give the day on which the keeping began.")  # fmt: skip
    if ahead > 60:
        early = record.seconds <= record.seconds[0] + DAY_H * HOUR_S
        warmest = record.celsius[early].max()
        t = np.concatenate([[0.0, ahead - 1e-3], record.seconds + ahead])
        return GrowthRecord(t, np.concatenate([[warmest, warmest], record.celsius]), record.notes), since, (
            f"{show_hours(ahead / HOUR_S)} before the record were not logged: taken at {warmest:.1f} C, the warmest of its first day",)  # fmt: skip
    if ahead < -60:
        keep_from = record.seconds > -ahead
        first = float(np.interp(-ahead, record.seconds, record.celsius))
        t, v = np.append(-ahead, record.seconds[keep_from]), np.append(first, record.celsius[keep_from])
        return GrowthRecord(t + ahead, v, record.notes), since, ()
    return record, since, ()
