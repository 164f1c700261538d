"""What comes of putting things together: shares, and the temperature they meet at."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ingle.ground.errors import OutOfRange


def share_of_first(first: float, second: float, wanted: float) -> float:
    """Share of the first of two materials in a mix of wanted content (lever rule, Pearson square).

    Parameters
    ----------
    first, second, wanted : float
        Content of the two materials and of the mix, in one and the same unit. [any]

    Returns
    -------
    float
        Mass of the first per mass of the mix. [kg/kg]

    Raises
    ------
    OutOfRange
        The wish does not lie between the two, or the two are equal and the wish is another.
    """
    low, high = min(first, second), max(first, second)
    if not low <= wanted <= high or (low == high):
        raise OutOfRange(
            f"{wanted:g} cannot be mixed from {first:g} and {second:g}: it must lie between the two.",
            field="wanted", value=wanted, limit=(low, high), remedy="Take a richer or a leaner material.",
        )  # fmt: skip
    return (wanted - second) / (first - second)


def mixed_temperature(mass: ArrayLike, specific_heat: ArrayLike, temperature: ArrayLike, heat: float = 0.0) -> float:
    """Temperature at which unlike things meet, with ``heat`` [J] put in (mixing work) or lost (negative).

    Arrays of one shape: mass [kg], specific heat [J/kg/K], temperature [K]. Returns [K].
    No change of state: nothing melts, freezes or dissolves.
    """
    capacity = np.asarray(mass, float) * np.asarray(specific_heat, float)
    return float((np.sum(capacity * np.asarray(temperature, float)) + heat) / np.sum(capacity))


def temperature_needed(
    wanted: float,
    mass: ArrayLike,
    specific_heat: ArrayLike,
    temperature: ArrayLike,
    *,
    last_capacity: float,
    heat: float = 0.0,
) -> float:
    """Temperature one more thing of capacity ``last_capacity`` [J/K] must have for all to meet at ``wanted``.

    Others as in `mixed_temperature`. Returns [K]; it may lie outside what that thing can be (water below
    freezing): the caller decides, see `ice_needed`.
    """
    capacity = np.asarray(mass, float) * np.asarray(specific_heat, float)
    return float(wanted - (np.sum(capacity * (np.asarray(temperature, float) - wanted)) + heat) / last_capacity)


def ice_needed(
    wanted: float,
    needed: float,
    supply: float,
    water: float,
    *,
    melting: float,
    latent: float,
    water_heat: float,
    ice_heat: float,
    ice: float,
) -> float:
    """Mass of water to give as ice so that supply water does what water at ``needed`` would do.

    Parameters
    ----------
    wanted, needed, supply, ice, melting : float
        Wanted temperature of the mix, temperature the water would need, temperature of the tap, of the ice
        and of melting. [K]
    water : float
        Water and ice together. [kg]
    latent, water_heat, ice_heat : float
        [J/kg], [J/kg/K], [J/kg/K]

    Returns
    -------
    float
        [kg]; 0 when the tap is cold enough.

    Raises
    ------
    OutOfRange
        All the water as ice would not do.

    Notes
    -----
    Each kg of supply water replaced by ice takes up (supply - wanted) less and
    latent + ice_heat (melting - ice) + water_heat (wanted - melting) more.
    """
    if supply <= needed:
        return 0.0
    per_kg = latent + ice_heat * (melting - ice) + water_heat * (wanted - melting) + water_heat * (supply - wanted)
    mass = water * water_heat * (supply - needed) / per_kg
    if mass > water:
        raise OutOfRange(
            f"all {water:g} kg of the water as ice is too little: {mass:.3g} kg of ice would be needed.",
            field="wanted", value=wanted, limit=water,
            remedy="Chill the flour first, or take a warmer dough.",
        )  # fmt: skip
    return mass
