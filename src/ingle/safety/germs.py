"""Germs as the data files know them: where each has been seen to grow, the line its growth is compared with, where growth ends."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from ingle.ground.errors import BadBrief
from ingle.ground.tables import toml_table

NAMES = {
    "listeria": "Listeria monocytogenes",
    "salmonella": "Salmonella",
    "yersinia": "Yersinia enterocolitica",
    "staphylococcus": "Staphylococcus aureus",
    "perfringens": "Clostridium perfringens",
    "botulinum-1": "Clostridium botulinum, proteolytic",
    "botulinum-2": "Clostridium botulinum, non-proteolytic",
    "cereus": "Bacillus cereus",
    "coli": "pathogenic Escherichia coli",
    "campylobacter": "Campylobacter jejuni",
    "shigella": "Shigella",
}
FORECAST = ("listeria", "salmonella", "yersinia", "staphylococcus", "perfringens")
BOTULINUM = ("botulinum-1", "botulinum-2")
TOXIN_FORMERS = ("staphylococcus", "cereus", *BOTULINUM)  # their poison outlasts cooking, or is not to be risked
UNITS = {"temperature": "C", "ph": "", "aw": "", "wps": "%"}


@dataclass(frozen=True)
class Bound:
    """One end of a range, with the record it comes from."""

    value: float
    source: str
    clause: str
    sure: str


@dataclass(frozen=True)
class Range:
    """Where one factor lets a germ grow: the widest of all records; None = no record."""

    least: Bound | None = None
    most: Bound | None = None


@cache
def ranges(germ: str) -> dict[str, Range]:
    """The published range of every factor. Sources that differ: growth is ruled out only outside the wider one."""
    require(germ)
    found: dict[str, Range] = {}
    for said in toml_table("limits", "growth.toml").values():
        if said["organism"] == germ and said["factor"] in UNITS:
            before = found.get(said["factor"], Range())
            found[said["factor"]] = Range(_wider(before.least, said, "min"), _wider(before.most, said, "max"))
    return found


def _wider(now: Bound | None, said: dict[str, Any], end: str) -> Bound | None:
    if end not in said["limit"]:
        return now
    value = float(said["limit"][end])
    if now is not None and (now.value <= value if end == "min" else now.value >= value):
        return now
    return Bound(value, said["source"], said["clause"], said["sure"])


@cache
def line(germ: str) -> dict[str, Any]:
    """The display line of a germ: ``limit.max`` [log10], source, clause, sure."""
    return dict(toml_table("limits", "growth.toml")[f"line-{germ}"])


@cache
def throw_away() -> float:
    """Growth from which cooking is no answer any more. [log10]"""
    return float(toml_table("limits", "growth.toml")["throw-away"]["limit"]["max"])


def line_in_force(germ: str, cooked: bool) -> float:
    """Most growth that any caller's line may allow: the display line, or what a cook undoes where one comes before the table. [log10]"""
    usual = float(line(germ)["limit"]["max"])
    return max(usual, throw_away()) if cooked and germ not in TOXIN_FORMERS else usual


@cache
def ceiling(germ: str) -> float:
    """Highest population. [log10 per gram]"""
    return float(toml_table("limits", "growth.toml")[f"most-{germ}"]["limit"]["max"])


def require(germ: str) -> str:
    """The key of a germ, or a refusal that lists them."""
    if germ not in NAMES:
        raise BadBrief(
            f"germ {germ!r} is not known. There are: {', '.join(NAMES)}.", field="organisms", value=germ,
            limit=", ".join(NAMES), remedy=f"Write one of {', '.join(NAMES)}.",
        )  # fmt: skip
    return germ
