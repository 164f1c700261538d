"""The drawing of a cut as a cook writes it: one small TOML table, read strictly.

Every key is known or refused with the nearest known one; every error names its place, ``section.layers[2].thick``,
counted from 0. Places are ``*_mm``: pairs of plain numbers in mm, from the left edge and from the top down.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NoReturn

import numpy as np

from ingle.crafts.cure.section import (
    SIDES,
    TISSUES,
    Patch,
    Points,
    Section,
    ellipse,
    polygon_area,
    rectangle,
    require_closed,
    strip,
)
from ingle.crafts.cure.section_cover import cover
from ingle.ground import units
from ingle.ground.errors import IngleError, OutOfRange
from ingle.ground.refusal import refuse
from ingle.ground.tables import data_path, read_toml_file

KEYS = {
    "layers": ("name", "shape", "width", "height", "layers", "goes_on"),
    "ellipse": ("name", "shape", "width", "height", "fat_cap", "seams", "regions"),
    "polygon": ("name", "shape", "points_mm", "seams", "regions", "goes_on"),
}
SHAPES = tuple(KEYS)
SMALLEST_MM, LARGEST_MM = 2.0, 1000.0  # of a piece
AGREE_MM = 0.5  # between the height and the sum of the layers: half of what a ruler shows
MOST_POINTS, MOST_PARTS, MOST_ALL = 400, 40, 2000  # of one line, of layers, seams or regions, of a whole drawing


def read_section(path: Path) -> Section:
    """The drawing in a file.

    Raises
    ------
    BadBrief
        Not TOML, an unknown or missing key, a value that cannot be read, two sizes that disagree.
    OutOfRange
        A size outside what is drawn here, a line that crosses itself, a part that lies outside the piece.
    """
    return section_of(read_toml_file(Path(path), "section"))


def shipped_sections() -> tuple[str, ...]:
    """Names of the drawings that ship with ingle."""
    return tuple(sorted(p.stem for p in data_path("sections").glob("*.toml")))


def shipped_section(name: str) -> Section:
    """A drawing that ships with ingle: ``belly``, ``loin``, ``collar``."""
    if name not in shipped_sections():
        _unknown("section", name, shipped_sections(), "a drawing that ships with ingle")
    return read_section(data_path("sections", f"{name}.toml"))


def section_of(given: Mapping[str, Any]) -> Section:
    """The drawing in a table that was read from TOML; errors as `read_section`."""
    said = _table(_table(given, "", ("section",)).get("section"), "section", None)
    shape = _choice(said, "section", "shape", SHAPES)
    _table(said, "section", KEYS[shape], f"a key of a section of shape {shape!r}")
    name = _words(said, "section.name")
    outline, patches = {"layers": _layers, "ellipse": _ellipse, "polygon": _polygon}[shape](said)
    patches += _seams(said) + _regions(said)
    points = len(outline) + sum(len(p.points) for p in patches)
    if points > MOST_ALL:
        refuse("section", f"is drawn with {points} points.", points, f"at most {MOST_ALL}",
               "Leave out every second point of the longest line.", OutOfRange)  # fmt: skip
    section = Section(name, shape, outline, tuple(patches), _goes_on(said))
    _refuse_outside(section)
    return section


# -- shapes ------------------------------------------------------------------------------------------------------------


def _layers(said: Mapping[str, Any]) -> tuple[Points, list[Patch]]:
    """Layers from the top face down across the whole width."""
    width = _metres(said, "section", "width", SMALLEST_MM)
    rows = _list(said, "section.layers", '[{ tissue = "rind", thick = "3mm" }]', least=1)
    patches, top = [], 0.0
    for path, row in rows:
        layer = _table(row, path, ("tissue", "thick"))
        code = TISSUES.index(_choice(layer, path, "tissue", TISSUES)) + 1
        thick = _metres(layer, path, "thick")
        patches.append(Patch(code, rectangle(0.0, top, width, top + thick), path))
        top += thick
    total = units.millimetres(top)
    _between("section.layers", total, SMALLEST_MM, LARGEST_MM, "all layers together are")
    if "height" in said:
        height = units.millimetres(_metres(said, "section", "height", SMALLEST_MM))
        if abs(height - total) > AGREE_MM:
            refuse("section.height", f"is {height:g} mm, but the layers are {total:g} mm together.", f"{height:g} mm",
                   f"{total:g} mm, within {AGREE_MM:g} mm",
                   "Measure the layers once more, or leave the height out.")  # fmt: skip
    return rectangle(0.0, 0.0, width, top), patches


def _ellipse(said: Mapping[str, Any]) -> tuple[Points, list[Patch]]:
    """An ellipse of lean; a cap of fat is what the same ellipse leaves free when it is moved down."""
    width = _metres(said, "section", "width", SMALLEST_MM)
    height = _metres(said, "section", "height", SMALLEST_MM)
    outline = ellipse(width, height)
    if "fat_cap" not in said:
        return outline, []
    cap = _metres(said, "section", "fat_cap", high=units.millimetres(height) / 2)
    fat, lean = TISSUES.index("fat") + 1, TISSUES.index("lean") + 1
    return outline, [
        Patch(fat, outline, "section.fat_cap"), Patch(lean, ellipse(width, height, down=cap), "section.fat_cap"),
    ]  # fmt: skip


def _polygon(said: Mapping[str, Any]) -> tuple[Points, list[Patch]]:
    """A line drawn point by point."""
    points = _points(said, "section.points_mm")
    for side, size in zip(("wide", "high"), np.ptp(np.asarray(points), axis=0), strict=True):
        _between("section.points_mm", units.millimetres(float(size)), SMALLEST_MM, LARGEST_MM, f"the piece is {side}")
    return points, []


def _seams(said: Mapping[str, Any]) -> list[Patch]:
    """Straight strips, of fat unless said otherwise."""
    found = []
    for path, row in _list(said, "section.seams", '[{ from_mm = [10, 20], to_mm = [60, 40], thick = "2mm" }]'):
        seam = _table(row, path, ("from_mm", "to_mm", "thick", "tissue"))
        code = TISSUES.index(_choice(seam, path, "tissue", TISSUES, "fat")) + 1
        start, end = (_place(_needed(seam, path, key, "[10, 20]"), f"{path}.{key}") for key in ("from_mm", "to_mm"))
        thick = _metres(seam, path, "thick", high=100.0)
        if math.dist(start, end) < units.metres(0.1):
            refuse(path, "begins and ends in one place.", "0 mm long", "0.1 mm and more",
                   "Give two places, from_mm and to_mm.", OutOfRange)  # fmt: skip
        found.append(Patch(code, strip(start, end, thick), path))
    return found


def _regions(said: Mapping[str, Any]) -> list[Patch]:
    """Closed lines filled with one tissue."""
    found = []
    for path, row in _list(said, "section.regions", '[{ tissue = "fat", points_mm = [[0, 0], [40, 0], [40, 9]] }]'):
        region = _table(row, path, ("tissue", "points_mm"))
        code = TISSUES.index(_choice(region, path, "tissue", TISSUES)) + 1
        found.append(Patch(code, _points(region, f"{path}.points_mm"), path))
    return found


def _goes_on(said: Mapping[str, Any]) -> tuple[str, ...]:
    """Sides at which the piece goes on beyond the drawing."""
    rows = _list(said, "section.goes_on", '["left", "right"]')
    for path, side in rows:
        if side not in SIDES:
            _unknown(path, side, SIDES, "a side")
    found = tuple(dict.fromkeys(str(side) for _, side in rows))
    if len(found) == len(SIDES):
        refuse("section.goes_on", "names all four sides: no brine would touch the piece.", ", ".join(found),
               "at most three sides", "Leave out the sides that the brine touches.", OutOfRange)  # fmt: skip
    return found


def _refuse_outside(section: Section) -> None:
    """Every patch must meet the piece: one that lies beside it is a slip of the pen."""
    left, top, right, bottom = section.box
    whole = np.array([left, right]), np.array([top, bottom])
    least = 1e-6 * polygon_area(section.outline)
    for patch in section.patches:
        alone = Section(section.name, section.shape, section.outline, (Patch(2, patch.points),))
        if cover(alone, *whole)[1].sum() <= least:
            x, y = (units.millimetres(float(v)) for v in np.asarray(patch.points).mean(axis=0))
            wide, high = units.millimetres(right - left), units.millimetres(bottom - top)
            refuse(patch.field, f"lies outside the piece (around {x:.3g}, {y:.3g} mm).", f"{x:.3g}, {y:.3g} mm",
                   f"within the outline, {wide:.4g} mm wide and {high:.4g} mm high",
                   "Count mm from the left edge and from the top down.", OutOfRange)  # fmt: skip


# -- one value ---------------------------------------------------------------------------------------------------------


def _unknown(field: str, word: Any, known: tuple[str, ...], what: str) -> NoReturn:
    near = difflib.get_close_matches(str(word).lower(), known, n=1, cutoff=0.6)
    refuse(field, f"{word!r} is not {what}.", word, known,
           f"Did you mean {near[0]}?" if near else f"Write one of: {', '.join(known)}.")  # fmt: skip


def _table(given: Any, path: str, known: tuple[str, ...] | None, what: str = "") -> Mapping[str, Any]:
    if not isinstance(given, Mapping):
        refuse(path or "file", "is missing." if given is None else f"must be a table, not {given!r}.", given,
               "a table", f"Begin with [{path}]." if path == "section" else "Write it in braces: { ... }.")  # fmt: skip
    for key in given:
        if known is not None and key not in known:
            _unknown(f"{path}.{key}" if path else str(key), key, known, what or f"a key of {path or 'this file'}")
    return given


def _needed(said: Mapping[str, Any], path: str, key: str, example: str) -> Any:
    if key not in said:
        refuse(f"{path}.{key}", "is missing.", None, example, f"Write {key} = {example}.")
    return said[key]


def _words(said: Mapping[str, Any], field: str) -> str:
    path, key = field.rsplit(".", 1)
    given = _needed(said, path, key, '"Pork belly"')
    if not isinstance(given, str) or not given.strip() or len(given) > 120 or not given.isprintable():
        refuse(field, f"{given!r} is not a line of words.", given, "1 to 120 letters", f'Write {key} = "Pork belly".')
    return given.strip()


def _choice(said: Mapping[str, Any], path: str, key: str, known: tuple[str, ...], default: str | None = None) -> str:
    given = said.get(key, default) if default else _needed(said, path, key, f'"{known[0]}"')
    if not isinstance(given, str) or given not in known:
        _unknown(f"{path}.{key}", given, known, f"a {key} known here")
    return given


def _metres(said: Mapping[str, Any], path: str, key: str, low: float = 0.0, high: float = LARGEST_MM) -> float:
    """A length with its unit. [m]"""
    field, given = f"{path}.{key}", _needed(said, path, key, '"45mm"')
    if not isinstance(given, str):
        refuse(
            field, f"{given!r} has no unit.", given, '"45mm"', f'Write {key} = "45mm", with its unit and in quotes.'
        )
    try:
        length = units.length_mm(given, field, high=math.inf)
    except IngleError as why:
        raise type(why)(why.message, field=field, value=given, limit=why.limit or '"45mm"',
                        remedy=why.remedy or f'Write {key} = "45mm".') from None  # fmt: skip
    _between(field, length, low, high, "is")
    return units.metres(length)


def _between(field: str, length_mm: float, low: float, high: float, said: str) -> None:
    if not low <= length_mm <= high:
        refuse(field, f"{said} {length_mm:.4g} mm.", f"{length_mm:.4g} mm",
               f"{f'{low:g}' if low else 'above 0'} to {high:.4g} mm", "Check the number and its unit.", OutOfRange)  # fmt: skip


def _list(said: Mapping[str, Any], field: str, example: str, least: int = 0) -> list[tuple[str, Any]]:
    """The entries of a list, each with its place."""
    path, key = field.rsplit(".", 1)
    given = _needed(said, path, key, example) if least else said.get(key, [])
    if not isinstance(given, list) or len(given) < least:
        refuse(field, f"{given!r} is not a list.", given, example, f"Write {key} = {example}.")
    if len(given) > MOST_PARTS:
        refuse(field, f"holds {len(given)} entries.", len(given), f"at most {MOST_PARTS}",
               "Draw only what is thicker than 1 mm.", OutOfRange)  # fmt: skip
    return [(f"{field}[{i}]", entry) for i, entry in enumerate(given)]


def _place(given: Any, field: str) -> tuple[float, float]:
    """A pair of plain numbers in mm, as metres."""
    plain = isinstance(given, list) and len(given) == 2 and all(
        isinstance(v, int | float) and not isinstance(v, bool) and abs(v) < math.inf for v in given)  # fmt: skip
    if not plain:
        refuse(field, f"{given!r} is not a place.", given, "[10, 20]",
               "Write two numbers without quotes: mm from the left, mm from the top.")  # fmt: skip
    for value in given:
        if abs(value) > LARGEST_MM:
            refuse(field, f"lies more than {LARGEST_MM:g} mm away.", str(value)[:20], f"at most {LARGEST_MM:g} mm",
                   "Count mm from the left edge and from the top down.", OutOfRange)  # fmt: skip
    return units.metres(float(given[0])), units.metres(float(given[1]))


def _points(said: Mapping[str, Any], field: str) -> Points:
    """A closed line: three places and more; the last joins the first by itself."""
    path, key = field.rsplit(".", 1)
    example = "[[0, 0], [120, 0], [120, 45]]"
    given = _needed(said, path, key, example)
    if not isinstance(given, list) or len(given) < 3:
        refuse(
            field, f"{given!r} is not a line of three places and more.", given, example, f"Write {key} = {example}."
        )
    if len(given) > MOST_POINTS:
        refuse(field, f"holds {len(given)} places.", len(given), f"at most {MOST_POINTS}",
               "Leave out every second one.", OutOfRange)  # fmt: skip
    return require_closed(tuple(_place(v, f"{field}[{i}]") for i, v in enumerate(given)), field)
