"""Sauce: boiling down as a balance of solids, sugar by the float, and acid by weight, by titration, by pH."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from ingle.crafts._lines import judged, require
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import toml_table
from ingle.ground.units import ZERO_CELSIUS_K, kelvin_range
from ingle.physics import solutions
from ingle.safety.verdict import Verdict

MOST_G = 1e9
NOT_MODELLED = (
    "acetic acid that boils off with the water",
    "how long the boiling takes: the last third is slowest and burns first",
)


@dataclass(frozen=True)
class Reduced:
    """A sauce boiled down until its solids stand at a wished share."""

    start_g: float
    left_g: float
    water_gone_g: float
    solids_g: float
    solids_per_sauce: float
    least_heat_j: float  # to boil the water off; warming and the pot come on top
    not_modelled: tuple[str, ...] = NOT_MODELLED


@dataclass(frozen=True)
class Mixed:
    """Parts put together, nothing gone yet."""

    mass_g: float
    solids_g: float
    solids_per_sauce: float


def mix(parts: Sequence[tuple[float, float]]) -> Mixed:
    """Add up parts given as (grams, solids per gram)."""
    for mass, solids in parts:
        require(mass, "part", 0.0, MOST_G, "g")
        require(solids, "solids", 0.0, 1.0, "g/g")
    mass = sum(m for m, _ in parts)
    require(mass, "sum of the parts", 1e-9, MOST_G, "g", "Give at least one part.")
    solids = sum(m * s for m, s in parts)
    return Mixed(mass_g=mass, solids_g=solids, solids_per_sauce=solids / mass)


def boil_down(start_g: float, solids_per_start: float, solids_wanted: float) -> Reduced:
    """Boil down: solids stay, water goes.

    ``solids`` are g/g; degrees Brix / 100 serve where the refractometer is what one has.

    Raises
    ------
    OutOfRange
        The wish is thinner than the start, or drier than dry.
    """
    require(start_g, "start", 1e-9, MOST_G, "g")
    require(solids_per_start, "solids at the start", 1e-9, 1.0, "g/g")
    if not solids_per_start <= solids_wanted <= 1.0:
        raise OutOfRange(
            f"boiling down cannot bring {100 * solids_per_start:g} % solids to {100 * solids_wanted:g} %.",
            field="solids wanted", value=solids_wanted, limit=(solids_per_start, 1.0),
            remedy="Ask for a thicker sauce than the start, or add water instead.",
        )  # fmt: skip
    solids = start_g * solids_per_start
    left = solids / solids_wanted
    latent = toml_table("laws", "boiling.toml")["water"]["latent_j_kg"]
    return Reduced(start_g, left, start_g - left, solids, solids_wanted, (start_g - left) / 1000.0 * latent)


def brix(sugar_g: float, water_g: float) -> float:
    """Degrees Brix of sucrose in water: percent sugar by mass. [g, g -> deg]"""
    require(sugar_g, "sugar", 0.0, MOST_G, "g")
    require(water_g, "water", 1e-9, MOST_G, "g")
    return 100.0 * sugar_g / (sugar_g + water_g)


def specific_gravity(brix_deg: float, temperature_c: float = 20.0) -> float:
    """Density over that of water at the same temperature, sucrose only. [deg Brix, degC -> 1]

    What a float shows. In air it reads 0.0004 higher at 65 degrees. Salt and acid in a sauce count as
    sugar here: use it for syrups, and the scale for sauces.
    """
    require(brix_deg, "Brix", 0.0, 85.0, "degrees")
    return float(solutions.specific_gravity(brix_deg / 100.0, temperature_c + ZERO_CELSIUS_K, _sucrose()))


def brix_from_specific_gravity(gravity: float, temperature_c: float = 20.0) -> float:
    """Degrees Brix from a float's reading at ``temperature_c``; the inverse of `specific_gravity`."""
    kelvin = temperature_c + ZERO_CELSIUS_K
    require(
        gravity,
        "specific gravity",
        1.0,
        specific_gravity(85.0, temperature_c),
        "",
        "Check the float in plain water: 1.000.",
    )
    water = float(solutions.water_density(kelvin, _sucrose()))
    return 100.0 * solutions.fraction_from_density(gravity * water, kelvin, _sucrose())


def acid_share(vinegar_g: float, acid_per_vinegar: float, sauce_g: float) -> float:
    """Acetic acid that vinegar brings, per finished sauce. [g/g]; nothing is taken to boil off."""
    require(vinegar_g, "vinegar", 0.0, MOST_G, "g")
    require(acid_per_vinegar, "acid of the vinegar", 0.0, 1.0, "g/g", "Read it on the bottle: 5 % is 0.05.")
    require(sauce_g, "sauce", 1e-9, MOST_G, "g")
    return vinegar_g * acid_per_vinegar / sauce_g


def titratable_acidity(sample_g: float, base_ml: float, normality: float, acid: str = "acetic") -> float:
    """Acid per sauce from a titration with sodium hydroxide. [g, ml, mol/l -> g/g as ``acid``]

    ml x normality x grams per milliequivalent / grams of sample. ``acid``: acetic, citric, malic, lactic.
    """
    factors = toml_table("laws", "acids.toml")["g_per_meq"]
    if acid not in factors:
        raise OutOfRange(
            f"acid {acid!r} is not one of {', '.join(factors)}.", field="acid", value=acid,
            limit=tuple(factors),
            remedy="Name the acid it is sour from: acetic for vinegar, citric for tomato, malic for apple.",
        )  # fmt: skip
    require(sample_g, "sample", 1e-9, MOST_G, "g")
    require(base_ml, "base used", 0.0, 1e6, "ml")
    require(normality, "normality", 1e-9, 20.0, "mol/l")
    return base_ml * normality * factors[acid] / sample_g


def judge_acid(ph: float | None) -> tuple[Verdict, ...]:
    """A measured pH beside the lines of acid foods. No pH: cannot say.

    Either way the sauce is planned for the fridge; no process for the shelf is written here.
    """
    if ph is not None:
        require(ph, "pH", 0.0, 14.0, "", "Measure the blended sauce with a meter set in two buffers.")
    keep = "Keep it in the fridge; more acid, measured again after a day, brings it under the line."
    ask = "Measure the pH of the blended sauce, 24 h after mixing when it holds pieces."
    act = ask if ph is None else keep
    unseen = ("the heat process that a shelf-stable sauce needs besides its pH", "water activity")
    return (
        judged("sauce", "ph", ph, act, not_checked=unseen),
        judged("sauce", "ph_unpacked", ph, act, not_checked=unseen),
    )


@cache
def _sucrose() -> solutions.DensityPolynomial:
    said = toml_table("laws", "solutions.toml")["sucrose_density"]
    return solutions.DensityPolynomial(
        excess=tuple(tuple(row) for row in said["excess"]), water=tuple(said["water"]),
        temperature=said["temperature_c"] + ZERO_CELSIUS_K, zero=ZERO_CELSIUS_K,
        valid_temperature=kelvin_range(said["valid_c"]),
        valid_fraction=said["valid_fraction"], source=said["source"],
    )  # fmt: skip
