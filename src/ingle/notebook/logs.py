"""A logger's file, looked at: what was understood, the first rows, what must be asked. Nothing is stored before it is confirmed.

    sighting = sight(Path("fridge.csv"), Answers(zone="Europe/London"), expect="fridge")
    sighting.questions      # empty: nothing is left to ask
    sighting.tracks         # one a probe: UTC in ms, degrees Celsius or percent

The second look carries the answers of the first. `logs_keep.keep` stores what was seen.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import polars as pl

from ingle.ground.errors import BadBrief
from ingle.notebook import logs_clock as clock
from ingle.notebook import logs_dates as dates
from ingle.notebook import logs_heads as heads
from ingle.notebook import logs_parse as parsing
from ingle.notebook.logs_bytes import Source, read_source
from ingle.notebook.logs_shape import SEPARATORS, Shape, shape_of
from ingle.notebook.logs_things import EXPECT, Answers, Question, Sighting, Track, at_ms
from ingle.notebook.logs_tracks import tracks_of

__all__ = ["Answers", "Question", "Sighting", "Track", "at_ms", "sight"]


def sight(
    source: Path | bytes, answers: Answers | None = None, *, name: str = "", expect: str = "any", kitchen_zone: str | None = None,
    now: datetime | None = None,
) -> Sighting:  # fmt: skip
    """Look at a logger's file.

    Parameters
    ----------
    source : Path or bytes
    answers : Answers
        What the person said to the questions of an earlier look.
    expect : {"any", "fridge", "smoker", "cooling"}
        Where the logger stood: what cannot be there is asked.
    kitchen_zone : str, optional
        Proposed where the file names no zone.
    now : datetime, optional
        Against which times to come are told.

    Raises
    ------
    BadBrief
        No table of readings; see `logs_bytes`, `logs_shape`, `logs_parse`. An answer that is none.
    """
    said = _checked(answers or Answers(), expect)
    file = read_source(source, name, said.encoding)
    shape = shape_of(file.head(), file.name)
    units, unknown = _units(file, shape, said)
    questions: list[Question] = []
    if unknown:
        told = ", ".join(repr(heads.bare_name(shape.name(i), i)) for i in unknown)
        text = f"The file names no unit for {told} (its first numbers: {', '.join([c for c in shape.column(unknown[0]) if c][:3])}). C or F?"
        questions.append(Question("unit", text, ("C", "F", "K")))
    form, order, evidence = _form(file, shape, said, questions)
    zone, where = _zone(shape, form, said, kitchen_zone, questions)
    understood = _understood(file, shape, form, order, evidence, zone, where, units)
    rows = tuple([shape.head] if shape.head else []) + shape.sample[:5]
    seen = Sighting(file.name, "", file.size, understood, rows, tuple(questions), zone=zone,
                    instrument=said.instrument or heads.serial_in((*shape.above, shape.head)))  # fmt: skip
    if not questions:
        seen = tracks_of(seen, parsing.parse(file, shape, form, order), units, said, expect, now or datetime.now(UTC))
    return replace(seen, sha256=file.sha256)


def _checked(said: Answers, expect: str) -> Answers:
    """Answers that are choices are choices."""
    for key, value, choices in (
        ("unit", said.unit and said.unit.upper().strip("° "), ("C", "F", "K")), ("dates", said.dates, dates.ORDERS),
        ("doubles", said.doubles, ("warmer", "colder")), ("order", said.order, ("sort",)), ("expect", expect, EXPECT),
    ):  # fmt: skip
        if value is not None and value not in choices:
            raise BadBrief(f"{key} {value!r} is not one of {', '.join(choices)}.", field=key, value=value, limit=", ".join(choices),
                           remedy=f"Write {choices[0]}.")  # fmt: skip
    for probe, kind in said.kinds.items():
        if kind not in heads.KINDS:
            raise BadBrief(f"probe {probe} is said to be {kind!r}.", field="probe", value=kind, limit=", ".join(heads.KINDS),
                           remedy=f"Write --probe {probe}=core, or another of these.")  # fmt: skip
    if said.zone is not None:
        clock.zone_named(said.zone)
    return replace(said, unit=said.unit.upper().strip("° ") if said.unit else None)


def _units(file: Source, shape: Shape, said: Answers) -> tuple[dict[int, str], list[int]]:
    """The unit of each column of values: from its head, the row under it, a line above, the cells; else unknown."""
    whole = heads.unit_line(shape.above)
    units: dict[int, str] = {}
    unknown = []
    for i in shape.values:
        found = heads.unit_in(shape.name(i)) or (heads.unit_only(shape.units[i]) if i < len(shape.units) else None)
        found = found or _unit_of_cells(shape.column(i))
        if found is None and shape.unit is not None:
            each = {heads.unit_only(c) for c in shape.column(shape.unit) if c}
            if len(each) > 1:
                raise BadBrief(f"log {file.name} has readings in several units in one column.", field="log", value=", ".join(sorted(map(str, each))),
                               limit="one unit a column", remedy="Export temperature and humidity in columns of their own.")  # fmt: skip
            found = each.pop() if each else None
        found = found or (whole if whole != "%" or len(shape.values) == 1 else None)
        if said.unit and found != "%":
            found = said.unit
        if found is None:
            unknown.append(i)
        else:
            units[i] = found
    return units, unknown


def _unit_of_cells(cells: list[str]) -> str | None:
    """A unit that stands behind every number."""
    tails = {re.sub(r"^[+-]?[\d.,]+\s*", "", c) for c in cells if re.match(r"^[+-]?[\d.,]+", c)}
    return heads.unit_only(tails.pop()) if len(tails) == 1 else None


def _form(file: Source, shape: Shape, said: Answers, questions: list[Question]) -> tuple[dates.Form | None, str, str]:
    if shape.how not in ("moment", "date+clock"):
        if shape.how == "elapsed" and said.start is None:
            questions.append(Question("start", "The file counts seconds from its start. When did it start?", ("like 2026-12-01T18:30",)))
        return None, "", ""
    cells = shape.column(shape.time[0])
    if shape.how == "date+clock":
        cells = [f"{a} {b}" for a, b in zip(cells, shape.column(shape.time[1]), strict=True)]
    form = dates.form_of(cells)
    if form is None:
        raise BadBrief(f"log {file.name} writes its times in a way that is not known: {cells[0]!r}.", field="log", value=cells[0],
                       limit="like 2026-12-01 18:30:00", remedy="Export it with dates and times as figures.")  # fmt: skip
    left, why = parsing.order_of(file, shape, form)
    if len(left) == 1:
        if said.dates and said.dates != left[0]:
            raise BadBrief(f"log {file.name}: {cells[0]} cannot be {said.dates}: {why or 'its form says ' + left[0]}.", field="dates",
                           value=said.dates, limit=left[0], remedy=f"Leave --dates out, or write {left[0]}.")  # fmt: skip
        return form, left[0], why
    if said.dates in left:
        return form, str(said.dates), "as was said"
    meant = "; ".join(f"{o}: {_as_date(cells[0], form, o)}" for o in left)
    proposal = "day-first" if "day-first" in left and "." in form.patterns[left[0]].split("%H")[0] else ""
    questions.append(Question("dates", f"{cells[0]} can be read in more than one way ({meant}). Which comes first?", left, proposal))
    return form, left[0], ""


def _as_date(cell: str, form: dates.Form, order: str) -> str:
    ms = pl.DataFrame({"t": [cell]}).select(dates.parsed(pl.col("t"), form, order)).item()
    return "no date" if ms is None else f"{at_ms(ms).day} {at_ms(ms):%b %Y}"


def _zone(shape: Shape, form: dates.Form | None, said: Answers, kitchen: str | None, questions: list[Question]) -> tuple[str, str]:
    """The zone and where it comes from. Asked where the file has none; the kitchen's is proposed."""
    if (form is not None and form.offset) or shape.how.startswith("epoch"):
        return "UTC", "each time carries its offset" if form is not None and form.offset == "each" else "the file's own"
    if said.zone is not None:
        return said.zone, "as was said"
    if shape.how == "elapsed" and said.start is not None and said.start.tzinfo is not None:
        return "UTC", "of the start"
    named = heads.zone_in([" ".join(row) for row in (*shape.above, shape.head)])
    if named:
        try:
            clock.zone_named(named)
            return named, "the head of the file"
        except BadBrief:
            pass
    questions.append(Question("zone", "The file names no time zone. In which zone does the logger's clock run?",
                              (kitchen or "Europe/London", "UTC", "+01:00"), kitchen or ""))  # fmt: skip
    return kitchen or "", "proposed"


def _understood(
    file: Source, shape: Shape, form: dates.Form | None, order: str, evidence: str, zone: str, where: str, units: Mapping[int, str]
) -> dict[str, Any]:
    return {
        "encoding": file.encoding, "separator": SEPARATORS[shape.separator], "decimal": shape.decimal, "lines_above": shape.begins,
        "times": shape.how, "pattern": form.patterns[order] if form is not None else shape.how, "dates": order, "dates_because": evidence,
        "zone": zone, "zone_from": where, "time_columns": [i + 1 for i in shape.time],
        "probe_column": None if shape.probe is None else shape.probe + 1,
        "columns": [{"column": i + 1, "head": shape.name(i), "unit": units.get(i)} for i in shape.values],
        "left_out": [{"column": i + 1, "head": shape.name(i), "why": why} for i, why in shape.left],
    }  # fmt: skip
