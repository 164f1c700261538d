"""Butter: cream in, butter and buttermilk out, the brine inside, and when to churn.

Three things are kept in balance: fat, milk solids-not-fat (snf) and water. Salt comes last and sits in the
water. Fractions are by mass, `fat_per_cream` reads "fat per cream".
"""

from __future__ import annotations

from dataclasses import dataclass

from ingle.crafts._lines import band, judged, notes, require
from ingle.ground.errors import OutOfRange
from ingle.ground.tables import toml_table
from ingle.physics.mixing import share_of_first
from ingle.safety.verdict import Verdict

MOST_G = 1e9  # a slip of units beyond this
NOT_MODELLED = (
    "churning temperature against fat lost to buttermilk (warm or ripe cream loses more; how much is a gap)",
    "milk solids washed out: an unwashed butter is reckoned",
)


@dataclass(frozen=True)
class Churned:
    """Cream turned into butter and buttermilk, nothing lost on the way."""

    cream_g: float
    butter_g: float
    buttermilk_g: float
    fat_recovered: float  # fat in butter per fat in cream
    overrun: float  # (butter - fat in it) / fat in it
    fat_per_butter: float
    water_per_butter: float
    snf_per_butter: float
    fat_per_buttermilk: float
    water_per_buttermilk: float
    not_modelled: tuple[str, ...] = NOT_MODELLED


@dataclass(frozen=True)
class Salted:
    """Butter with salt worked in; the salt dissolves in the water that is left."""

    butter_g: float  # salted
    salt_g: float  # to weigh
    salt_per_butter: float
    salt_in_water_phase: float  # salt / (salt + water)
    fat_per_butter: float
    water_per_butter: float
    snf_per_butter: float


@dataclass(frozen=True)
class Standardised:
    """Two creams or milks mixed to a wished fat."""

    first_g: float
    second_g: float
    mix_g: float
    fat_per_mix: float


@dataclass(frozen=True)
class Ripening:
    """Hours of a cultured cream at one temperature, from its culture to a churnable acid."""

    temperature_c: float
    earliest_h: float
    likely_h: float
    latest_h: float
    sure: str
    act: str
    usual: bool  # inside the band of common practice, 18 to 22 degC


@dataclass(frozen=True)
class ChurnAdvice:
    """Whether this cream will break, and what to do when it does not."""

    level: str  # within | near | over | cannot_say
    act: str
    doubt: str


def churn(cream_g: float, fat_per_cream: float, fat_per_butter: float = 0.82, fat_per_buttermilk: float = 0.005) -> Churned:
    """Share cream out between butter and buttermilk by the balance of fat.

    Raises
    ------
    OutOfRange
        Fat of the cream not between that of buttermilk and that of butter.

    Notes
    -----
    What is not fat has the make-up of the cream's own plasma (8.4 % solids, USDA heavy cream) in both.
    """
    require(cream_g, "cream", 1e-9, MOST_G, "g")
    require(fat_per_butter, "fat of butter", 0.5, 1.0, "g/g")
    require(fat_per_buttermilk, "fat of buttermilk", 0.0, 0.1, "g/g")
    if not fat_per_buttermilk < fat_per_cream < fat_per_butter:
        raise OutOfRange(
            f"cream of {100 * fat_per_cream:g} % fat cannot give butter of {100 * fat_per_butter:g} % and "
            f"buttermilk of {100 * fat_per_buttermilk:g} %: its fat must lie between the two.",
            field="fat of cream", value=fat_per_cream, limit=(fat_per_buttermilk, fat_per_butter),
            remedy="Read the fat on the carton; whipping cream holds 30 to 40 %.",
        )  # fmt: skip
    butter = cream_g * share_of_first(fat_per_butter, fat_per_buttermilk, fat_per_cream)
    solids = toml_table("laws", "dairy.toml")["plasma"]["snf_per_plasma"]["likely"]
    return Churned(
        cream_g=cream_g, butter_g=butter, buttermilk_g=cream_g - butter,
        fat_recovered=butter * fat_per_butter / (cream_g * fat_per_cream), overrun=1.0 / fat_per_butter - 1.0,
        fat_per_butter=fat_per_butter, water_per_butter=(1.0 - fat_per_butter) * (1.0 - solids),
        snf_per_butter=(1.0 - fat_per_butter) * solids, fat_per_buttermilk=fat_per_buttermilk,
        water_per_buttermilk=(1.0 - fat_per_buttermilk) * (1.0 - solids),
    )  # fmt: skip


def cream_for(butter_g: float, fat_per_cream: float, fat_per_butter: float = 0.82, fat_per_buttermilk: float = 0.005) -> Churned:
    """The churning that gives so much butter: the reverse of `churn`."""
    require(butter_g, "butter", 1e-9, MOST_G, "g")
    one = churn(1.0, fat_per_cream, fat_per_butter, fat_per_buttermilk)
    return churn(butter_g / one.butter_g, fat_per_cream, fat_per_butter, fat_per_buttermilk)


def overrun(butter_g: float, fat_g: float) -> float:
    """Butter made over fat churned, as the gain: (butter - fat) / fat. [g, g -> g/g]"""
    require(fat_g, "fat", 1e-9, MOST_G, "g")
    return require(butter_g, "butter", 0.0, MOST_G, "g") / fat_g - 1.0


def salted(butter: Churned, salt_per_butter: float) -> Salted:
    """Work salt into butter, per salted butter; 2 % at 16 % water makes an 11 % brine."""
    require(salt_per_butter, "salt", 0.0, 0.1, "g/g")
    salt = butter.butter_g * salt_per_butter / (1.0 - salt_per_butter)
    kept = 1.0 - salt_per_butter
    water = butter.water_per_butter * kept
    return Salted(
        butter_g=butter.butter_g + salt, salt_g=salt, salt_per_butter=salt_per_butter,
        salt_in_water_phase=serum_brine(salt_per_butter, water), fat_per_butter=butter.fat_per_butter * kept,
        water_per_butter=water, snf_per_butter=butter.snf_per_butter * kept,
    )  # fmt: skip


def serum_brine(salt_per_butter: float, water_per_butter: float) -> float:
    """Strength of the brine inside salted butter: salt / (salt + water). [g/g]"""
    require(salt_per_butter, "salt", 0.0, 1.0, "g/g")
    require(water_per_butter, "water", 1e-9, 1.0, "g/g", "Give the butter's water; with none there is no brine.")
    return salt_per_butter / (salt_per_butter + water_per_butter)


def water_to_work_out(butter_g: float, water_per_butter: float, wanted: float = 0.16) -> float:
    """Water to press out of butter to bring it to a wished water content; 0 when it is already drier. [g]"""
    require(butter_g, "butter", 0.0, MOST_G, "g")
    require(water_per_butter, "water", 0.0, 1.0, "g/g")
    require(wanted, "wanted water", 0.0, 0.99, "g/g")
    return max(0.0, butter_g * (water_per_butter - wanted) / (1.0 - wanted))


def judge_composition(butter: Churned | Salted) -> tuple[Verdict, ...]:
    """Fat, water and milk solids against the Codex standard for butter (for butter that is sold)."""
    return (
        judged("butter", "fat", butter.fat_per_butter, "Work out more water, or add less salt."),
        judged("butter", "water", butter.water_per_butter, "Work it longer and press out more water."),
        judged("butter", "snf", butter.snf_per_butter, "Wash it once more in ice-cold water."),
    )


def standardise(
    wanted: float,
    fat_first: float,
    fat_second: float,
    *,
    first_g: float | None = None,
    second_g: float | None = None,
    mix_g: float | None = None,
) -> Standardised:
    """Mix two creams or milks to a wished fat (Pearson square). Give exactly one of the three amounts.

    Works for any two materials and any content: lean and back fat too.
    """
    given = [a for a in (first_g, second_g, mix_g) if a is not None]
    if len(given) != 1:
        raise OutOfRange(
            f"{len(given)} amounts were given; one of first, second and mix decides the other two.",
            field="amount", value=len(given), limit=1,
            remedy="Give the amount you have, or the amount of mix you want.",
        )  # fmt: skip
    require(given[0], "amount", 0.0, MOST_G, "g")
    share = share_of_first(fat_first, fat_second, wanted)
    part = share if first_g is not None else 1.0 - share if second_g is not None else 1.0
    if part == 0.0:
        raise OutOfRange(
            f"a mix of {wanted:g} holds none of the material whose amount was given.",
            field="wanted", value=wanted, limit=(fat_first, fat_second),
            remedy="Give the amount of mix instead.",
        )  # fmt: skip
    mix = given[0] / part
    return Standardised(first_g=share * mix, second_g=(1.0 - share) * mix, mix_g=mix, fat_per_mix=wanted)


def ripening(temperature_c: float) -> Ripening:
    """Hours from culture to churnable cream at a steady temperature, 12 to 30 degC.

    Square-root growth of a mesophilic starter, scaled from 14-16 h at 22 degC and 20 h at 20 degC. A forecast
    to read the pH by, not a promise: dose and culture shift it.
    """
    said = toml_table("laws", "dairy.toml")["ripening"]
    low, high = said["valid_c"]
    require(temperature_c, "ripening temperature", low, high, "C", "Ripen between 18 and 22 C.")
    pace = ((said["at_c"] - said["t0_c"]) / (temperature_c - said["t0_c"])) ** 2
    slow = ((said["latest_c"] - said["t0_c"]) / (temperature_c - said["t0_c"])) ** 2
    usual = band("butter", "ripen_temperature_c")
    return Ripening(
        temperature_c=temperature_c, earliest_h=said["hours"][0] * pace, likely_h=said["hours"][1] * pace,
        latest_h=said["latest_hours"] * slow, sure=said["sure"], act=notes("butter")[0].act,
        usual=usual.low <= temperature_c <= usual.high,
    )  # fmt: skip


def churn_advice(cream_temperature_c: float, churned_min: float = 0.0, heat_treatment: str = "pasteurised") -> ChurnAdvice:
    """Judge the cream before and during churning.

    ``heat_treatment`` is ``pasteurised`` or ``uht``. The band is 10 to 18 degC, 12 planned; sources differ.
    """
    require(cream_temperature_c, "cream temperature", -2.0, 60.0, "C")
    require(churned_min, "minutes churned", 0.0, 1e4, "min")
    if heat_treatment not in ("pasteurised", "uht"):
        raise OutOfRange(
            f"cream {heat_treatment!r} is not one of pasteurised, uht.", field="heat_treatment",
            value=heat_treatment,
            limit=("pasteurised", "uht"), remedy="Read it on the carton.",
        )  # fmt: skip
    window = band("butter", "churn_temperature_c")
    if cream_temperature_c > window.high:
        return ChurnAdvice(
            "over",
            f"Chill the cream to {window.likely:g} C first: too warm, it turns to paste.",
            window.doubt,
        )
    if cream_temperature_c < window.low:
        return ChurnAdvice(
            "near",
            f"Warm the cream to {window.likely:g} C: too cold, it whips and does not break.",
            window.doubt,
        )
    if heat_treatment == "uht":
        return ChurnAdvice("near", "Take pasteurised cream next time: UHT cream churns badly.", window.doubt)
    if churned_min > band("butter", "churn_min").high:
        return ChurnAdvice(
            "near",
            f"Measure it and bring it to {window.likely:g} C: it should have broken by now.",
            window.doubt,
        )
    return ChurnAdvice("within", "", window.doubt)
