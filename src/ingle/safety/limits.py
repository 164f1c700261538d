"""Legal limits on curing agents: which apply to a product, and what they say of a content.

Records live in ``data/limits/<country>.toml``, one value and one clause each. A limit on what is *added* is judged;
a limit on what is *left* (residual, finished product) cannot be shown by calculation and answers ``cannot_say``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Any

from ingle.ground import tables
from ingle.ground.errors import BadBrief
from ingle.safety.verdict import Verdict, level_of_max, level_of_min

COUNTRIES = {
    "us": "United States",
    "eu": "European Union",
    "gb": "Great Britain",
    "ca": "Canada",
    "anz": "Australia and New Zealand",
    "codex": "Codex",
}
_ALSO = {"uk": "gb", "uk-gb": "gb", "au": "anz", "nz": "anz", "au-nz": "anz", "usa": "us"}
HEATS = {"none": "non_heat_treated", "cooked": "heat_treated", "sterilised": "heat_treated_sterilised"}
PRODUCTS = {
    "bacon_dry": "belly, dry cure",
    "bacon_immersion": "belly, cover pickle, not pumped",
    "bacon_pumped": "belly, pumped",
    "whole_muscle_dry": "loin, collar, ham and other whole cuts, dry cure",
    "whole_muscle_wet": "whole cuts, immersed or pumped",
    "comminuted": "chopped or minced",
}
TRADITIONS = (
    "dry-bacon",
    "dry-ham",
    "wiltshire-bacon",
    "wiltshire-ham",
    "rohschinken",
    "long-ripened-sausage",
    "country-ham",
)
INGOING = ("ingoing_green_weight", "ingoing_product")

# Molar masses [g/mol] from atomic weights Na 22.98977, K 39.0983, N 14.0067, O 15.9994.
MOLAR = {
    "NaNO2": 68.9953,
    "KNO2": 85.1038,
    "NO2": 46.0055,
    "NaNO3": 84.9947,
    "KNO3": 101.1032,
    "NO3": 62.0049,
}
_ADDED_UP_AS_SUCH = ("us", "ca")  # these laws write one number for the sodium and the potassium salt


@dataclass(frozen=True)
class Limit:
    """One record of one law."""

    rule: str
    about: str
    country: str
    classes: tuple[str, ...]
    excludes: tuple[str, ...]
    limit: dict[str, Any]
    basis: str
    substance: str
    counted: str
    source: str
    clause: str
    sure: str
    doubt: str
    in_force: dict[str, str]
    applies_if: dict[str, Any]
    superseded: bool = False
    printed: str = ""

    @property
    def maximum(self) -> float | None:
        """Ceiling [mg/kg in the counted form], or None."""
        return self.limit.get("max")

    def holds_on(self, day: str) -> bool:
        """In force on an ISO date; unknown ends count as open."""
        since, until = self.in_force["since"], self.in_force["until"]
        return (not since or since <= day) and (not until or day <= until)


@dataclass(frozen=True)
class Content:
    """What one kilogram of the base holds of each substance, ingoing [mg/kg]."""

    sodium_nitrite: float = 0.0
    potassium_nitrite: float = 0.0
    sodium_nitrate: float = 0.0
    potassium_nitrate: float = 0.0
    ascorbate: float = 0.0
    phosphate: float = 0.0

    @property
    def nitrite_as_sodium(self) -> float:
        """All nitrite, as NaNO2 [mg/kg]."""
        return self.sodium_nitrite + self.potassium_nitrite * MOLAR["NaNO2"] / MOLAR["KNO2"]

    def scaled(self, factor: float) -> Content:
        """The same mix on another base."""
        return Content(**{k: v * factor for k, v in vars(self).items()})


@dataclass(frozen=True)
class Product:
    """What decides which records apply."""

    name: str = "whole_muscle_dry"
    heat: str = "none"
    skin_on: bool = False
    skin_weighed: bool = False
    tradition: str = ""
    species: str = "meat"
    use: str = "table"
    classes: frozenset[str] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        for given, known, what in (
            (self.name, PRODUCTS, "product"),
            (self.heat, HEATS, "heat"),
            (self.use, ("table", "sale"), "use"),
        ):
            if given not in known:
                raise BadBrief(
                    f"{what} {given!r} is not known. There are: {', '.join(known)}.",
                    field=what,
                    value=given,
                    limit=", ".join(known),
                    remedy=f"Write one of {', '.join(known)}.",
                )
        if self.tradition and self.tradition not in TRADITIONS:
            raise BadBrief(
                f"tradition {self.tradition!r} is not known. There are: {', '.join(TRADITIONS)}.",
                field="tradition",
                value=self.tradition,
                limit=", ".join(TRADITIONS),
                remedy="Leave it out unless the law's named process is followed whole.",
            )
        found = {"cured_any", HEATS[self.heat]}
        if self.name == "bacon_dry":
            found.add("bacon_dry_skin_on" if self.skin_on and not self.skin_weighed else "bacon_dry_skin_off")
        else:
            found.add(self.name)
        if self.name.startswith("bacon"):
            found.add("bacon_any")
        if self.tradition:
            found.discard(HEATS[self.heat])  # where the traditional rows apply, the added amounts of 08.3.1/2 do not
            found |= {"trad_dry", "trad_immersion", "trad_other"}
        object.__setattr__(self, "classes", frozenset(found))


@cache
def limits_of(country: str) -> tuple[Limit, ...]:
    """The records of one country, checked on the way in."""
    found = []
    for rule, said in tables.toml_table("limits", f"{country}.toml").items():
        tables.source(said["source"])
        plain = ("about", "country", "limit", "basis", "substance", "counted", "source", "clause", "sure", "doubt")
        found.append(
            Limit(
                rule=rule,
                classes=tuple(said["classes"]),
                excludes=tuple(said.get("excludes", ())),
                superseded=said.get("superseded", False),
                printed=said.get("printed", ""),
                in_force=said["in_force"],
                applies_if=said["applies_if"],
                **{k: said[k] for k in plain},
            )
        )
    return tuple(found)


def all_limits() -> tuple[Limit, ...]:
    """Every record that ships."""
    return tuple(rule for country in COUNTRIES for rule in limits_of(country))


def countries(named: str | tuple[str, ...] | list[str]) -> tuple[str, ...]:
    """Country keys from ``us,eu`` or a list; nothing named gives all of them (the strictest then rules)."""
    raw = named.split(",") if isinstance(named, str) else list(named)
    keys = [_ALSO.get(k, k) for k in (str(r).strip().lower() for r in raw) if k]
    for key, written in zip(keys, [r for r in raw if str(r).strip()], strict=True):
        if key not in COUNTRIES:
            raise BadBrief(
                f"rules {written!r} is not a country known here. There are: {', '.join(COUNTRIES)}.",
                field="rules",
                value=written,
                limit=", ".join(COUNTRIES),
                remedy="Name the country whose law applies, or leave it out: the strictest then rules.",
            )
    return tuple(dict.fromkeys(keys)) or tuple(COUNTRIES)


def applicable(product: Product, rules: tuple[str, ...], day: str) -> tuple[Limit, ...]:
    """Records that speak of this product, in these countries, on this ISO date."""
    return tuple(
        rule for country in COUNTRIES if country in rules for rule in limits_of(country) if _applies(rule, product, day)
    )


def _applies(rule: Limit, product: Product, day: str) -> bool:
    asked = rule.applies_if
    unweighed_skin = product.skin_on and not product.skin_weighed
    if rule.superseded or not rule.holds_on(day) or "variant" in asked or "named" in asked:
        return False
    if not product.classes & set(rule.classes) or product.classes & set(rule.excludes):
        return False
    if asked.get("species", "meat") != product.species or asked.get("use", product.use) != product.use:
        return False
    if "tradition" in asked and product.tradition not in asked["tradition"]:
        return False
    if "cut" in asked and product.name == "comminuted":
        return False
    if asked.get("skin") == "on":
        return unweighed_skin
    wet_bacon = rule.country == "us" and set(rule.classes) & {"bacon_pumped", "bacon_immersion"}
    return not (unweighed_skin and wet_bacon and rule.substance == "sodium_nitrite")


def counted(rule: Limit, content: Content) -> float | None:
    """The content in the form the record counts [mg/kg]; None when the record counts nothing of this mix."""
    na, k = content.sodium_nitrite, content.potassium_nitrite
    na3, k3 = content.sodium_nitrate, content.potassium_nitrate
    as_such = rule.country in _ADDED_UP_AS_SUCH
    nitrite = content.nitrite_as_sodium / MOLAR["NaNO2"]  # mmol/kg
    nitrate = na3 / MOLAR["NaNO3"] + k3 / MOLAR["KNO3"]
    match rule.substance:
        case "nitrite_any":
            return na + k if as_such and rule.counted == "NaNO2" else nitrite * MOLAR[rule.counted]
        case "sodium_nitrite":
            return nitrite * MOLAR["NaNO2"]
        case "potassium_nitrite":
            return nitrite * MOLAR["KNO2"] if k > 0 else None
        case "nitrate_any" | "sodium_nitrate":
            if nitrate == 0:
                return None
            return na3 + k3 if as_such else nitrate * MOLAR[rule.counted]
        case "nitrite_plus_nitrate":
            return (nitrite + nitrate) * MOLAR[rule.counted]
        case "ascorbate":
            return content.ascorbate or None
        case "phosphate":
            return content.phosphate or None
        case _:
            return None


def as_sodium_nitrite(rule: Limit) -> float | None:
    """A nitrite ceiling as NaNO2 [mg/kg], so that ceilings can be compared; None for other records."""
    if rule.maximum is None or rule.substance not in ("nitrite_any", "sodium_nitrite") or rule.counted not in MOLAR:
        return None
    return rule.maximum * MOLAR["NaNO2"] / MOLAR[rule.counted]


def strictest(rules: tuple[Limit, ...]) -> Limit | None:
    """The lowest ceiling on ingoing nitrite among these records."""
    ceilings = [(limit, r) for r in rules if r.basis in INGOING and (limit := as_sodium_nitrite(r)) is not None]
    return min(ceilings, key=lambda pair: pair[0])[1] if ceilings else None


def verdicts(
    rules: tuple[Limit, ...],
    content: Content,
    *,
    skin_free: float,
    whole: float,
    spread: float = 0.0,
    use: str = "table",
) -> tuple[Verdict, ...]:
    """Every record's word on a content.

    Parameters
    ----------
    content : Content
        Per kg of the weight without skin.
    skin_free, whole : float
        Green weight without and with skin [g]; a record that counts on the weight with skin gets its own value.
    spread : float
        Relative spread of the amounts (the scale's error), 0.04 for 4 %.
    """
    found: list[Verdict] = []
    for rule in rules:
        base = content.scaled(skin_free / whole) if rule.applies_if.get("skin") == "on" else content
        value = counted(rule, base)
        found += _said(rule, value, spread, use)
    return tuple(found)


def _said(rule: Limit, value: float | None, spread: float, use: str) -> list[Verdict]:
    unit = f"mg/kg as {rule.counted}" if rule.counted in MOLAR else "mg/kg"
    said: dict[str, Any] = {
        "rule": rule.rule,
        "title": rule.about,
        "unit": unit,
        "clause": rule.clause,
        "source": rule.source,
        "sure": rule.sure,
        "country": rule.country,
        "basis": rule.basis,
        "doubt": rule.doubt,
    }
    if rule.substance == "salt":
        least = rule.limit["min"]
        return [
            Verdict(
                **said,
                level="cannot_say",
                value=None,
                limit=least,
                kind="advice",
                act="Have the finished product analysed.",
            )
        ]
    if value is None:
        return []
    if not {"min", "required", "max"} & set(rule.limit):
        if rule.substance not in ("nitrite_any", "sodium_nitrite") or rule.sure == "gap":
            what = "no figure is known here" if rule.sure == "gap" else f"the rule is in words: {rule.printed}"
            return [
                Verdict(
                    **said,
                    level="cannot_say",
                    value=value,
                    limit=None,
                    not_checked=(what,),
                    act="Ask the authority named.",
                )
            ]
        return []
    if rule.basis not in INGOING:
        return [
            Verdict(
                **said,
                level="cannot_say",
                value=None,
                limit=rule.maximum,
                not_checked=("what is left cannot be shown by calculation; only an analysis of the product can",),
            )
        ]
    low, high = value * (1 - spread), value * (1 + spread)
    found = []
    if rule.maximum is not None:
        level = level_of_max(value, rule.maximum, low, high)
        if rule.maximum == 0 and value > 0:
            level = "over"
        act = ""
        if level == "over":
            act = "Not for sale at this dose." if use == "sale" else "Over a limit for food that is sold: weigh less."
        found.append(Verdict(**said, level=level, value=value, limit=rule.maximum, low=low, high=high, act=act))
    for key in ("min", "required"):
        if key in rule.limit:
            least = rule.limit[key]
            level = level_of_min(value, least, low)
            said_again = said | {"rule": f"{rule.rule}.{key}", "title": f"{rule.about}: at least"}
            found.append(
                Verdict(
                    **said_again,
                    level=level,
                    value=value,
                    limit=least,
                    low=low,
                    high=high,
                    kind="advice",
                    act="Asked of inspected plants; no duty at home." if level == "over" else "",
                )
            )
    return found
