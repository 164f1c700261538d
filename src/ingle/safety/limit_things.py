"""What a limit on curing agents is about: the record, the content it counts, the product it speaks of."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ingle.ground.errors import BadBrief

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

# Molar masses [g/mol] from atomic weights Na 22.98977, K 39.0983, N 14.0067, O 15.9994.
MOLAR = {
    "NaNO2": 68.9953,
    "KNO2": 85.1038,
    "NO2": 46.0055,
    "NaNO3": 84.9947,
    "KNO3": 101.1032,
    "NO3": 62.0049,
}


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
