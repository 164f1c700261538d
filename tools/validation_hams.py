"""Slices of six pickle-cured hams (McBryde 1911) beside the drawn section: lean, fat, rind, wet at the skinned face.

Thickness, depth of the slices, strength and days are not on the page that was read. So nothing is compared that hangs on them:
every ratio is taken over all pieces drawn and over all hours, from one at which the inmost third of the lean has hardly any salt
to one at which all is even. Hours are Fourier numbers, diffusivity x time over the lean's thickness squared, and with them
the spread of the diffusivity itself drops out.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ingle.crafts import _draws
from ingle.crafts.cure import section_file, section_map
from ingle.crafts.cure.forecast_draw import law, normal
from ingle.crafts.cure.section import Section
from ingle.crafts.cure.section_map import Tissue, TissueMap
from ingle.ground.units import HOUR_S, PER_HUNDRED, ZERO_CELSIUS_K
from ingle.physics import transport
from ingle.physics.diffusivity import GAS_CONSTANT
from tools.validation_rows import ENDS, Row, published

Floats = NDArray[np.float64]
SOURCE = "McBryde 1911, USDA BAI Bulletin 132, six hams (quoted, secondary copy)"
SLICES = "ABCD"  # thirds of the lean from the wet face in, then the fat: taken, for the page says only their order
MEMBERS = 128
FOURIER = np.geomspace(0.05, 3.0, 25)
LEAN_MM, RIND_MM = 120.0, 4.0  # of the drawing; with hours as Fourier numbers the first sets nothing
WIDE = 1.6  # width over depth: taken
CELLS = (48, 36)
FAT_SHARE = (0.08, 0.25)  # thickness of the fat over that of the lean: taken
USUAL_DAYS = (3.5 * 12, 4.0 * 16)  # farm advice of the USDA, 3.5 to 4 days a pound (quoted, as advice), for 12 to 16 lb
USUAL_LEAN_M = (0.08, 0.14)  # taken
STRENGTH = (0.10, 0.30)  # of the pickle, salt per water: taken; the ratios hardly depend on it


@dataclass(frozen=True)
class Predicted:
    """Salt and saltpetre of the slices, shape (members, hours, 4). Salt in g per 100 g, saltpetre over the pickle's own."""

    salt: Floats
    saltpetre: Floats

    def ratio(self, one: str, other: str) -> Floats:
        """Salt of one slice over that of another, shape (members, hours)."""
        return np.asarray(self.salt[..., SLICES.index(one)] / self.salt[..., SLICES.index(other)])

    def saltpetre_per_salt(self, one: str, other: str) -> Floats:
        """Saltpetre per salt in one slice, over the same in another, shape (members, hours)."""
        per = self.saltpetre / self.salt
        return np.asarray(per[..., SLICES.index(one)] / per[..., SLICES.index(other)])

    @property
    def in_order(self) -> float:
        """Share of pieces and hours at which salt falls from slice to slice. [1]"""
        return float((np.diff(self.salt, axis=-1) < 0).all(axis=-1).mean())


def predicted(members: int = MEMBERS) -> Predicted:
    """All pieces at all hours.

    Drawn: fat's water and pace, lean's water, between their ends in `data/laws/tissues.toml`; partition; thickness of the fat;
    strength of the pickle.
    """
    low, likely, high = (section_map.tissues(which) for which in ("low", "likely", "high"))
    u = _draws.uniform(members, 6)

    def between(ends: tuple[float, float], at: float) -> float:
        return ends[0] + (ends[1] - ends[0]) * at

    found = []
    for of_fat, of_pace, of_lean, of_partition, thick, strong in u:
        known = dict(likely)
        fat_pace = low["fat"].pace * (high["fat"].pace / low["fat"].pace) ** of_pace
        known["fat"] = Tissue("fat", between((low["fat"].water, high["fat"].water), of_fat), fat_pace, likely["fat"].density)
        known["lean"] = Tissue("lean", between((low["lean"].water, high["lean"].water), of_lean), 1.0, likely["lean"].density)
        partition = between((law()["partition"]["low"], law()["partition"]["high"]), of_partition)
        found.append(_piece(known, between(FAT_SHARE, thick), partition * between(STRENGTH, strong)))
    salt, saltpetre = (np.array(part) for part in zip(*found, strict=True))
    return Predicted(salt, saltpetre)


def ham(fat_share: float) -> Section:
    """A ham cut across: flat lean face up, under it half an ellipse wrapped in fat and rind. The bone is left out."""
    fat = fat_share * LEAN_MM
    outline, under_rind, lean = (_bowl(fat, depth) for depth in (0.0, RIND_MM, RIND_MM + fat))
    regions = [{"tissue": t, "points_mm": line} for t, line in (("rind", outline), ("fat", under_rind), ("lean", lean))]
    return section_file.section_of({"section": {"name": "ham, skinned face up", "shape": "polygon", "points_mm": outline, "regions": regions}})


def _bowl(fat: float, inset: float) -> list[list[float]]:
    """The lower half of an ellipse, its flat side up, set in from the skin by ``inset``. [mm]"""
    deep = LEAN_MM + fat + RIND_MM
    wide = WIDE * deep / 2  # half of the width
    turn = np.linspace(0.0, np.pi, 120)
    return np.stack([wide - (wide - inset) * np.cos(turn), (deep - inset) * np.sin(turn)], axis=1).tolist()


def _piece(known: dict[str, Tissue], fat_share: float, strength: float) -> tuple[Floats, Floats]:
    """Salt and saltpetre of one piece's slices, shapes (hours, 4). Lean's diffusivity for salt is 1, so time is Fourier number."""
    piece = section_map.tissue_map(ham(fat_share), *CELLS)
    storage = section_map.storage(piece, known)
    grid = transport.plane_grid(piece.size_m, piece.shape, inside=piece.inside)
    field = transport.Field(storage=storage, conductance=storage * section_map.pace(piece, known))
    hours = np.stack([FOURIER, FOURIER * law()["solutes"]["nitrate"]]) * (LEAN_MM / 1000.0) ** 2  # saltpetre is where salt was a little earlier
    times, at = np.unique(np.concatenate([[0.0], hours.ravel()]), return_inverse=True)
    told = transport.run(grid, field, {"front": transport.Held(strength)}, times, tol=1e-3)
    assert told.values is not None
    fields = told.values.reshape(len(times), -1)[at[1:]].reshape(2, len(FOURIER), -1)
    slices = np.stack([fields[..., cells.ravel()].mean(axis=-1) for cells in _slices(piece)], axis=-1)
    salt, saltpetre = slices * np.array([known["lean"].water] * 3 + [known["fat"].water])
    wet = 1.0 + salt  # both are in one slice, which the salt makes heavier
    return PER_HUNDRED * salt / wet, saltpetre / strength / wet


def _slices(piece: TissueMap) -> list[NDArray[np.bool_]]:
    """The cells of the four slices, from the middle third of the width, where a ham is sliced."""
    x, y = (piece.x_m[1:] + piece.x_m[:-1]) / 2, (piece.y_m[1:] + piece.y_m[:-1]) / 2
    middle = np.abs(x / piece.size_m[1] - 0.5)[None, :] < 1 / 6
    third = np.minimum(y / (LEAN_MM / 1000.0) * 3, 2).astype(int)[:, None]
    lean = (piece.tissue == 1) & middle
    return [lean & (third == n) for n in range(3)] + [(piece.tissue == 2) & middle]


def measured() -> dict[str, dict[str, tuple[float, float]]]:
    """Salt and saltpetre of each ham's slices. [g per 100 g]"""
    hams: dict[str, dict[str, tuple[float, float]]] = {}
    for r in published("mcbryde_1911_hams.csv"):
        hams.setdefault(r["ham"], {})[r["slice"]] = (float(r["salt"]), float(r["saltpetre"]))
    return hams


def fat_water_asked() -> tuple[float, ...]:
    """Water of the fat slice that would explain its salt if salt per water were even with the lean beside it. [1]"""
    lean = section_map.tissues()["lean"].water
    found = []
    for slices in measured().values():
        beside, fat = (slices[s][0] / (PER_HUNDRED - slices[s][0]) for s in "CD")
        found.append(fat / (beside / lean))
    return tuple(found)


def fourier_asked(told: Predicted) -> tuple[float, ...]:
    """Fourier number at which the middle piece has each ham's ratio of inmost third to outermost. [1]"""
    middle = np.median(told.ratio("C", "A"), axis=0)
    return tuple(float(np.interp(s["C"][0] / s["A"][0], middle, FOURIER)) for s in measured().values())


def fourier_usual(members: int = 512) -> tuple[float, float, float]:
    """Fourier number after the days of usual advice, at 3 C: 5, 50 and 95 % over the prior, days and thickness taken. [1]"""
    salt, z, u = law()["salt"]["lean"], normal(members, 4)[:, :2], _draws.uniform(members, 4)[:, 2:]
    colder = 1 / (3.0 + ZERO_CELSIUS_K) - 1 / (salt["t_ref_c"] + ZERO_CELSIUS_K)
    pace = salt["d_ref_m2_s"] * salt["spread_gsd"] ** z[:, 0] * np.exp(-(salt["e_a_j_mol"] + salt["e_a_sd_j_mol"] * z[:, 1]) / GAS_CONSTANT * colder)
    days = USUAL_DAYS[0] + (USUAL_DAYS[1] - USUAL_DAYS[0]) * u[:, 0]
    lean = USUAL_LEAN_M[0] + (USUAL_LEAN_M[1] - USUAL_LEAN_M[0]) * u[:, 1]
    low, likely, high = np.quantile(pace * days * 24 * HOUR_S / lean**2, (ENDS[0], 0.5, ENDS[1]))
    return float(low), float(likely), float(high)


def rows(told: Predicted) -> list[Row]:
    """The comparisons."""
    hams = measured()
    falls = [all(a > b for a, b in pairwise(slices[x][0] for x in SLICES)) for slices in hams.values()]
    fat = told.ratio("D", "C")
    found = [
        Row("pickled hams: salt falls from the skinned face inward, slice by slice, at every hour", SOURCE, f"{told.in_order:.0%} of pieces and hours",
            1.0, 1.0, tuple(float(f) for f in falls), f"{sum(falls)} of {len(falls)} hams"),
        Row("pickled hams: salt of the fat over the lean beside it, at whatever hour", SOURCE, f"{np.median(fat):.2f}, at most {fat.max():.2f}",
            *_ends(fat), tuple(s["D"][0] / s["C"][0] for s in hams.values())),
    ]  # fmt: skip
    for one in "BC":
        per = told.saltpetre_per_salt(one, "A")
        found.append(
            Row(f"pickled hams: saltpetre per salt, slice {one} over slice A, at whatever hour", SOURCE, f"{np.median(per):.2f}", *_ends(per),
                tuple((s[one][1] / s[one][0]) / (s["A"][1] / s["A"][0]) for s in hams.values()))
        )  # fmt: skip
    means = {(r["hams"], r["where"]): float(r["saltpetre"]) / float(r["salt"]) for r in published("mcbryde_1911_means.csv")}
    whole = told.saltpetre.mean(-1) / told.salt.mean(-1)
    per = told.saltpetre[..., 1] / told.salt[..., 1] / whole
    found.append(
        Row("pickled hams: saltpetre per salt, slice B over all four, means of sour and of sound hams", SOURCE.replace("six", "eight"),
            f"{np.median(per):.2f}", *_ends(per), tuple(means[h, "slice B"] / means[h, "all four slices"] for h in ("sour", "sound")))
    )  # fmt: skip
    return found


def _ends(values: Floats) -> tuple[float, float]:
    low, high = np.quantile(values, ENDS)
    return float(low), float(high)
