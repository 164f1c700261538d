"""What a label of food for sale must show, by country: read from data/limits/labels.toml, and its rounding.

Only what is written there is claimed; a country without a table is refused, never guessed.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from ingle.ground import tables
from ingle.ground.errors import BadBrief
from ingle.ground.sources import Source

COUNTRIES = ("eu", "gb", "us", "ca", "anz", "codex")
_NEEDED = ("particulars", "ingredients", "allergens", "x-height", "net-figures", "date", "lot", "additives", "not-here")


@dataclass(frozen=True)
class Clause:
    """Where one rule of a label is written."""

    key: str  # "eu.x-height"
    about: str
    source: Source
    clause: str
    sure: str
    doubt: str = ""


@dataclass(frozen=True)
class LabelRules:
    """The records of one country by their short key ("x-height"), each with its source."""

    country: str
    records: dict[str, dict[str, Any]]

    def clause(self, key: str) -> Clause:
        """Source and clause of one record."""
        said = self.records[key]
        return Clause(
            f"{self.country}.{key}", said["about"], tables.source(said["source"]), said["clause"], said["sure"], said.get("doubt", "")
        )


def rules(country: str) -> LabelRules:
    """The rules of one country; where one keeps another's ("gb" the EU's) its own records come before the kept ones.

    Raises
    ------
    BadBrief
        No table of this country is here.
    """
    said = tables.toml_table("limits", "labels.toml")
    key = country.lower()
    if key not in COUNTRIES:
        raise BadBrief(
            f"there is no table of label rules for {country!r}.",
            field="rules", value=country, limit=", ".join(COUNTRIES), remedy="Name one of these, or print a home label: --home.",
        )  # fmt: skip
    own = dict(said[key])
    kept = own.get("same", {}).get("as")
    if kept:
        also = {"source": own["same"]["source"]}
        own = {k: v | (also if v["source"] == "eu-reg-1169-2011" else {}) for k, v in said[kept].items()} | own
    assert all(k in own for k in _NEEDED), f"labels.toml: {key} lacks a record"
    return LabelRules(key, own)


def rounding(found: LabelRules, nutrient: str) -> tuple[str, dict[str, Any]] | None:
    """Key and record of the rule that rounds a nutrient; None where the country's table has none."""
    if nutrient == "energy":
        return ("round-energy", found.records["round-energy"]) if "round-energy" in found.records else None
    return next(((k, r) for k, r in found.records.items() if nutrient in r.get("of", ())), None)


def printed(value: float, record: dict[str, Any]) -> str:
    """A value as the record's bands print it, without its unit. Exact halves go up.

    Parameters
    ----------
    value : float
        In the record's unit, not negative.
    record : dict
        A rounding record: ``bands`` from the top down.

    Examples
    --------
    >>> salt = rules("eu").records["round-salt"]
    >>> printed(1.655, salt), printed(0.0125, salt), printed(0.013, salt), printed(0.0, salt), printed(0.999, salt)
    ('1.7', '<0.01', '0.01', '0', '1.0')
    >>> energy = rules("anz").records["round-energy"]
    >>> printed(1704.8, energy), printed(412.8, energy), printed(39.0, energy)
    ('1700', '413', 'less than 40')
    """
    if value < 0:
        raise ValueError(f"{value} is below zero")
    exact = Decimal(repr(round(value, 9)))  # a sum of grams carries noise in its last bits: 0.5 is 0.5
    band = _band(exact, record["bands"])
    if "step" not in band:
        return str(band["none"] if exact == 0 else band["words"])
    told = _in_band(exact, band)
    if not told and "none" in band:
        return str(band["none"])
    above = _band(told, record["bands"])
    return str(told if above is band or "step" not in above else _in_band(told, above))


def _in_band(value: Decimal, band: dict[str, Any]) -> Decimal:
    """To the band's step, and where it says how many figures, no finer than these allow: 99.96 becomes 100, not 100.0."""
    step = Decimal(str(band["step"]))
    if "figures" not in band or not value:
        return _to_step(value, step)
    told = _to_step(value, max(step, Decimal(1).scaleb(value.adjusted() - int(band["figures"]) + 1)))
    return _in_band(told, band) if told.adjusted() > value.adjusted() else told


def _band(value: Decimal, bands: list[dict[str, Any]]) -> dict[str, Any]:
    for band in bands:
        if "above" in band:
            if value > Decimal(str(band["above"])):
                return band
        elif value >= Decimal(str(band["from"])):
            return band
    raise ValueError(f"no band holds {value}")


def _to_step(value: Decimal, by: Decimal) -> Decimal:
    """To the nearest multiple of a step, with the step's own decimals; of a step like 0.25 or 0.5 the noughts at the end are left out."""
    count = (value / by).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    told = (count * by).quantize(by if by < 1 else Decimal(1))
    if by >= 1 or by.normalize().as_tuple().digits == (1,):
        return told
    short = told.normalize()
    return short if short % 1 else told.quantize(Decimal(1))


def net_figure_mm(found: LabelRules, net_g: float, area_cm2: float, longest_mm: float | None = None) -> float:
    """Least height of the figures of the net quantity [mm]: by weight, by the area of the front or by the pack's longest side.

    A side that is not known counts as the longest.
    """
    record = found.records["net-figures"]
    side = float("inf") if longest_mm is None else longest_mm
    measures = {"up_to": net_g, "by_area_in2": area_cm2 / 6.4516, "by_area_cm2": area_cm2, "by_longest_mm": side}
    by = next(k for k in measures if k in record)
    return float(next((mm for most, mm in record[by] if measures[by] <= most), record["else_mm"]))


def least_x_mm(found: LabelRules, area_cm2: float) -> float:
    """Least height of a lower-case x [mm] by the pack's largest face [cm2]."""
    record = found.records["x-height"]
    small = area_cm2 <= record["small_to_cm2"] if "small_to_cm2" in record else "small_mm" in record and area_cm2 < record["small_below_cm2"]
    return float(record["small_mm"] if small else record["min_mm"])


def least_list_mm(found: LabelRules, area_cm2: float) -> tuple[float, float]:
    """Least height of a lower-case x in the list of ingredients, and from line to line [mm]; 0 = no distance is asked for."""
    record = found.records["x-height"]
    return float(record.get("list_mm", least_x_mm(found, area_cm2))), float(record.get("leading_mm", 0.0))
