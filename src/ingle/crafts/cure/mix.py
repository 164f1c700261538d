"""What is on the meat: plain salt, curing salt as the packet describes it, sugar, and the rest."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange, Refused
from ingle.safety.limits import Content

# The strongest mixtures on sale hold 6.25 % nitrite; nothing for food comes near this line (common practice, no source).
STRONGEST_NITRITE = 0.10
KINDS = (
    "salt",
    "curing-salt",
    "sugar",
    "saltpetre",
    "sodium-nitrate",
    "ascorbate",
    "phosphate",
    "water",
    "spice",
)
_NEAT = ("nitrite", "sodium-nitrite", "potassium-nitrite", "nano2", "kno2", "e250", "e249")
_PART = re.compile(r"\s*([\d.,]+)\s*%?\s*(nano2|kno2|nano3|kno3)?\s*", re.IGNORECASE)
_AS_WRITTEN = {"nano2": "NaNO2", "kno2": "KNO2", "nano3": "NaNO3", "kno3": "KNO3"}


@dataclass(frozen=True)
class CuringSalt:
    """A mixture of salt with nitrite (and sometimes nitrate), as its packet says. Fractions of its weight."""

    nitrite: float
    nitrate: float = 0.0
    nitrite_as: str = "NaNO2"
    nitrate_as: str = "NaNO3"

    def __post_init__(self) -> None:
        if not 0 < self.nitrite <= STRONGEST_NITRITE:
            if self.nitrite > STRONGEST_NITRITE:
                raise Refused(
                    f"curing salt with {units.show_fraction(self.nitrite)} nitrite: that is not a curing salt. Nitrite for "
                    "food is sold only mixed with salt, and neat nitrite is not handled here: a gram can kill.",
                    field="curing-salt",
                    value=units.show_fraction(self.nitrite),
                    limit=units.show_fraction(STRONGEST_NITRITE),
                    remedy="Use a curing salt (0.4 to 6.25 % nitrite) and read its strength from the packet.",
                )
            raise OutOfRange(
                f"curing salt with {units.show_fraction(self.nitrite)} nitrite holds none.",
                field="curing-salt",
                value=units.show_fraction(self.nitrite),
                limit="above 0 %",
                remedy="Read the packet: nitrite ... %. Saltpetre and nitrate alone are added by their own names.",
            )
        if not 0 <= self.nitrate <= 0.2:
            raise OutOfRange(
                f"curing salt with {units.show_fraction(self.nitrate)} nitrate.",
                field="curing-salt",
                value=units.show_fraction(self.nitrate),
                limit="0 to 20 %",
                remedy="Read the packet: nitrate ... %.",
            )

    @property
    def salt(self) -> float:
        """Fraction that is plain salt."""
        return 1 - self.nitrite - self.nitrate

    @property
    def name(self) -> str:
        """``curing salt, 6.25 % sodium nitrite``."""
        metal = {"NaNO2": "sodium", "KNO2": "potassium"}[self.nitrite_as]
        more = ""
        if self.nitrate:
            metal3 = {"NaNO3": "sodium", "KNO3": "potassium"}[self.nitrate_as]
            more = f" and {units.show_fraction(self.nitrate)} {metal3} nitrate"
        return f"curing salt, {units.show_fraction(self.nitrite)} {metal} nitrite{more}"


@dataclass(frozen=True)
class Added:
    """One thing that was weighed in."""

    kind: str
    grams: float
    curing_salt: CuringSalt | None = None


@dataclass(frozen=True)
class Mix:
    """Everything added to one piece, one box or one pickle."""

    added: tuple[Added, ...]

    def grams(self, kind: str) -> float:
        """Weight of all additions of one kind [g]."""
        return sum(a.grams for a in self.added if a.kind == kind)

    @property
    def salt(self) -> float:
        """All salt, the salt inside curing salts counted [g]."""
        return self.grams("salt") + sum(a.grams * a.curing_salt.salt for a in self.added if a.curing_salt)

    @property
    def total(self) -> float:
        """Weight of all of it [g]."""
        return sum(a.grams for a in self.added)

    def agent(self, form: str) -> float:
        """Weight of one curing agent, in its own form: NaNO2, KNO2, NaNO3 or KNO3 [g]."""
        found = sum(
            a.grams * share
            for a in self.added
            if a.curing_salt
            for share, written in (
                (a.curing_salt.nitrite, a.curing_salt.nitrite_as),
                (a.curing_salt.nitrate, a.curing_salt.nitrate_as),
            )
            if written == form
        )
        if form == "KNO3":
            found += self.grams("saltpetre")
        if form == "NaNO3":
            found += self.grams("sodium-nitrate")
        return found

    def content(self, base_g: float, share: float = 1.0) -> Content:
        """Ingoing per kg of a base weight [mg/kg]; ``share`` is the part of the mix that counts."""
        if not base_g > 0:
            raise OutOfRange(
                f"the weight the dose is counted on is {base_g:g} g.",
                field="weight",
                value=base_g,
                limit="above 0 g",
            )
        per = share / base_g
        return Content(
            sodium_nitrite=units.parts_per_million(self.agent("NaNO2") * per),
            potassium_nitrite=units.parts_per_million(self.agent("KNO2") * per),
            sodium_nitrate=units.parts_per_million(self.agent("NaNO3") * per),
            potassium_nitrate=units.parts_per_million(self.agent("KNO3") * per),
            ascorbate=units.parts_per_million(self.grams("ascorbate") * per),
            phosphate=units.parts_per_million(self.grams("phosphate") * per),
        )

    def plus(self, *more: Added) -> Mix:
        """The mix with something added."""
        return Mix(self.added + more)

    def scaled(self, factor: float) -> Mix:
        """The same mix, more or less of it."""
        return Mix(tuple(Added(a.kind, a.grams * factor, a.curing_salt) for a in self.added))


def curing_salt(written: object, field: str = "curing-salt") -> CuringSalt:
    """Read a packet's words: ``6.25%``, ``6.25%+4%NaNO3``, ``0.5% + 0.5% KNO3``."""
    text = str(written).strip()
    if not text or text.lower() in ("?", "unknown"):
        raise BadBrief(
            "The strength of the curing salt is missing: no dose can be given without it. Packets differ from 0.4 to 6.25 %.",
            field=field,
            value=text,
            limit="nitrite ... %",
            remedy="Read the packet: nitrite ... %, and write it like 6.25%.",
        )
    nitrite, nitrate, nitrite_as, nitrate_as = None, 0.0, "NaNO2", "NaNO3"
    for i, part in enumerate(text.split("+")):
        match = _PART.fullmatch(part)
        if not match or "%" not in part:
            raise BadBrief(
                f"{field} {text!r} cannot be read.",
                field=field,
                value=text,
                limit="6.25% or 6.25%+4%KNO3",
                remedy="Write what the packet says: nitrite first, nitrate after a plus, like 6.25% or 6.25%+4%KNO3.",
            )
        share = units.fraction(match.group(1) + "%", field)
        form = _AS_WRITTEN.get((match.group(2) or "").lower(), "NaNO2" if i == 0 else "NaNO3")
        if form in ("NaNO2", "KNO2") and nitrite is None:
            nitrite, nitrite_as = share, form
        elif form in ("NaNO3", "KNO3"):
            nitrate, nitrate_as = nitrate + share, form
        else:
            raise BadBrief(
                f"{field} {text!r} names nitrite twice.",
                field=field,
                value=text,
                remedy="Write it like 6.25%+4%KNO3.",
            )
    return CuringSalt(nitrite or 0.0, nitrate, nitrite_as, nitrate_as)


def added(name: str, amount: object) -> Added:
    """One ``name=amount`` of a mix.

    Raises
    ------
    Refused
        Neat nitrite; curing salt by the spoon.
    BadBrief
        Unknown name, curing salt without its strength, an amount that cannot be read.
    """
    key, _, strength = name.strip().partition("@")
    key = key.strip().lower().replace("_", "-").replace(" ", "-")
    if key in _NEAT:
        raise Refused(
            f"{name}: neat nitrite is not weighed in a kitchen. For food it is sold only mixed with salt; about a gram can kill an adult.",
            field=name,
            value=str(amount),
            limit="a mixture with salt",
            remedy="Use a curing salt and give its strength, like curing-salt@6.25%=2.5g.",
        )
    if key == "curing-salt":
        packet = curing_salt(strength, "curing-salt@")
        return Added(key, units.curing_salt_g(amount, name, zero=True), packet)
    if key not in KINDS:
        raise BadBrief(
            f"{name!r} is not something that goes into a cure here. There are: {', '.join(KINDS)}.",
            field=name or "add",
            value=str(amount),
            limit=", ".join(KINDS),
            remedy="Write curing salt with its strength: curing-salt@6.25%=2.5g.",
        )
    if strength:
        raise BadBrief(
            f"{name!r}: only curing salt has a strength.",
            field=name,
            value=strength,
            remedy=f"Write {key}=50g.",
        )
    return Added(key, units.mass_g(amount, name, zero=True))


def mix(pairs: Mapping[str, object] | Sequence[tuple[str, object]]) -> Mix:
    """A mix from ``{"salt": "50g", "curing-salt@6.25%": "2.5g"}``."""
    items = pairs.items() if isinstance(pairs, Mapping) else pairs
    return Mix(tuple(added(name, amount) for name, amount in items))
