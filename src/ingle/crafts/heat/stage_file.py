"""A piece and its programme of stages as a cook writes them, read strictly; records of air beside it.

[piece]
part = "collar"
weight = "1.3kg"
thickness = "70mm"
start = "4C"
[[stage]]
kind = "oven"
temperature = "220C"
lasts = "30min"
fan = true
[[stage]]
kind = "oven"
temperature = "160C"
core = "68C"
[[stage]]
kind = "rest"
lasts = "20min"
wrapped = true
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from ingle.crafts._stage_file import kind_of, piece_table, require_known, stage_tables, text_of
from ingle.crafts.heat.joint import USUAL_PART, Joint
from ingle.crafts.heat.outside import ratio_at_wet_bulb
from ingle.crafts.heat.stage import KINDS, Record, Stage, said
from ingle.ground import tables, units
from ingle.ground.refusal import refuse

PIECE = ("part", "shape", "weight", "thickness", "diameter", "width", "length", "start")
STAGE = ("kind", "temperature", "record", "lasts", "core", "heat_up", "from", "fan", "runs", "offset", "on", "humidity", "wet_bulb",
         "wrapped", "stirred", "film")  # fmt: skip
_USUAL_C = {"rest": None, "fridge": 4.0, "freezer": -18.0, "ice-bath": 0.0}
_LEAST_RECORD = 0.98  # of the stage that a record must cover


def read_programme(path: Path) -> tuple[Joint, tuple[Stage, ...], float | None]:
    """The piece, its stages and its start [degC].

    Raises
    ------
    BadBrief, OutOfRange
        With the place in the file (``stage[1].lasts``, counted from 0), the value, the limit and a remedy.
    """
    given = tables.read_toml_file(Path(path), "stages")
    require_known(given, "", ("piece", "stage"))
    piece = piece_table(given, "part, weight and thickness")
    rows = stage_tables(given, 'kind = "oven" and core = "68C"')
    folder = Path(path).resolve().parent
    start = None if "start" not in piece else units.temperature_c(piece["start"], "piece.start")
    return _piece(piece), tuple(_stage(row, f"stage[{i}]", folder) for i, row in enumerate(rows)), start


def _piece(told: Mapping[str, Any]) -> Joint:
    require_known(told, "piece.", PIECE)
    length = lambda key: None if key not in told else units.length_mm(told[key], f"piece.{key}")  # noqa: E731
    if "thickness" in told and "diameter" in told:
        refuse("piece.diameter", "stands beside a thickness.", told["diameter"], "one of both", "Leave one of them out.")
    shape = text_of(told, "piece", "shape", "cylinder" if "diameter" in told else "box")
    return Joint(
        text_of(told, "piece", "part", USUAL_PART), shape, None if "weight" not in told else units.mass_g(told["weight"], "piece.weight"),
        length("thickness") or length("diameter"), length("width"), length("length"),
    )  # fmt: skip


def _stage(told: Any, path: str, folder: Path) -> Stage:
    kind = kind_of(told, path, STAGE, KINDS)
    lasts = None if "lasts" not in told else units.seconds(units.duration_h(told["lasts"], f"{path}.lasts"))
    core = None if "core" not in told else units.temperature_c(told["core"], f"{path}.core")
    if lasts is None and core is None:
        refuse(f"{path}.lasts", "is missing.", "missing", "a time or a core", 'Write lasts = "40min" or core = "68C".')
    record = None
    if "record" in told:
        if "temperature" in told:
            refuse(f"{path}.record", "stands beside a temperature.", told["record"], "one of both", "Leave one of them out.")
        record = _record(folder / text_of(told, path, "record", ""), f"{path}.record", lasts)
    air = _air(told, path, kind, record)
    heat_up = 0.0 if "heat_up" not in told else units.seconds(units.duration_h(told["heat_up"], f"{path}.heat_up"))
    return Stage(
        kind, air, lasts_s=lasts, until_c=core, heat_up_s=heat_up,
        from_c=units.temperature_c(told["from"], f"{path}.from") if "from" in told else (said("room")["celsius"] if heat_up else None),
        record=record, fan=_flag(told, path, "fan", None), runs=_choice(told, path, "runs", ("hot", "cool", "true")),
        offset_c=None if "offset" not in told else _number(told, path, "offset", -80.0, 80.0), support=_choice(told, path, "on", ("tray", "rack")),
        film=None if "film" not in told else _number(told, path, "film", 0.5, 2000.0),
        ratio=None if "wet_bulb" not in told else ratio_at_wet_bulb(air, units.temperature_c(told["wet_bulb"], f"{path}.wet_bulb")),
        humidity=None if "humidity" not in told else units.fraction(told["humidity"], f"{path}.humidity"),
        wrapped=bool(_flag(told, path, "wrapped", False)), stirred=bool(_flag(told, path, "stirred", False)),
    )  # fmt: skip


def _air(told: Mapping[str, Any], path: str, kind: str, record: Record | None) -> float:
    if record is not None:
        return float(np.mean(record.celsius))
    if "temperature" in told:
        return units.temperature_c(told["temperature"], f"{path}.temperature")
    usual = said("room")["celsius"] if kind == "rest" else _USUAL_C.get(kind)
    if usual is None:
        refuse(f"{path}.temperature", "is missing.", "missing", "like 160C", 'Write temperature = "160C".')
    return float(usual)


def _record(path: Path, field: str, lasts: float | None) -> Record:
    """Two columns, ``s,celsius``: seconds from the start of the stage, and the air."""
    try:
        lines = path.read_text(encoding="utf-8-sig").split()
    except OSError as why:
        refuse(field, f"{path.name} cannot be read: {why.strerror}.", path.name, "a CSV file beside the stages", "Check its name.")
    if not lines or lines[0].replace(" ", "") != "s,celsius":
        refuse(field, f"{path.name} does not begin with its header.", lines[0] if lines else "empty", "s,celsius", "Write the header line s,celsius.")
    try:
        rows = np.array([[float(v) for v in line.split(",")] for line in lines[1:]])
    except ValueError:
        refuse(field, f"{path.name} holds a line that is no reading.", path.name, "seconds, then C", "Write two numbers a line.")
    if rows.ndim != 2 or rows.shape[0] < 2 or rows.shape[1] != 2 or not (np.diff(rows[:, 0]) > 0).all():
        refuse(field, f"{path.name} holds no two readings in order.", path.name, "times that rise", "Sort it, and take doubles out.")
    if lasts is not None and rows[-1, 0] < _LEAST_RECORD * lasts:
        refuse(field, f"{path.name} covers {rows[-1, 0]:g} s, the stage lasts {lasts:g} s.", f"{rows[-1, 0]:g} s", f"{lasts:g} s", "Shorten the stage, or give the whole record.")
    return Record(rows[:, 0] - rows[0, 0], rows[:, 1])


def _choice(told: Mapping[str, Any], path: str, key: str, known: tuple[str, ...]) -> str:
    value = text_of(told, path, key, "")
    if value and value not in known:
        refuse(f"{path}.{key}", f"{value!r} is not one of {', '.join(known)}.", value, ", ".join(known), f"Write one of {', '.join(known)}, or leave it out.")
    return value


def _flag(told: Mapping[str, Any], path: str, key: str, usual: bool | None) -> bool | None:
    value = told.get(key, usual)
    if value is not None and not isinstance(value, bool):
        refuse(f"{path}.{key}", f"is {value!r}.", value, "true or false", f"Write {key} = true.")
    return value


def _number(told: Mapping[str, Any], path: str, key: str, low: float, high: float) -> float:
    value = told[key]
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        refuse(f"{path}.{key}", f"is {value!r}.", value, f"{low:g} to {high:g}", f"Write a number, like {key} = {(low + high) / 2:g}.")
    return float(value)
