"""How far germs could grow in a food along a temperature record: published limits, interface, forecast, published times.

Usable alone with plain arrays:

>>> from ingle.safety import growth
>>> days = [0, 86400, 172800]
>>> [(g.key, g.level) for g in growth.judge(days, [3.0, 4.0, 3.5], aw=0.975, ph=5.7, gap_s=1e6)][:2]
[('listeria', 'within'), ('salmonella', 'within')]

The layers stand apart, and none overrides a worse answer of another. The worst place is found and named; a mean is never judged.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.units import HOUR_S
from ingle.safety import botulism, germs, growth_forecast, growth_interface, growth_rate
from ingle.safety.conditions import Conditions, conditions
from ingle.safety.growth_answer import Growth, warmth
from ingle.safety.growth_forecast import Work
from ingle.safety.growth_line import SETTLE, against_line, without_model
from ingle.safety.growth_record import GrowthRecord, tidy
from ingle.safety.growth_screen import screen

USUAL = (*germs.FORECAST, *germs.BOTULINUM)
START_LOG10 = 1.0  # ten per gram: only the room above it depends on it
MOST_START = 4.0  # ours: more would leave no room to grow, and a false "within"
PACKS = ("air", "vacuum", "oil")
RISING_TO_C = 25.0  # up to here no germ grows slower or has more hours allowed for being warmer; above, the worst may lie between
_ORDER = {"within": 0, "near": 1, "cannot_say": 2, "over": 3}
def judge(
    seconds: ArrayLike, celsius: ArrayLike, *, aw: ArrayLike | None = None, ph: ArrayLike | None = None,
    nitrite: ArrayLike | None = None, wps: ArrayLike | None = None, lactate: ArrayLike | None = None,
    phenol: ArrayLike | None = None, places: Iterable[str] = (), organisms: Iterable[str] = USUAL, packed: str = "air",
    meat: str = "pork", dark: bool = False, acid: bool = False, heated: bool = False, cooked: bool = False, lines: Mapping[str, float] | None = None,
    probe_error_c: float | None = None, aw_error: float | None = None, ph_error: float | None = None, room_c: float | None = None,
    gap_s: float | None = None, expect: str = "any", start_log10: float = START_LOG10, why: str = "",
) -> tuple[Growth, ...]:  # fmt: skip
    """Judge every germ over one record.

    Parameters
    ----------
    seconds : array_like, shape (n,)
        Times. [s]
    celsius : array_like, shape (n,) or (places, n)
        Temperatures of the food. [C]
    aw, ph, wps, nitrite, lactate, phenol : array_like, shape (), (places,) or (places, n)
        What each place offers: water activity; pH; salt in the water phase [%]; nitrite *left there* [mg NaNO2/kg]; lactate in
        the water phase and phenol [mg/kg]. Left out: see `conditions.conditions`; said in ``assumed``.
    places : iterable of str
        Names of the places, like ``core`` and ``surface``.
    packed : {"air", "vacuum", "oil"}
    dark, acid : bool
        Dark, firm, sticky meat; a food called acid. Both matter only where the pH was not measured.
    heated : bool
        The food had 90 C for 10 minutes in its slowest place after packing.
    cooked : bool
        It is heated through before it is eaten.
    lines : mapping, optional
        Lines by germ [log10] in place of the display lines; ``why`` tells where they come from. A line may be stricter than the one
        in force (`germs.line_in_force`: the display line, or with ``cooked`` the growth from which food is thrown away), never
        laxer: a laxer one is cut to it, and ``notes`` say so.
    probe_error_c, aw_error, ph_error : float, optional
        Half widths, 5 to 95 %. [K], [1], [1]
    room_c, gap_s, expect
        How pauses are filled and what is asked, see `growth_record.tidy`.

    Returns
    -------
    tuple of Growth
        One for each germ, in the order asked.

    Raises
    ------
    BadBrief, OutOfRange
        See `growth_record.tidy` and `conditions.conditions`.

    Notes
    -----
    No lag is counted. The rate's geometric spread of 1.5 and the readings' errors give the 5 and 95 % ends.
    """
    asked = tuple(organisms)
    for germ in asked:
        germs.require(germ)
    if packed not in PACKS:
        raise BadBrief(f"packed {packed!r} is not known. There are: {', '.join(PACKS)}.", field="packed", value=packed,
                       limit=", ".join(PACKS), remedy="Say how it is packed.")  # fmt: skip
    growth_rate.perfringens(meat)
    if not start_log10 <= MOST_START:
        raise OutOfRange(f"start_log10 is {start_log10:g}.", field="start_log10", value=start_log10, limit=f"at most {MOST_START:g}",
                         remedy="Give the germs per gram at the start as a power of ten, like 1.")  # fmt: skip
    record = tidy(seconds, celsius, expect=expect, gap_s=gap_s, room_c=room_c)
    error = float(growth_interface.law("inputs")["temperature_k"]) if probe_error_c is None else _error(probe_error_c)
    named = tuple(places)
    if record.celsius.ndim == 2 and not named:
        named = tuple(f"place {i + 1}" for i in range(len(record.celsius)))
    c = conditions(aw=aw, ph=ph, nitrite=nitrite, wps=wps, lactate=lactate, phenol=phenol, places=named, aw_error=aw_error,
                   ph_error=ph_error, dark=dark, acid=acid, readings=np.asarray(seconds).size)  # fmt: skip
    if c.moves and record.seconds.size != np.asarray(seconds).size:
        raise BadBrief("Conditions that move along a record need a record without pauses, doubles and lost readings.", field="seconds",
                       value=record.seconds.size, limit=np.asarray(seconds).size, remedy="Put the record in order first.")  # fmt: skip
    if record.celsius.ndim == 2 and len(record.celsius) != len(c.places):
        raise BadBrief(f"celsius tells of {len(record.celsius)} places and the conditions of {len(c.places)}.", field="celsius",
                       value=record.celsius.shape, limit=len(c.places), remedy="Give a row for each place.")  # fmt: skip
    return judge_record(record, c, asked, packed=packed, meat=meat, heated=heated, cooked=cooked, lines=lines, error=error, start_log10=start_log10, why=why)


def judge_record(
    record: GrowthRecord, c: Conditions, organisms: Iterable[str] = USUAL, *, packed: str = "air", meat: str = "pork",
    heated: bool = False, cooked: bool = False, lines: Mapping[str, float] | None = None, error: float = 0.0,
    start_log10: float = START_LOG10, why: str = "",
) -> tuple[Growth, ...]:  # fmt: skip
    """The same for a record and conditions that stand in order. ``why`` tells where ``lines`` come from."""
    asked_lines = _lines(lines, cooked)
    counted = None if c.moves else growth_forecast.dwells(record)
    out: list[Growth] = []
    for germ in organisms:
        if germ == "botulinum-1":
            out.append(botulism.proteolytic(record, c, error))
        elif germ == "botulinum-2":
            if packed != "air":
                out.append(botulism.non_proteolytic(record, c, error, heated))
        elif germ in germs.FORECAST:
            line, cut = asked_lines.get(germ, (float(germs.line(germ)["limit"]["max"]), ""))

            def found(moved: Conditions, germ: str = germ) -> Work:
                return growth_forecast.work(germ, record, moved, meat=meat, probe_error=error, counted=counted)

            said = why if germ in asked_lines and not cut else ""
            told = against_line(germ, record, c, found(c), screen(germ, record, c, error), line, meat, start_log10, found, said)
            out.append(replace(told, notes=(*told.notes, cut)) if cut else told)
        else:
            out.append(without_model(germ, record, c, screen(germ, record, c, error)))
    return tuple(out)


def _lines(lines: Mapping[str, float] | None, cooked: bool) -> dict[str, tuple[float, str]]:
    """Lines a caller gave, none above the one in force, and what is said of one that was cut. [log10]"""
    found: dict[str, tuple[float, str]] = {}
    for germ, given in (lines or {}).items():
        germs.require(germ)
        if germ not in germs.FORECAST:
            raise BadBrief(f"{germs.NAMES[germ]} is compared with no line of growth.", field="lines", value=germ, limit=", ".join(germs.FORECAST),
                           remedy="Leave it out: it goes by published hours.")  # fmt: skip
        if not given > 0:
            raise OutOfRange(f"line of {germ} is {given:g} log.", field="lines", value=given, limit="above 0", remedy="Give growth in log10, like 0.5.")
        most = germs.line_in_force(germ, cooked)
        cut = f"a line of {given:g} log was asked; the one in force is {most:g} log, and no line may be laxer" if given > most * (1 + 1e-9) else ""
        found[germ] = (min(float(given), most), cut)
    return found


def judge_band(hours: float, lowest_c: float, highest_c: float, **more: object) -> tuple[Growth, ...]:
    """Judge a hand thermometer's lowest and highest reading where no logger stood beside the food.

    Growth is told at both ends, and between them where it could be worse there than at either: growth ends again in the heat.
    Where one end is below the line and the worst above, the answer is cannot_say, and ``settle`` names the one reading that would
    decide. Other arguments as `judge`; the ends stand for the error of the readings.

    Raises
    ------
    OutOfRange
        Hours that are no time; a lowest reading above the highest.
    """
    if not 0 < hours <= 24 * 400:
        raise OutOfRange(f"{hours:g} h is no time to keep food.", field="hours", value=hours, limit="above 0, at most 400 d", remedy="Give the hours.")
    if not lowest_c <= highest_c:
        raise OutOfRange(f"The lowest reading {lowest_c:g} C is above the highest {highest_c:g} C. Are they swapped?", field="lowest",
                         value=lowest_c, limit=highest_c, remedy="Give the lower one first.")  # fmt: skip
    more = {"probe_error_c": 0.0, "gap_s": np.inf} | more
    hot = np.arange(max(lowest_c, RISING_TO_C), highest_c, 1.0) if highest_c > RISING_TO_C else ()
    steps = dict.fromkeys((lowest_c, *(float(h) for h in hot), highest_c))
    each = [judge([0.0, hours * HOUR_S], [step, step], **more) for step in steps]  # type: ignore[arg-type]
    return tuple(_between(dict(zip(steps, found, strict=True)), lowest_c, highest_c) for found in zip(*each, strict=True))


def _between(at: Mapping[float, Growth], lowest: float, highest: float) -> Growth:
    """One answer of those from the lowest to the highest reading: the worst, or cannot_say where an end is no more than within."""
    bad, least = max(at, key=lambda c: _grave(at[c])), min((highest, lowest), key=lambda c: _grave(at[c]))
    worst, mild = at[bad], at[least]
    likely = worst.log10 if mild.log10 is None or worst.log10 is None else (mild.log10 + worst.log10) / 2.0
    both = replace(worst, log10_low=mild.log10_low, log10=likely, notes=(*worst.notes, f"no logger: {warmth(lowest, highest)} taken as a band"))
    if mild.level == worst.level or worst.level in ("within", "cannot_say", "near"):
        return both
    return replace(
        both, answer="cannot_say", level="cannot_say", settle=SETTLE["temperature"], hard_stop=False,
        text=f"{worst.organism}: at {least:g} C {_tail(mild)} At {bad:g} C {_tail(worst)} Which one holds is not known.",
        act=f"Hold it cold and do not serve it until this is known: {SETTLE['temperature']}.",
    )  # fmt: skip


def _grave(g: Growth) -> tuple[int, float, float]:
    return _ORDER[g.level], g.log10_high or 0.0, g.log10 or 0.0


def _tail(g: Growth) -> str:
    return g.text.removeprefix(f"{g.organism}: ")


def _error(value: float) -> float:
    if not 0 <= value <= 10:
        raise OutOfRange(f"probe_error_c is {value:g} K.", field="probe_error_c", value=value, limit="0 to 10 K",
                         remedy="Give how far the thermometer may be off, like 1.")  # fmt: skip
    return float(value)
