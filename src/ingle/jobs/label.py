"""What stands on a pack: from what went in and what it weighs now, by the rules of the country that was chosen.

A home label applies no rule and says so. A label for sale is refused while something its rules ask for is missing.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from ingle.ground.errors import BadBrief
from ingle.jobs.label_nutrition import Panel, energy, panel, per_100g
from ingle.jobs.label_pack import DATE_KINDS, NUTRIENTS, Ingredient, Pack
from ingle.jobs.label_wants import check, require
from ingle.jobs.label_words import Runs, contains, listed
from ingle.safety import label_rules
from ingle.safety.label_rules import Clause, LabelRules

HOME_WORDS = "Made at home for our own table, not for sale. No labelling rule was applied."
__all__ = ["DATE_KINDS", "HOME_WORDS", "NUTRIENTS", "Ingredient", "Label", "Pack", "Panel", "Second", "energy", "label", "panel", "per_100g"]

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_OUNCE_G = 28.349523125  # exact: the international avoirdupois ounce


@dataclass(frozen=True)
class Second:
    """What stands on it again in the country's second language."""

    name: str
    heading: str
    ingredients: Runs
    contains: str
    storage: str


@dataclass(frozen=True)
class Label:
    """What is printed, in order, and the clauses behind it."""

    country: str  # "" = a home label
    name: str
    net: str
    ingredients: Runs
    heading: str
    contains: str
    panel: Panel
    dates: tuple[str, ...]
    storage: str
    operator: str
    lot: str
    link: str
    home: str
    order: tuple[str, ...]
    x_mm: float  # least height of a lower-case x
    net_mm: float  # least height of the figures of the net quantity
    clauses: tuple[Clause, ...] = ()
    not_here: tuple[str, ...] = field(default_factory=tuple)
    second: Second | None = None
    list_mm: float = 0.0  # least height of a lower-case x in the list of ingredients; 0 = as the rest
    leading_mm: float = 0.0  # least distance from line to line in it
    boxed: bool = False  # the list is set off by a line round it

    @property
    def nutrition(self) -> tuple[tuple[str, ...], ...]:
        """Rows of the declaration: ``("of which sugars", "<0.5 g")``."""
        return self.panel.rows


def day_words(at: dt.date) -> str:
    """``24 Dec 2026``: day, month, year, uncoded."""
    return f"{at.day} {_MONTHS[at.month - 1]} {at.year}"


def label(pack: Pack, country: str = "", *, home: bool = False) -> Label:
    """The label of a pack.

    Parameters
    ----------
    pack : Pack
    country : str
        One of ``label_rules.COUNTRIES``: whose rules a label for sale follows.
    home : bool
        A label for one's own table.

    Raises
    ------
    BadBrief
        A label for sale without a country, or without something its rules ask for.
    OutOfRange
        A weight that cannot be.
    """
    check(pack)
    if home:
        return _home(pack)
    if not country:
        raise BadBrief(
            "a label for sale follows one country's rules, and none is named.",
            field="rules", value="missing", limit=", ".join(label_rules.COUNTRIES), remedy="Name it: --rules gb. Or print a home label: --home.",
        )  # fmt: skip
    found = label_rules.rules(country)
    order = tuple(found.records["particulars"]["order"])
    declaration = Panel() if pack.exempt or "nutrition" not in order else panel(pack, found)
    require(pack, found, declaration)
    list_mm, leading_mm = label_rules.least_list_mm(found, pack.area_cm2)
    return Label(
        found.country, pack.name, _net(pack.net_g, found), listed(pack, found), found.records["ingredients"]["heading"], contains(pack, found),
        declaration, _dates(pack, found), pack.storage, pack.operator, f"{found.records['lot']['prefix']} {pack.lot}", pack.link, "", order,
        label_rules.least_x_mm(found, pack.area_cm2), label_rules.net_figure_mm(found, pack.net_g, pack.area_cm2, pack.longest_mm),
        _clauses(found, declaration), _not_here(pack, found, declaration), _second(pack, found), list_mm, leading_mm, found.records["ingredients"].get("boxed", False),
    )  # fmt: skip


def _home(pack: Pack) -> Label:
    """Names, weights, allergens standing out, dates as the cook set them; no rule, no claim."""
    words = label_rules.rules("eu")
    dates = tuple(f"{w} {day_words(d)}" for w, d in (("Made", pack.made), ("Eat by", pack.date)) if d)
    return Label(
        "", pack.name, _grams(pack.net_g), listed(pack, words, strict=False), "In it", "", Panel(), dates, pack.storage, "", pack.lot, pack.link,
        HOME_WORDS, ("name", "net", "ingredients", "date", "storage", "lot"), 0.9, 3.0,
    )  # fmt: skip


def _clauses(found: LabelRules, declaration: Panel) -> tuple[Clause, ...]:
    """Of what was applied: no rounding where nothing is declared."""
    rounds = bool(declaration.rows)
    return tuple(found.clause(k) for k in found.records if k != "same" and (rounds or not k.startswith(("round-", "energy", "serving", "front-symbol"))))


def _not_here(pack: Pack, found: LabelRules, declaration: Panel) -> tuple[str, ...]:
    """What the rules ask for beyond this label, and what was left out for a reason of the maker's."""
    high = f"the symbol on the front: by this table it is high in {' and '.join(declaration.high)}" if declaration.high else ""
    one = f"one of the two languages; the reason given: {pack.one_language}" if "languages" in found.records and pack.one_language else ""
    exempt = f"the declaration of nutrition; the reason given: {pack.exempt}" if "nutrition" in found.records and pack.exempt else ""
    return tuple(x for x in (high, found.records["not-here"]["about"], one, exempt) if x)


def _second(pack: Pack, found: LabelRules) -> Second | None:
    if "languages" not in found.records or pack.one_language:
        return None
    heading = found.records["ingredients"]["heading_fr"]
    return Second(pack.name_fr, heading, listed(pack, found, french=True), contains(pack, found, french=True), pack.storage_fr)


def _dates(pack: Pack, found: LabelRules) -> tuple[str, ...]:
    """The country's words and its form of a date."""
    record = found.records["date"]
    if pack.date is None:
        return ()
    if record.get("form") == "year first":
        return (f"{record[pack.date_kind]} {pack.date.year} {record['months'][pack.date.month - 1]} {pack.date.day:02d}",)
    return (f"{record[pack.date_kind]} {day_words(pack.date)}",)


def _grams(net_g: float) -> str:
    return f"{net_g / 1000:.2f} kg" if net_g >= 999.5 else f"{net_g:.0f} g"


def _net(net_g: float, found: LabelRules) -> str:
    if found.country != "us":
        return _grams(net_g)
    ounces = net_g / _OUNCE_G
    told = f"{ounces:.1f} oz" if ounces < 16 else f"{int(ounces // 16)} lb {ounces % 16:.1f} oz"
    return f"Net Wt {told} ({_grams(net_g)})"
