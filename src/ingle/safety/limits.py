"""Legal limits on curing agents: which apply to a product, and what they say of a content.

Records live in ``data/limits/<country>.toml``, one value and one clause each. A limit on what is *added* is judged;
a limit on what is *left* (residual, finished product) cannot be shown by calculation and answers ``cannot_say``.
"""

from __future__ import annotations

from functools import cache

from ingle.ground import tables
from ingle.ground.errors import BadBrief
from ingle.safety.limit_things import HEATS, MOLAR, PRODUCTS, TRADITIONS, Content, Limit, Product
from ingle.safety.limit_words import INGOING, said_of
from ingle.safety.verdict import Verdict

COUNTRIES = {
    "us": "United States",
    "eu": "European Union",
    "gb": "Great Britain",
    "ca": "Canada",
    "anz": "Australia and New Zealand",
    "codex": "Codex",
}
_ALSO = {"uk": "gb", "uk-gb": "gb", "au": "anz", "nz": "anz", "au-nz": "anz", "usa": "us"}
_ADDED_UP_AS_SUCH = ("us", "ca")  # these laws write one number for the sodium and the potassium salt


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
        found += said_of(rule, value, spread, use)
    return tuple(found)


__all__ = [
    "COUNTRIES", "HEATS", "INGOING", "MOLAR", "PRODUCTS", "TRADITIONS", "Content", "Limit", "Product", "all_limits", "applicable", "as_sodium_nitrite",
    "counted", "countries", "limits_of", "strictest", "verdicts",
]  # fmt: skip
