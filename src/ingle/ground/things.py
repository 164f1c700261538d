"""The things all floors speak of: frozen, with no behaviour beyond their own checks."""

from __future__ import annotations

from dataclasses import dataclass, field

from ingle.ground.errors import OutOfRange

SHAPES = ("slab", "cylinder", "sphere", "box")
SKINS = ("none", "one-face")
FATS = ("none", "thin", "thick")
LEVELS = ("within", "near", "over", "cannot_say")


@dataclass(frozen=True)
class Piece:
    """One actual cut, weighed and measured.

    ``weight_g`` is the green weight with the skin, if there is one. Lengths are in mm; ``thickness_mm`` is
    the shortest way through (the diameter of a cylinder or sphere). None = not measured.
    """

    weight_g: float
    thickness_mm: float | None = None
    width_mm: float | None = None
    length_mm: float | None = None
    shape: str = "slab"
    skin: str = "none"
    skin_weight_g: float | None = None  # None = not weighed: a tenth of the piece is taken
    fat: str = "none"
    name: str = ""

    def __post_init__(self) -> None:
        if self.shape not in SHAPES:
            raise OutOfRange(
                f"shape {self.shape!r} is not one of {', '.join(SHAPES)}.",
                field="shape",
                value=self.shape,
                limit=SHAPES,
                remedy="Take the closest: slab for a flat piece, cylinder for a round one, box when length and width are known.",
            )
        if self.skin not in SKINS:
            raise OutOfRange(
                f"skin {self.skin!r} is not one of {', '.join(SKINS)}.",
                field="skin",
                value=self.skin,
                limit=SKINS,
                remedy="Write none, or one-face when the rind is on.",
            )
        if not self.weight_g > 0:
            raise OutOfRange(f"weight is {self.weight_g:g} g; it must be above 0.", field="weight", value=self.weight_g)
        wide = [("width", self.width_mm), ("length", self.length_mm)]
        for side, size in wide:
            if (
                self.shape in ("slab", "box")
                and size is not None
                and self.thickness_mm is not None
                and self.thickness_mm > size
            ):
                raise OutOfRange(
                    f"thickness {self.thickness_mm:g} mm is more than the {side} {size:g} mm. A piece is thinnest along its thickness.",
                    field="thickness",
                    value=f"{self.thickness_mm:g} mm",
                    limit=f"{size:g} mm",
                    remedy="Push a skewer through the thickest place and measure that, in mm.",
                )
        if self.skin_weight_g is not None and not 0 < self.skin_weight_g < 0.5 * self.weight_g:
            raise OutOfRange(
                f"skin weighs {self.skin_weight_g:g} g of a piece of {self.weight_g:g} g.",
                field="skin-weight",
                value=f"{self.skin_weight_g:g} g",
                limit="above 0, under half the piece",
                remedy="Weigh the skin by itself, in g.",
            )


@dataclass(frozen=True)
class Forecast:
    """When something will be so, and how sure: quantiles of an ensemble, in hours from its start."""

    what: str  # "core holds its salt"
    earliest_h: float  # 5 %
    likely_h: float  # 50 %
    latest_h: float  # 95 %
    quantiles_h: tuple[float, ...] = ()  # (i - 1/2)/20 for i = 1..20: the grains
    at_chance: dict[str, float] = field(default_factory=dict)  # "0.95" -> hours
    basis: str = ""  # which model, which prior
    not_in_it: tuple[str, ...] = ()  # known uncertainty outside the numbers


@dataclass(frozen=True)
class Band:
    """A value with its 5 % and 95 % marks."""

    low: float
    likely: float
    high: float
