"""Bread: baker's percentages with all that is hidden in a preferment, and the dough a wished loaf takes.

Everything is per flour, as bakers count: flour is 1, and flour inside a starter is flour too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ingle.crafts._lines import band, require
from ingle.ground.errors import OutOfRange

MOST_G = 1e9
BASES = ("flour", "weight")
NOT_MODELLED = ("how oven heat and time change the loss in baking: the band is for loaves of 500 to 1000 g baked through",)


@dataclass(frozen=True)
class Preferment:
    """Starter, levain, sponge or poolish: flour and water mixed beforehand."""

    weight_g: float
    water_per_flour: float  # its hydration, 1.0 = as much water as flour

    @property
    def flour_g(self) -> float:
        """Flour in it."""
        return self.weight_g / (1.0 + self.water_per_flour)

    @property
    def water_g(self) -> float:
        """Water in it."""
        return self.weight_g - self.flour_g


@dataclass(frozen=True)
class Totals:
    """A dough taken apart: all flour and water counted, wherever they came in."""

    dough_g: float
    flour_g: float
    water_g: float
    salt_g: float
    water_per_flour: float
    salt_per_flour: float
    prefermented_per_flour: float


@dataclass(frozen=True)
class FinalMix:
    """What goes into the bowl beside the preferment."""

    flour_g: float
    water_g: float
    preferment: Preferment
    prefermented_per_flour: float


@dataclass(frozen=True)
class LoafYield:
    """Dough for a wished weight of loaves; the spread is that of bake and cooling."""

    loaf_g: float  # one loaf, cooled
    pieces: int
    dough_piece_low_g: float  # when little is lost
    dough_piece_g: float
    dough_piece_high_g: float  # when much is lost: scale this for a promised weight
    mix_g: float  # all the dough to mix, at the likely losses
    loaf_per_dough: float
    sure: str
    not_modelled: tuple[str, ...] = NOT_MODELLED


def scale(per_flour: Mapping[str, float], dough_g: float) -> dict[str, float]:
    """Weights for a wished amount of dough from baker's percentages (as fractions, flour = 1).

    >>> {k: round(v) for k, v in scale({"flour": 1.0, "water": 0.65, "salt": 0.02}, 1670).items()}
    {'flour': 1000, 'water': 650, 'salt': 20}
    """
    require(dough_g, "dough", 1e-9, MOST_G, "g")
    for name, share in per_flour.items():
        require(share, name, 0.0, 100.0, "g per g of flour")
    total = sum(per_flour.values())
    if per_flour.get("flour") != 1.0:
        raise OutOfRange(
            f"baker's percentages count flour as 1; here it is {per_flour.get('flour')!r}.", field="flour",
            value=per_flour.get("flour"), limit=1.0,
            remedy="Divide every weight by the weight of all flour together.",
        )  # fmt: skip
    return {name: dough_g * share / total for name, share in per_flour.items()}


def percentages(grams: Mapping[str, float], flours: Sequence[str]) -> dict[str, float]:
    """Baker's percentages (fractions of all flour) from weights. ``flours`` names which of them are flour."""
    flour = sum(grams[name] for name in flours)
    require(flour, "flour", 1e-9, MOST_G, "g", "Name at least one flour that is in the dough.")
    return {name: weight / flour for name, weight in grams.items()}


def totals(flour_g: float, water_g: float, salt_g: float, preferments: Sequence[Preferment] = (), *,
           other_liquid_g: float = 0.0, water_per_liquid: float = 0.9013) -> Totals:  # fmt: skip
    """Take a dough apart into all flour, all water, salt.

    ``other_liquid_g`` is buttermilk or whey; ``water_per_liquid`` is its water (buttermilk 90.13 %, USDA).
    """
    for value, name in (
        (flour_g, "flour"),
        (water_g, "water"),
        (salt_g, "salt"),
        (other_liquid_g, "other liquid"),
    ):
        require(value, name, 0.0, MOST_G, "g")
    require(water_per_liquid, "water of the liquid", 0.0, 1.0, "g/g")
    before = sum(p.flour_g for p in preferments)
    flour = flour_g + before
    require(flour, "all flour", 1e-9, MOST_G, "g")
    water = water_g + sum(p.water_g for p in preferments) + other_liquid_g * water_per_liquid
    return Totals(
        dough_g=flour_g + water_g + salt_g + other_liquid_g + sum(p.weight_g for p in preferments),
        flour_g=flour,
        water_g=water, salt_g=salt_g, water_per_flour=water / flour, salt_per_flour=salt_g / flour,
        prefermented_per_flour=before / flour,
    )  # fmt: skip


def preferment_of(total_flour_g: float, share: float, water_per_flour: float, share_of: str) -> Preferment:
    """The preferment a formula means by "30 %": the two readings differ by its water.

    ``share_of="flour"``: so much of all flour sits in it. ``"weight"``: it weighs so much of all flour.
    """
    require(total_flour_g, "flour", 1e-9, MOST_G, "g")
    require(share, "share", 0.0, 1.0 if share_of == "flour" else 10.0, "g/g")
    require(water_per_flour, "hydration of the preferment", 0.0, 10.0, "g/g")
    if share_of not in BASES:
        raise OutOfRange(
            f"a share of {share_of!r} is not one of {', '.join(BASES)}.", field="share_of", value=share_of,
            limit=BASES,
            remedy="Say flour for the share of flour fermented before, weight for the weight of the starter.",
        )  # fmt: skip
    weight = total_flour_g * share * (1.0 + water_per_flour if share_of == "flour" else 1.0)
    return Preferment(weight, water_per_flour)


def final_mix(total_flour_g: float, total_water_g: float, preferment: Preferment) -> FinalMix:
    """What is left to add once a preferment brings its own flour and water."""
    flour, water = total_flour_g - preferment.flour_g, total_water_g - preferment.water_g
    if flour < 0 or water < 0:
        raise OutOfRange(
            f"the preferment brings {preferment.flour_g:.0f} g flour and {preferment.water_g:.0f} g water, "
            f"the dough only {total_flour_g:.0f} g and {total_water_g:.0f} g.",
            field="preferment", value=preferment.weight_g, limit=(total_flour_g, total_water_g),
            remedy="Make a smaller or a stiffer preferment.",
        )  # fmt: skip
    return FinalMix(flour, water, preferment, preferment.flour_g / total_flour_g)


def buttermilk_for_water(water_g: float, water_per_liquid: float = 0.9013) -> float:
    """Buttermilk that brings so much water. [g]; swapped 1:1 a dough comes out a little stiffer."""
    require(water_g, "water", 0.0, MOST_G, "g")
    return water_g / require(water_per_liquid, "water of the liquid", 0.1, 1.0, "g/g")


def dough_for(loaf_g: float, pieces: int = 1) -> LoafYield:
    """Dough to scale and to mix for loaves of a wished cooled weight."""
    require(loaf_g, "loaf", 1.0, 1e6, "g")
    require(pieces, "pieces", 1, 100_000, "")
    baked, scaled = band("bread", "loaf_per_dough"), band("bread", "scaled_per_mixed")
    piece = loaf_g / baked.likely
    return LoafYield(
        loaf_g=loaf_g, pieces=pieces, dough_piece_low_g=loaf_g / baked.high, dough_piece_g=piece,
        dough_piece_high_g=loaf_g / baked.low, mix_g=pieces * piece / scaled.likely,
        loaf_per_dough=baked.likely, sure=baked.sure,
    )  # fmt: skip


def bake_loss(dough_g: float, loaf_g: float) -> float:
    """Loss per dough from one bake of yours. [g, g -> g/g]; "50 g on a 500 g loaf" counts per loaf."""
    require(dough_g, "dough", 1e-9, MOST_G, "g")
    return 1.0 - require(loaf_g, "loaf", 0.0, dough_g, "g", "A loaf weighs no more than its dough.") / dough_g
