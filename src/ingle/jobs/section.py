"""Salt moving through a drawn cross-section: lean, fat and rind, day by day."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ingle.crafts.cure import section_file, section_map
from ingle.crafts.cure.forecast import law
from ingle.crafts.cure.section_map import TissueMap
from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.physics import transport
from ingle.physics.diffusivity import GAS_CONSTANT

Floats = NDArray[np.float64]
ACROSS = 96
CAUTION = "One likely piece, no spread: see the window of the same thickness for how sure."


@dataclass(frozen=True)
class SectionAnswer:
    """Salt in a cross-section. Fields in g per 100 g of tissue, not a number outside the piece."""

    map: TissueMap
    days: tuple[float, ...]
    salt: tuple[Floats, ...]  # one field a day that was asked for
    lean: tuple[float, ...]  # mean of the lean
    fat: tuple[float, ...]  # mean of the fat; not a number where there is none
    core: tuple[float, ...]  # least of the lean
    core_place_mm: tuple[float, float]  # from the left and from the top, at the last day
    dose: float
    temperature_c: float
    gap: float  # relative gap of the salt's account

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json``; the fields row by row, null outside the piece."""
        return {
            "section": self.map.section.name, "width_mm": units.millimetres(self.map.size_m[1]),
            "height_mm": units.millimetres(self.map.size_m[0]), "salt_per_green_weight": self.dose,
            "temperature_c": self.temperature_c,
            "frames": [
                {"days": d, "lean_salt_g_per_100g": self.lean[i], "fat_salt_g_per_100g": _none(self.fat[i]),
                 "core_salt_g_per_100g": self.core[i],
                 "salt_g_per_100g": [[_none(float(v)) for v in row] for row in np.round(self.salt[i], 3)]}
                for i, d in enumerate(self.days)
            ],
            "core_place_mm": list(self.core_place_mm), "closes": self.gap, "not_in_it": [CAUTION, "water that moves"],
        }  # fmt: skip


def _none(value: float) -> float | None:
    return value if np.isfinite(value) else None


def drawing(name: str) -> section_file.Section:
    """A shipped drawing by its name, or one in a file."""
    if name in section_file.shipped_sections():
        return section_file.shipped_section(name)
    path = Path(name)
    if not path.suffix and not path.exists():
        known = ", ".join(section_file.shipped_sections())
        raise BadBrief(
            f"section {name!r} is neither a shipped drawing nor a file. Shipped: {known}.", field="section", value=name, limit=known,
            remedy="Name one of them, or a TOML file (docs/sections.md).",
        )  # fmt: skip
    return section_file.read_section(path)


def cure_section(
    section: section_file.Section, dose: float, *, temperature_c: float = 4.0, days: tuple[float, ...] = (1, 3, 7, 14),
    diffusivity: float | None = None, across: int = ACROSS, tol: float = 1e-3,
) -> SectionAnswer:  # fmt: skip
    """Take a drawn piece through a dry cure with its liquid kept.

    Parameters
    ----------
    dose : float
        All salt put on, per green weight without rind [1].
    days : tuple of float
        When to look, rising [d].
    diffusivity : float, optional
        Of salt in lean [m2/s]; the middle of the prior at the temperature when left out.

    Raises
    ------
    OutOfRange
        Frozen or warm beyond the prior; a dose that never dissolves; days that do not rise.
    """
    prior = law()
    low, high = prior["salt"]["lean"]["valid_c"]
    if not low <= temperature_c <= high:
        raise OutOfRange(f"temperature is {temperature_c:g} C; the forecast holds from {low:g} to {high:g} C.", field="temperature",
                         value=f"{temperature_c:g} C", limit=f"{low:g} to {high:g} C", remedy="Cure in a fridge at 1 to 4 C.")  # fmt: skip
    if not days or any(b <= a for a, b in zip((0.0, *days), days, strict=False)):
        raise OutOfRange(
            f"days {days} do not rise from above 0.",
            field="days",
            value=str(days),
            limit="rising, above 0",
            remedy="Write them like 1,3,7.",
        )
    if not 0 < dose < prior["salt"]["saturated"]["value"] * prior["water"]["lean"]["value"]:
        raise OutOfRange(f"salt is {dose * 100:g} % of the green weight.", field="salt", value=f"{dose * 100:g} %", limit="above 0 %, below 26 %",
                         remedy="Check the weight of salt and of the piece.")  # fmt: skip
    piece = section_map.tissue_map(section, across)
    known = section_map.tissues()
    d_lean = diffusivity if diffusivity is not None else _likely(temperature_c)
    storage = section_map.storage(piece, known)
    conductance = np.where(piece.inside, storage * section_map.pace(piece, known) * d_lean, 0.0)
    mass = skin_free_mass(piece, known)
    brine = (prior["brine"]["low"] + prior["brine"]["high"]) / 2 * mass
    saturated = prior["salt"]["saturated"]["value"]
    all_salt = dose * mass
    bath = transport.Bath(
        brine, start=min(saturated, all_salt / brine), dry=max(0.0, all_salt - saturated * brine), saturated=saturated
    )
    grid = transport.plane_grid(piece.size_m, piece.shape, inside=piece.inside)
    faces = {side: bath for side in open_sides(piece) if side in grid.sides}
    times = np.array([0.0, *days]) * 24 * units.HOUR_S
    told = transport.run(grid, transport.Field(storage=storage, conductance=conductance), faces, times, tol=tol)
    return _answer(piece, known, told, days, dose, temperature_c, all_salt)


def open_sides(piece: TissueMap) -> tuple[str, ...]:
    """Sides that meet the brine: all but those where the drawn piece goes on."""
    engine = {"top": "front", "bottom": "back", "left": "bottom", "right": "top"}  # rows are the engine's first size
    return (*(engine[side] for side in engine if side not in piece.section.goes_on), "rim")


def _likely(temperature_c: float) -> float:
    salt = law()["salt"]["lean"]
    kelvin, ref = units.kelvin(temperature_c), units.kelvin(salt["t_ref_c"])
    return float(salt["d_ref_m2_s"] * np.exp(-salt["e_a_j_mol"] / GAS_CONSTANT * (1 / kelvin - 1 / ref)))


def skin_free_mass(piece: TissueMap, known: dict[str, Any]) -> float:
    """Lean and fat of a metre of the piece [kg/m]."""
    areas = section_map.celled_m2(piece)
    return float(sum(areas[name] * known[name].density for name in ("lean", "fat")))


def _answer(
    piece: TissueMap,
    known: dict[str, Any],
    told: transport.Result,
    days: tuple[float, ...],
    dose: float,
    temperature_c: float,
    all_salt: float,
) -> SectionAnswer:
    water = np.full(piece.shape, np.nan)
    for code, name in ((1, "lean"), (2, "fat"), (3, "rind")):
        water[piece.tissue == code] = known[name].water
    lean, fat = piece.tissue == 1, piece.tissue == 2
    assert told.values is not None
    fields = []
    for values in told.values[1:]:
        held = values.reshape(piece.shape) * water
        fields.append(np.where(piece.inside, held / (1 + held) * 100, np.nan))
    last = np.where(lean, fields[-1], np.inf)
    row, column = np.unravel_index(int(np.argmin(last)), last.shape)
    x, y = (piece.x_m[column] + piece.x_m[column + 1]) / 2, (piece.y_m[row] + piece.y_m[row + 1]) / 2
    return SectionAnswer(
        map=piece, days=tuple(float(d) for d in days), salt=tuple(fields),
        lean=tuple(float(f[lean].mean()) for f in fields), fat=tuple(float(f[fat].mean()) if fat.any() else float("nan") for f in fields),
        core=tuple(float(f[lean].min()) for f in fields),
        core_place_mm=(units.millimetres(float(x)), units.millimetres(float(y))), dose=dose, temperature_c=temperature_c,
        gap=float(abs(told.body[-1] - told.given[-1].sum()) / all_salt),
    )  # fmt: skip
