"""A history of stages as a cook writes it, read strictly; temperature records beside it."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

from ingle.crafts._stage_file import kind_of, piece_table, require_known, stage_tables, text_of
from ingle.crafts.cure.history_stage import AIR, KINDS, Record, Stage
from ingle.crafts.cure.mix import mix
from ingle.ground import units
from ingle.ground.errors import OutOfRange
from ingle.ground.refusal import refuse
from ingle.ground.tables import read_toml_file
from ingle.ground.things import Piece

PIECE_KEYS = ("name", "weight", "shape", "size", "thickness", "diameter", "skin", "skin_weight", "fat")
STAGE_KEYS = ("kind", "lasts", "temperature", "record", "add", "drip", "humidity")
LARGEST_GAP_H = 6.0  # between two readings of a fridge: longer, and nobody knows what it did (common practice)
USUAL_LENGTH_H = {"pump": 0.0, "drain": 0.0, "rinse": 5 / 60}


def read_history(path: Path) -> tuple[Piece, tuple[Stage, ...]]:
    """A piece and its stages from a TOML file; records are looked for beside it.

    Raises
    ------
    BadBrief, OutOfRange
        With the place in the file (``stage[1].lasts``, counted from 0), the value, the limit and a remedy.
    """
    given = read_toml_file(Path(path), "stages")
    require_known(given, "", ("piece", "stage"))
    return _piece(piece_table(given, "weight and thickness")), _stages(given, Path(path).resolve().parent)


def _piece(said: Mapping[str, Any]) -> Piece:
    require_known(said, "piece.", PIECE_KEYS)
    sizes = said.get("size")
    if sizes is not None and (not isinstance(sizes, list) or len(sizes) != 3):
        refuse(
            "piece.size",
            f"is {sizes!r}.",
            sizes,
            "length, width, thickness",
            'Write size = ["200mm", "120mm", "50mm"].',
        )
    length, width, third = (
        (units.length_mm(s, f"piece.size[{i}]") for i, s in enumerate(sizes)) if sizes else (None, None, None)
    )
    thickness = third
    for key in ("thickness", "diameter"):
        if key in said:
            thickness = units.length_mm(said[key], f"piece.{key}")
    return Piece(
        weight_g=units.mass_g(said.get("weight"), "piece.weight"),
        thickness_mm=thickness,
        width_mm=width,
        length_mm=length,
        shape=text_of(said, "piece", "shape", "slab"),
        skin=text_of(said, "piece", "skin", "none"),
        skin_weight_g=units.mass_g(said["skin_weight"], "piece.skin_weight") if "skin_weight" in said else None,
        fat=text_of(said, "piece", "fat", "none"),
        name=text_of(said, "piece", "name", ""),
    )


def _stages(given: Mapping[str, Any], folder: Path) -> tuple[Stage, ...]:
    rows = stage_tables(given, 'kind = "rub" and lasts = "7d"')
    return tuple(_stage(row, f"stage[{i}]", folder) for i, row in enumerate(rows))


def _stage(said: Any, path: str, folder: Path) -> Stage:
    kind = kind_of(said, path, STAGE_KEYS, KINDS)
    if "lasts" not in said and kind not in USUAL_LENGTH_H:
        refuse(f"{path}.lasts", "is missing.", "missing", "like 7d", 'Write lasts = "7d".')
    hours = units.duration_h(said["lasts"], f"{path}.lasts", high=24 * 400) if "lasts" in said else USUAL_LENGTH_H[kind]
    if "temperature" in said and "record" in said:
        refuse(
            f"{path}.record", "stands beside a temperature.", said["record"], "one of both", "Leave one of them out."
        )
    record = (
        read_record(folder / text_of(said, path, "record", ""), f"{path}.record", hours) if "record" in said else None
    )
    added = said.get("add", {})
    if not isinstance(added, Mapping):
        refuse(
            f"{path}.add",
            f"is {added!r}.",
            added,
            "a table",
            'Write add = { salt = "30g", "curing-salt@6.25%" = "2.5g" }.',
        )
    humidity = units.fraction(said["humidity"], f"{path}.humidity") if "humidity" in said else None
    if humidity is not None and kind not in (*AIR, "rest"):
        refuse(f"{path}.humidity", "has no use here.", said["humidity"], ", ".join((*AIR, "rest")), "Leave it out.")
    return Stage(
        kind=kind,
        lasts_h=hours,
        temperature_c=units.temperature_c(said["temperature"], f"{path}.temperature") if "temperature" in said else 4.0,
        record=record,
        add=mix(dict(added)),
        drip=text_of(said, path, "drip", "kept"),
        humidity=humidity,
    )


def read_record(path: Path, field: str, lasts_h: float) -> Record:
    """A temperature record: CSV with the header ``time,temperature_c``, times ISO 8601 with offset.

    Refused, never mended in silence: times that repeat or run back, a gap of more than six hours, a record shorter than its
    stage, what looks like Fahrenheit.
    """
    try:
        with path.open(newline="", encoding="utf-8") as lines:
            rows = list(csv.reader(lines))
    except (OSError, UnicodeDecodeError):
        refuse(field, f"{path.name} cannot be read.", path.name, "a CSV file beside the stages", "Check its name.")
    if not rows or [c.strip() for c in rows[0]] != ["time", "temperature_c"]:
        refuse(field, f"{path.name} does not begin with the header.", rows[0] if rows else "empty", "time,temperature_c",
               "Write the header line time,temperature_c.")  # fmt: skip
    times: list[datetime] = []
    values: list[float] = []
    for number, row in enumerate(rows[1:], 2):
        if not row:
            continue
        try:
            moment, value = datetime.fromisoformat(row[0].strip()), float(row[1])
        except (ValueError, IndexError):
            refuse(field, f"{path.name} line {number}: {','.join(row)!r} is not a reading.", ",".join(row), "2026-11-28T18:00:00+00:00,4.2",
                   "Write the time with its offset, then the temperature in C.")  # fmt: skip
        if moment.tzinfo is None:
            refuse(
                field,
                f"{path.name} line {number}: {row[0]} has no offset.",
                row[0],
                "like +00:00",
                "Write the time with its offset.",
            )
        if times and moment <= times[-1]:
            what = "repeats" if moment == times[-1] else "runs back"
            refuse(field, f"{path.name} line {number}: the time {what}.", row[0], f"after {times[-1].isoformat()}",
                   "Sort the record and take doubles out.")  # fmt: skip
        times.append(moment)
        values.append(value)
    if len(times) < 2:
        refuse(
            field,
            f"{path.name} holds {len(times)} readings.",
            len(times),
            "two or more",
            "Export the record once more.",
        )
    hours = np.array([(t - times[0]).total_seconds() / units.HOUR_S for t in times])
    gap = float(np.diff(hours).max())
    if gap > LARGEST_GAP_H:
        at = times[int(np.diff(hours).argmax())]
        refuse(field, f"{path.name} has a gap of {units.show_hours(gap)} after {at.isoformat()}.", units.show_hours(gap),
               units.show_hours(LARGEST_GAP_H), "Fill it from another thermometer, or write a temperature instead of the record.")  # fmt: skip
    if hours[-1] < lasts_h * 0.98:
        refuse(field, f"{path.name} covers {units.show_hours(hours[-1])}, the stage lasts {units.show_hours(lasts_h)}.",
               units.show_hours(hours[-1]), units.show_hours(lasts_h), "Shorten the stage, or give the whole record.")  # fmt: skip
    if np.median(values) > 30:
        raise OutOfRange(
            f"{field}: {path.name} reads {np.median(values):g} most of the time: that is Fahrenheit, or no fridge.",
            field=field, value=f"{np.median(values):g}", limit="-1 to 25 C", remedy="Export it in C.",
        )  # fmt: skip
    return Record(hours, np.array(values))
