"""How long the core spent warming up: the lines that stand beside every table of heat."""

from __future__ import annotations

from typing import Any

from ingle.ground.units import hours, seconds, temperature_c
from ingle.safety.lethality_rules import words
from ingle.safety.thermal_record import ThermalRecord, first_above, time_between
from ingle.safety.verdict import Verdict, level_of_max


def come_up(record: ThermalRecord, error: float, *, cured: bool, trichinae: bool) -> list[Verdict]:
    """Time between the two temperatures of each come-up line while heating, all of it added.

    Parameters
    ----------
    record : ThermalRecord
        As read.
    error : float
        Size of the probe's error [K]: the worst of readings as they are, higher and lower is taken.
    cured : bool
        A cured or fermented piece needs no come-up line of the trichinae table.
    trichinae : bool
        Whether that table is judged.
    """
    found = [_line("come-up", words("come-up"), record, error, "law")]
    if trichinae and not cured:
        found.append(_line("trichinae-come-up", words("trichinae-come-up"), record, error, "advice"))
    return found


def _line(rule: str, said: dict[str, Any], record: ThermalRecord, error: float, kind: str) -> Verdict:
    low, high = temperature_c(f"{said['from_f']}F"), temperature_c(f"{said['to_f']}F")
    spent = [_spent(record.shifted(e), low, high) for e in sorted({0.0, -error, error})]
    plain = hours(_spent(record, low, high)[0])
    worst = hours(max(s for s, _ in spent))
    reached = all(done for _, done in spent)
    limit = float(said["limit"]["max"])
    level, not_checked = level_of_max(plain, limit, high=worst), list(record.notes)
    if level != "over" and record.celsius[0] > low + 1e-9:
        level = "cannot_say"
        not_checked.insert(0, f"time before the first reading, at {record.celsius[0]:.1f} C: the record must begin below {low:.1f} C")
    elif level != "over" and not reached:
        level = "cannot_say"
        not_checked.insert(0, f"the rest of the way: {high:.1f} C was not reached in the record")
    not_checked.append("whether the readings are of the slowest point")
    if not error:
        not_checked.append("the error of the thermometer: none was given")
    return Verdict(
        rule=rule, title=said["about"], level=level, value=plain, limit=limit, unit="h", clause=said["clause"],
        source=said["source"], sure=said["sure"], kind=kind, country="us", high=worst if error else None,
        basis="core, heating", doubt=said["doubt"], not_checked=tuple(not_checked),
        act="A smaller or thinner piece, or a hotter first stage." if level in ("over", "near") else "",
        more={"side": "max", "log10": None, "required": None, "held_s": seconds(plain), "required_s": seconds(limit)},
    )  # fmt: skip


def _spent(record: ThermalRecord, low: float, high: float) -> tuple[float, bool]:
    """Time between the two on the way up, and whether the upper one was reached. [s]"""
    end = first_above(record, high)
    if end is None:
        return time_between(record, low, high), False
    last = int((record.seconds < end).sum())
    part = ThermalRecord(record.seconds[: last + 1], record.celsius[: last + 1], record.hole[:last])
    return (time_between(part, low, high) if last else 0.0), True
